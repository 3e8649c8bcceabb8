"""The sentences about people, their PINs and their scanners: who is signed in, and how long to wait."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from tickets.languages import make_spoken

# The pages
PEOPLE, PEOPLE_HOW = "People", "Who may be named on scans. A PIN keeps others from signing in by that name."
WHO_ARE_YOU, CHOOSE_NAME, CHANGE_NAME, SIGN_OUT = (
    "Who are you?",
    "Choose your name",
    "Somebody else",
    "Sign out",
)
USED_BY, NOBODY = "Used by", "nobody yet"
PIN_OF, PIN, SIGN_IN, CLEAR_PIN = "PIN of", "PIN", "Sign in", "Clear"
BACK, KEYPAD, TAKE_BACK = "Back", "Digits", "Take the last digit back"
ADD_PERSON, PERSON_NAME, PIN_MAYBE = "Add", "Name", "PIN (empty: none)"
NEW_PIN, SET_PIN, REMOVE_PERSON, NO_PIN_WORD, HAS_PIN_WORD = (
    "New PIN (empty: none)",
    "Set PIN",
    "Remove",
    "no PIN",
    "PIN",
)
FROM_SETTINGS = "from shop.toml"
NOBODY_KNOWN = "No people are named yet."
NOBODY_KNOWN_HOW = "The owner adds them: on the page People, or with filmdocket people add."
UNDERSTOOD = "Understood"
SIGNED_OUT = "You are signed out."
WAIT_WORD = "Wait {n} s"

# What is wrong
TYPE_IT = "Type it."
TYPE_PIN = "Type it again: digits only. It was not counted as a wrong one."
PIN_TOO_PLAIN = "This PIN is among the first that anybody tries."
CHOOSE_ANOTHER_PIN = "Choose another: not one digit throughout, not 1234 or 8765."
NAME_NEEDED = "Nobody is signed in on this device, and a scan needs a name."
SIGN_IN_FIRST = "Choose your name on this device, then scan again."


def pin_form(shortest: int, longest: int) -> str:
    """What a PIN looks like."""
    return f"A PIN has {shortest} to {longest} digits and nothing else."


def signed_in(name: str) -> str:
    """Somebody is at this device now."""
    return f"Signed in: {name}."


def say_wait(wait: timedelta) -> str:
    """How long, as people say it, never too short: 15 seconds, 2 minutes, 1 hour."""
    seconds = max(1, -int(-wait.total_seconds() // 1))
    if seconds < 120:
        return f"{seconds} second{'s' if seconds > 1 else ''}"
    minutes = -(-seconds // 60)
    return f"{minutes} minutes" if minutes < 60 else "1 hour"


def pin_wrong(name: str) -> str:
    """A wrong PIN."""
    return f"This is not the PIN of {name}."


def try_after(wait: timedelta) -> str:
    """When to try again."""
    return f"Wait {say_wait(wait)}, then try again." if wait else "Try again."


def pin_locked(name: str) -> str:
    """Nobody may try at the moment."""
    return f"Too many wrong PINs were typed for {name} on this device."


def pin_wanted(name: str) -> str:
    """The PIN is missing."""
    return f"{name} signs in with a PIN."


def pin_not_set(name: str) -> str:
    """In this shop everybody needs one."""
    return f"{name} has no PIN yet, and in this shop everybody signs in with one."


def set_one(name: str) -> str:
    """Where PINs come from."""
    return f"The owner sets one: on the page People, or with: filmdocket people pin {_quoted(name)}"


def not_signed_in(name: str) -> str:
    """A scan names somebody who has to type a PIN for it."""
    return (
        f"{name} signs in with a PIN, and never did so on this device." if name else "This scan names nobody."
    )


def person_not_known(name: str) -> str:
    """Nobody of that name."""
    return f"Nobody called {name!r} is named in this shop."


def person_known(name: str) -> str:
    """There is somebody of that name."""
    return f"{name} is named already; two people of one name could not be told apart in the history."


def name_not_usable(name: str) -> str:
    """Not a name."""
    return f"{name[:60]!r} is no name: letters are needed, forty characters at the most."


def in_settings(name: str) -> str:
    """The name stands in shop.toml."""
    return f"{name} is named in shop.toml, under shop.people."


def keyboards_differ(keyboards: Sequence[str]) -> str:
    """A scan that was read although scanner and computer are set to different keyboards."""
    named = " or ".join(keyboards[:3])
    return (
        f"The scanner and this computer are set to different keyboards (US and {named}, it seems). This scan "
        "was read right all the same; set the scanner to this computer's keyboard, by a code in its manual."
    )


# What `people` says


def added(name: str, *, has_pin: bool) -> str:
    """Somebody new."""
    return f"{name} is named at the stations from now on{', with a PIN' if has_pin else ''}."


def removed(name: str) -> str:
    """Somebody who left."""
    return f"{name} is removed, and signed out everywhere. The history keeps the name."


def pin_set(name: str, *, has_pin: bool) -> str:
    """Another PIN."""
    if has_pin:
        return f"{name} has a new PIN, and is signed out everywhere."
    return f"{name} has no PIN any more, and is signed out everywhere."


def person_line(name: str, *, has_pin: bool, is_own: bool) -> str:
    """One person in `people list`."""
    return f"{name}  {HAS_PIN_WORD if has_pin else NO_PIN_WORD}{'' if is_own else f'  {FROM_SETTINGS}'}"


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name


make_spoken(__name__, de="tickets.german.people")
