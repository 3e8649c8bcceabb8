"""German: messages to customers, what became of them, and why one can't be."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tickets.german.messages import KINDS, STANDINGS
from tickets.german.numbers import stamp

if TYPE_CHECKING:
    from tickets.wording_telling import Told

NO_ADDRESS = "Der Auftrag nennt keine brauchbare E-Mail-Adresse: anrufen oder selbst schreiben."
HANDED_OVER = (
    "Dem Mailserver übergeben, der nicht geantwortet hat: vielleicht angekommen. Von selbst wird nicht noch "
    "einmal gesandt."
)
NOTHING_TOLD = "Noch ist keine Nachricht an Kunden geschrieben."


def late_is_told(order: str) -> str:
    """A message about a new day is due."""
    return f"Die Nachricht an den Kunden von {order} über den neuen Termin liegt im Ausgang."


def late_told_before(order: str) -> str:
    """The customer knows of that day, or of a later one."""
    return f"Der Kunde von {order} weiß schon von diesem oder einem späteren Termin; nichts wird geschrieben."


def not_late(order: str) -> tuple[str, str]:
    """A new day that is not behind the one that was asked for."""
    return (
        f"{order} hat keinen Termin, oder der neue ist nicht später.",
        "Den Tag angeben, an dem es fertig ist; mitgeteilt wird nur ein späterer als der gewünschte.",
    )


def nothing_is_late(named: str) -> tuple[str, str]:
    """An order that is done, or something that is no order."""
    return (
        f"{named} ist kein Auftrag, an dem noch etwas zu tun ist.",
        "Die Nummer eines offenen Auftrags angeben.",
    )


def no_such_message(number: int) -> tuple[str, str]:
    """A message of a number that is none, or that is not written."""
    return f"Eine geschriebene Nachricht {number} gibt es nicht.", "Auf der Seite „Nachrichten“ nachsehen."


def not_sent_by_mail(kind: str) -> tuple[str, str]:
    """A message that is to be sent where none is."""
    return (
        f"Nachrichten dieser Art ({KINDS.get(kind, kind)}) werden hier nicht per E-Mail gesandt.",
        "Die Datei in einem Mailprogramm öffnen und senden, oder smtp.host und messages.send einstellen.",
    )


def no_address(kind: str) -> tuple[str, str]:
    """A message to nobody."""
    return f"Diese Nachricht ({KINDS.get(kind, kind)}) hat keine brauchbare E-Mail-Adresse.", NO_ADDRESS


def is_sent_again(kind: str, address: str) -> str:
    """A message is on its way once more."""
    return f"Die Nachricht ({KINDS.get(kind, kind)}) geht gleich noch einmal an {address}."


def say_telling(told: Told, zone: ZoneInfo) -> str:
    """One message in a line."""
    when = f"{STANDINGS.get(told.standing, told.standing)} {stamp(told.written_at or told.due_at, zone)}"
    file = f"  Ausgang: {told.file}" if told.file else ""
    head = f"{told.telling_id}  {told.order}  {told.customer}"
    return f"{head}  {KINDS.get(told.kind, told.kind)}  {when}{file}{f'  {told.says}' if told.says else ''}"


def server_says(code: int, words: bytes | str) -> str:
    """The mail server's own words, in one line without controls."""
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())[:300]
    return f"Der Mailserver lehnt sie ab: {code} {plain}."


def login_refused() -> str:
    """The server does not let the shop in."""
    return "Der Mailserver lehnt smtp.user oder das Passwort ab. Berichtigen; es wird wieder versucht."


def password_away() -> str:
    """The file with the password cannot be read."""
    return "Die Datei smtp.password_file ist nicht lesbar. Berichtigen; es wird wieder versucht."


def not_secure(why: str) -> str:
    """No safe way to the server."""
    return f"Zum Mailserver gibt es keinen verschlüsselten Weg, wie smtp.security ihn verlangt: {why}."


def server_away(why: str) -> str:
    """The server cannot be reached, or went away before it had all of it."""
    return f"Der Mailserver ist nicht erreichbar oder hat aufgelegt: {why}."


def file_is_away(name: str) -> str:
    """The message's file is gone."""
    return f"{name} liegt nicht mehr im Ausgang."
