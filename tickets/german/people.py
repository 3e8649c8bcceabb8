"""The words about who is signed in at a device, in German, as far as stations show them."""

from __future__ import annotations

from collections.abc import Sequence

PEOPLE = "Personen"
WHO_ARE_YOU, CHOOSE_NAME, CHANGE_NAME, SIGN_OUT = (
    "Wer bist du?",
    "Namen wählen",
    "Jemand anders",
    "Abmelden",
)
USED_BY, NOBODY = "Hier arbeitet", "noch niemand"
PIN_OF, PIN, SIGN_IN, CLEAR_PIN = "PIN von", "PIN", "Anmelden", "Leeren"
BACK, KEYPAD, TAKE_BACK = "Zurück", "Ziffern", "Die letzte Ziffer zurücknehmen"
NOBODY_KNOWN = "Noch sind keine Personen bekannt."
NOBODY_KNOWN_HOW = "Der Inhaber trägt sie ein: auf der Seite „Personen“ oder mit filmdocket people add."
SIGNED_OUT = "Du bist abgemeldet."
UNDERSTOOD = "Verstanden"
WAIT_WORD = "Warte {n} s"
NAME_NEEDED = "An diesem Gerät ist niemand angemeldet, und ein Scan braucht einen Namen."
SIGN_IN_FIRST = "Wähl an diesem Gerät deinen Namen und scanne dann noch einmal."


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
        "Scan wurde trotzdem richtig gelesen; stell den Scanner auf die Tastatur des Rechners, mit einem "
        "Code aus seiner Anleitung."
    )
