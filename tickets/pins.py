"""PINs: which may be chosen, how long one waits after wrong ones, and the slow hash that is kept of them."""

from __future__ import annotations

import threading
from datetime import timedelta
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from tickets import wording_people as wording
from tickets.problems import BadInput

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST, LONGEST = 4, 8  # digits: typed in gloves, many times a day
FREE_TRIES = 2  # slips of the finger
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=15), timedelta(hours=1)
FORGOTTEN_AFTER = timedelta(days=1)  # since the last wrong one
_hashing = threading.Lock()  # each hash takes 64 MB: many at once would need more than a small computer has


def wait_after(tries: int) -> timedelta:
    """How long nobody may try after so many wrong PINs in a row: none, none, 15 s, 30 s, 1 min … an hour.

    At an hour a try, all 10,000 PINs of four digits take more than a year, at one device.
    """
    if tries <= FREE_TRIES:
        return timedelta()
    return min(LONGEST_WAIT, FIRST_WAIT * int(2 ** min(tries - FREE_TRIES - 1, 20)))


def read_pin(typed: str) -> str:
    """The digits of a PIN as typed. Raises BadInput `pin-not-read` for what is none, such as a scan."""
    pin = "".join(typed.split())
    if not (pin.isascii() and pin.isdecimal() and SHORTEST <= len(pin) <= LONGEST):
        raise BadInput("pin-not-read", wording.pin_form(SHORTEST, LONGEST), wording.TYPE_PIN)
    return pin


def require_good(pin: str) -> None:
    """Raises BadInput `pin-too-plain` for those that are tried first: one digit throughout, 1234, 8765."""
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if len(steps) == 1 and steps <= {0, 1, 9}:
        raise BadInput("pin-too-plain", wording.PIN_TOO_PLAIN, wording.CHOOSE_ANOTHER_PIN)


def hash_pin(pin: str) -> str:
    """What is kept of a PIN: argon2id with the parameters of its package (RFC 9106, second choice)."""
    with _hashing:
        return _hasher().hash(pin)


def is_pin(kept: str, pin: str) -> bool:
    """Whether `pin` is the one of which `kept` is the hash."""
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        with _hashing:
            return _hasher().verify(kept, pin)
    except (VerificationError, InvalidHashError):
        return False


@cache
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher()
