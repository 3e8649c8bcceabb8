"""Ticket and run codes: short, without look-alikes, with a check character; and a forgiving reader of them.

The check character is that of ISO/IEC 7064 MOD 37-2: it catches every single wrong character, and every
swap of two that are neighbours or next but one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterator, Sequence
from typing import NewType, Protocol

from tickets import wording
from tickets.problems import BadInput

TicketCode = NewType("TicketCode", str)
RunCode = NewType("RunCode", str)
Code = str  # a TicketCode or a RunCode; a run code begins with R

# Digits and capitals without I, L, O (read as 1, 1, 0) and U.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
RUN_LETTER = "R"
TICKET_LENGTH = 7  # six characters and the check character
SHORTEST_RUN = 5  # R, three characters and the check character
LONGEST_RUN = 12
MOST_TYPED = 2000  # characters that are looked at

_MOD_37_2 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_LOOK_ALIKES = str.maketrans("OIL", "011")
_AIM = re.compile(r"^[\]+*¨]Q[0-6](?=.)")  # `]Q1` (ISO/IEC 15424), `]` as foreign keyboard layouts type it
# `/` and `:` as foreign keyboard layouts type them: a hand scanner is a keyboard.
_ADDRESS = re.compile(r"^\W*HTTPS?[^A-Z0-9](?:.*/T/+|[^/]*?([\-&])T\1+)([^?#&_/]*)", re.DOTALL)
_BETWEEN = re.compile(r"[\s\-_.·‐-―−\u200b-\u200f\u2060\ufeff]+")
_WRAPPINGS = "\"'`´*()[]{}<>,;:!?/\\|#=“”‘’«»$+~"
_LINE_ENDS = re.compile(r"[\r\n\t\0\x1c-\x1f]+")


class Chooser(Protocol):
    """Where new codes come from: `random.Random`, or the system's own randomness."""

    def choice(self, seq: Sequence[str], /) -> str: ...


def check_character(body: str) -> str:
    """The check character of `body` (0-9 A-Z), which may be `*` (ISO/IEC 7064 MOD 37-2).

    >>> check_character("G123489654321")
    'Y'
    """
    return _MOD_37_2[(1 - 2 * _sum(body)) % 37]


def passes_check(text: str) -> bool:
    """Whether the last character is the check character of the rest."""
    return len(text) > 1 and all(c in _MOD_37_2 for c in text) and _sum(text) == 1


def _sum(text: str) -> int:
    total = 0
    for character in text:
        total = (2 * total + _MOD_37_2.index(character)) % 37
    return total


def new_ticket_code(random: Chooser) -> TicketCode:
    """A fresh ticket code; some 740 million exist, so that the caller only has to see that it isn't taken."""
    while True:
        first = random.choice(ALPHABET.replace(RUN_LETTER, ""))
        body = first + "".join(random.choice(ALPHABET) for _ in range(TICKET_LENGTH - 2))
        check = check_character(body)
        if check in ALPHABET:
            return TicketCode(body + check)


def new_run_code(random: Chooser, characters: int = 3) -> RunCode:
    """A fresh run code: R, `characters` more (at least three), and the check character."""
    while True:
        body = RUN_LETTER + "".join(random.choice(ALPHABET) for _ in range(max(3, characters)))
        check = check_character(body)
        if check in ALPHABET:
            return RunCode(body + check)


def is_code(text: str) -> bool:
    """Whether `text` is a code to the letter, as papers and books have it: nothing to forgive."""
    return _has_form(text) and passes_check(text)


def is_run_code(text: str) -> bool:
    """Whether `text` is a run's code to the letter."""
    return text.startswith(RUN_LETTER) and is_code(text)


def grouped(code: str) -> str:
    """The code as people read it aloud: threes, and the check character by itself (7K3 Q9X Z)."""
    body, check = code[:-1], code[-1]
    threes = [body[at : at + 3] for at in range(0, len(body), 3)]
    return " ".join([*threes, check])


