"""German: a customer's own page, how far the order is, in words that anybody understands."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from tickets.german.where import say_day, say_time
from tickets.places import CANCELLED, DISPATCHED
from tickets.standing import Standing

CHECKING, TO_PRINT, FINISHING = "wird geprüft", "wartet auf den Druck", "gedruckt, wird fertig gemacht"
TO_PRESS, READY, GONE = "gedruckt, wird gepresst", "fertig", "hat unser Haus verlassen"
CANCELLED_PIECES = "storniert"
NOT_PRINTABLE = "So ist dieses Motiv nicht druckbar: in unserer Nachricht steht, warum und was helfen würde."
ASKED = (
    "Zu diesem Motiv haben wir eine Rückfrage: sie steht in unserer Nachricht. Gedruckt wird erst, wenn Sie "
    "antworten."
)
ORDER, YOUR_NUMBER, DUE, EXPECTED = "Auftrag", "Ihre Nummer", "Gewünscht bis", "Voraussichtlich fertig"
CONSIGNMENT, CONSIGNMENTS = "Sendungsnummer", "Sendungsnummern"
NO_LINK = "Dieser Link funktioniert nicht (mehr)"
NO_LINK_DO = "Bitte prüfen, ob er vollständig kopiert ist, oder einen neuen anfordern."
QUESTIONS = "Fragen? So erreichen Sie uns:"
_STANDINGS = {
    Standing.QUERIED: (
        "Wir haben eine Rückfrage an Sie: sie steht in unserer Nachricht. Ein Teil wartet auf Ihre Antwort."
    ),
    Standing.HELD: "Ihr Auftrag ruht im Moment.",
    Standing.IN_WORK: "Ihr Auftrag ist in Arbeit.",
    Standing.READY: "Ihr Auftrag ist fertig.",
    Standing.DISPATCHED: "Ihr Auftrag hat unser Haus verlassen.",
    Standing.CANCELLED: "Dieser Auftrag ist storniert.",
    Standing.REFUSED: (
        "So ist dieser Auftrag nicht druckbar: in unserer Nachricht steht, warum und was helfen würde."
    ),
}
LINK, LINK_MAKE, LINK_OFF = "Link für den Kunden", "Link für den Kunden erstellen", "Link sperren"
LINK_HOW = (
    "Wer ihn hat, sieht, wie weit dieser eine Auftrag ist: keine Preise, keine Namen, sonst nichts. "
    "Erraten lässt er sich nicht."
)
LINK_OFF_HOW = "Er gilt sofort nicht mehr, und zwar für immer; ein später erstellter ist ein anderer."
IN_OWN_NETWORK = (
    "Diese Adresse gilt nur im eigenen Netz: links.address auf eine setzen, die Kunden erreichen."
)
LINKS_SWITCHED_OFF = "Links für Kunden sind hier abgeschaltet (links.on)."


def stages(stations: tuple[str, ...]) -> dict[str, str]:
    """What a customer reads for each place of the line, in the order that pieces pass them."""
    last, pressing = stations[-1], "press"
    said = {CHECKING: CHECKING, stations[0]: TO_PRINT}
    said |= {station: TO_PRESS if station == pressing else FINISHING for station in stations[1:-1]}
    return said | {last: READY, DISPATCHED: GONE, CANCELLED: CANCELLED_PIECES}


def say_standing(standing: Standing) -> str:
    """How the whole order stands."""
    return _STANDINGS[standing]


def say_ready_day(likely: datetime, latest: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The day on which it is expected to be ready."""
    first, last = say_day(likely, now, zone), say_day(latest, now, zone)
    return first if first == last else f"{first}, spätestens {last}"


def as_of(now: datetime, zone: ZoneInfo) -> str:
    """When this was so."""
    return f"Stand: {say_time(now, now, zone)}."


def link_revoked(order: str, *, was_there: bool) -> str:
    """What `link --off` did."""
    if was_there:
        return f"Der Link von {order} ist gesperrt: er zeigt nichts mehr."
    return f"{order} hat keinen gültigen Link; es gibt nichts zu sperren."


def link_made(order: str) -> str:
    """What the order's page says."""
    return f"Der Link von {order} gilt jetzt."
