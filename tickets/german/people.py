"""German: people, their PINs and their scanners, who is signed in, and how long to wait."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

PEOPLE, PEOPLE_HOW = (
    "Personen",
    "Wer auf Scans genannt werden darf. Eine PIN hält andere davon ab, sich unter dem Namen anzumelden.",
)
WHO_ARE_YOU, CHOOSE_NAME, CHANGE_NAME, SIGN_OUT = (
    "Wer sind Sie?",
    "Namen wählen",
    "Jemand anderes",
    "Abmelden",
)
USED_BY, NOBODY = "Hier arbeitet", "noch niemand"
PIN_OF, PIN, SIGN_IN, CLEAR_PIN = "PIN von", "PIN", "Anmelden", "Leeren"
BACK, KEYPAD, TAKE_BACK = "Zurück", "Ziffern", "Die letzte Ziffer zurücknehmen"
NOBODY_KNOWN = "Noch sind keine Personen bekannt."
NOBODY_KNOWN_HOW = "Der Inhaber trägt sie ein: auf der Seite „Personen“ oder mit filmdocket people add."
SIGNED_OUT = "Sie sind abgemeldet."
UNDERSTOOD = "Verstanden"
ADD_PERSON, PERSON_NAME, PIN_MAYBE = "Hinzufügen", "Name", "PIN (leer: keine)"
NEW_PIN, SET_PIN, REMOVE_PERSON, NO_PIN_WORD, HAS_PIN_WORD = (
    "Neue PIN (leer: keine)",
    "PIN setzen",
    "Entfernen",
    "keine PIN",
    "PIN",
)
FROM_SETTINGS = "aus shop.toml"
TYPE_IT = "Die PIN eintippen."
TYPE_PIN = "Noch einmal tippen: nur Ziffern. Als falsch gezählt wurde sie nicht."
PIN_TOO_PLAIN = "Diese PIN gehört zu den ersten, die jeder probiert."
CHOOSE_ANOTHER_PIN = "Eine andere wählen: nicht lauter gleiche Ziffern, nicht 1234 oder 8765."
WAIT_WORD = "{n} s warten"
NAME_NEEDED = "An diesem Gerät ist niemand angemeldet, und ein Scan braucht einen Namen."
SIGN_IN_FIRST = "An diesem Gerät den Namen wählen, dann noch einmal scannen."


def signed_in(name: str) -> str:
    """Somebody is at this device now."""
    return f"Angemeldet: {name}."


def not_signed_in(name: str) -> str:
    """A scan names somebody who has to type a PIN for it."""
    if not name:
        return "Dieser Scan nennt niemanden."
    return f"{name} meldet sich mit einer PIN an und tat es auf diesem Gerät noch nie."


def keyboards_differ(keyboards: Sequence[str]) -> str:
    """A scan that was read although scanner and computer are set to different keyboards."""
    named = " oder ".join(keyboards[:3])
    return (
        f"Scanner und Rechner sind auf verschiedene Tastaturen eingestellt (wohl US und {named}). Dieser "
        "Scan wurde trotzdem richtig gelesen; den Scanner auf die Tastatur des Rechners "
        "einstellen, mit einem "
        "Code aus seiner Anleitung."
    )


def pin_form(shortest: int, longest: int) -> str:
    """What a PIN looks like."""
    return f"Eine PIN hat {shortest} bis {longest} Ziffern und sonst nichts."


def say_wait(wait: timedelta) -> str:
    """How long, as people say it, never too short."""
    seconds = max(1, -int(-wait.total_seconds() // 1))
    if seconds < 120:
        return f"{seconds} Sekunde{'n' if seconds > 1 else ''}"
    minutes = -(-seconds // 60)
    return f"{minutes} Minuten" if minutes < 60 else "1 Stunde"


def pin_wrong(name: str) -> str:
    """A wrong PIN."""
    return f"Das ist nicht die PIN von {name}."


def try_after(wait: timedelta) -> str:
    """When to try again."""
    return f"{say_wait(wait)} warten, dann noch einmal versuchen." if wait else "Noch einmal versuchen."


def pin_locked(name: str) -> str:
    """Nobody may try at the moment."""
    return f"An diesem Gerät wurden für {name} zu viele falsche PINs getippt."


def pin_wanted(name: str) -> str:
    """The PIN is missing."""
    return f"{name} meldet sich mit einer PIN an."


def pin_not_set(name: str) -> str:
    """In this shop everybody needs one."""
    return f"{name} hat noch keine PIN, und hier melden sich alle mit einer an."


def set_one(name: str) -> str:
    """Where PINs come from."""
    return f"Der Inhaber setzt eine: auf der Seite „Personen“ oder mit filmdocket people pin {_quoted(name)}"


def person_not_known(name: str) -> str:
    """Nobody of that name."""
    return f"Niemand heißt hier {name!r}."


def person_known(name: str) -> str:
    """There is somebody of that name."""
    return f"{name} gibt es schon; zwei gleichen Namens wären im Verlauf nicht zu unterscheiden."


def name_not_usable(name: str) -> str:
    """Not a name."""
    return f"{name[:60]!r} ist kein Name: Buchstaben sind nötig, höchstens vierzig Zeichen."


def in_settings(name: str) -> str:
    """The name stands in shop.toml."""
    return f"{name} steht in shop.toml, unter shop.people."


def added(name: str, *, has_pin: bool) -> str:
    """Somebody new."""
    return f"{name} steht von jetzt an den Stationen zur Wahl{', mit PIN' if has_pin else ''}."


def removed(name: str) -> str:
    """Somebody who left."""
    return f"{name} ist entfernt und überall abgemeldet. Im Verlauf bleibt der Name."


def pin_set(name: str, *, has_pin: bool) -> str:
    """Another PIN."""
    return f"{name} hat {'eine neue PIN' if has_pin else 'keine PIN mehr'} und ist überall abgemeldet."


def person_line(name: str, *, has_pin: bool, is_own: bool) -> str:
    """One person in `people list`."""
    return f"{name}  {HAS_PIN_WORD if has_pin else NO_PIN_WORD}{'' if is_own else f'  {FROM_SETTINGS}'}"


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name