def looks_like_code(text: str) -> bool:
    """Whether somebody meant a code by `text`, be it mistyped; by an order number nobody did.

    Separators count only where a code is grouped: `7K3-Q9X-Z` looks like one, `OB-10421` does not.
    """
    lines = _lines(text)
    if any(_ADDRESS.search(line) for line in lines):
        return True
    tokens = [token for line in lines for token in _tokens(line)]
    joined = "".join(tokens)
    if not _has_form(joined):
        return any(True for line in lines for _ in _codes_in(line))
    return len(tokens) == 1 or is_code(joined) or tokens == grouped(joined).split(" ")


def read_code(text: str) -> Code:
    """The code in what was typed or scanned; addresses, a `]Q1` prefix, lower case, spaces, hyphens are fine.

    A typed O, I or L is read as 0, 1, 1. Raises BadInput `code-not-read` that says what is wrong with it.
    """
    lines = _lines(text)
    found = codes_in(text)
    if len(found) > 1:
        raise BadInput("code-not-read", wording.several_codes(found), wording.SCAN_ONE)
    if not found:
        raise BadInput("code-not-read", _what_is_wrong(_meant(lines), text.strip()), wording.TYPE_CODE)
    return found[0]


def codes_in(text: str) -> tuple[Code, ...]:
    """Every right code in what was typed or scanned, each once."""
    return tuple(dict.fromkeys(code for line in _lines(text) for code in _codes_in(line)))


def near_codes(text: str, known: Container[str] | None = None) -> tuple[Code, ...]:
    """Every right code that lies one slip away from `text`; only the `known` ones of these, when given.

    A slip is one wrong, missing or added character, or two neighbours swapped.
    """
    typed = _meant(_lines(text))
    if len(typed) > LONGEST_RUN + 1:
        return ()
    near = {c for c in _one_slip_from(typed) if c != typed and is_code(c) and (known is None or c in known)}
    return tuple(sorted(near))


def _one_slip_from(typed: str) -> Iterator[str]:
    for at in range(len(typed)):
        before, after = typed[:at], typed[at + 1 :]
        yield before + after
        yield before + typed[at + 1 : at + 2] + typed[at] + after[1:]
        for letter in ALPHABET:
            yield before + letter + after
    for at in range(len(typed) + 1):
        for letter in ALPHABET:
            yield typed[:at] + letter + typed[at:]


def _has_form(code: str) -> bool:
    if not code or any(c not in ALPHABET for c in code):
        return False
    if code[0] == RUN_LETTER:
        return SHORTEST_RUN <= len(code) <= LONGEST_RUN
    return len(code) == TICKET_LENGTH


def _lines(text: str) -> list[str]:
    """What was typed, line by line (Enter or Tab ends one), in upper case, the scanner's prefix taken off."""
    # NFKC: full-width letters, as East Asian keyboards type them.
    upper = unicodedata.normalize("NFKC", text[:MOST_TYPED]).upper()
    lines = (_AIM.sub("", line.strip()) for line in _LINE_ENDS.split(upper))
    return [line for line in lines if line]


def _tokens(line: str) -> list[str]:
    """What stands between separators, wrappings taken off; of an address only what follows `/t/`."""
    address = _ADDRESS.search(line)
    parts = (part.strip(_WRAPPINGS) for part in _BETWEEN.split(address.group(2) if address else line))
    return [part.translate(_LOOK_ALIKES) for part in parts if part]


def _codes_in(line: str) -> Iterator[Code]:
    """The code that a line is, or ends in (`Ticket: 7K3 Q9X Z`), or is twice over (scanned twice)."""
    tokens = _tokens(line)
    for first in range(len(tokens)):
        joined = "".join(tokens[first:])
        half = joined[: len(joined) // 2]
        code = half if half * 2 == joined and not is_code(joined) else joined
        if is_code(code):
            yield code
            return


def _meant(lines: list[str]) -> str:
    return "".join(token for line in lines for token in _tokens(line))


def _what_is_wrong(code: str, text: str) -> str:
    shown = text if len(text) <= 40 else text[:40] + "…"
    strange = [c for c in dict.fromkeys(code) if c not in ALPHABET]
    if not code:
        return wording.NO_CODE_THERE
    if strange:
        return wording.code_has_strange(shown, strange)
    if not _has_form(code):
        return wording.code_length(shown, len(code), SHORTEST_RUN if code[0] == RUN_LETTER else TICKET_LENGTH)
    return wording.code_fails_check(grouped(code))
