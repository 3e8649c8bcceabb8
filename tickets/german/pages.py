"""The words of the pages of the floor in German: stations, tickets, and scans that are kept in the device."""

from __future__ import annotations

from datetime import datetime, timedelta

from tickets.german.floor import done_at, pieces
from tickets.german.where import say_day, say_time

__all__ = ["done_at", "pieces", "say_day", "say_time"]

LINE, WHERE, QUERIES, DEVICES = "Die Linie", "Wo ist es", "Fragen", "Geräte"
FILM_PAGE = "Film"
DROP, PROMISE, PAPERS, PRINTER = "Neuer Auftrag", "Zusage", "Papiere", "Drucker"
MESSAGES = "Nachrichten"
SKIP, NAVIGATION = "Zur Seite springen", "Seiten"
LANGUAGE, SPEAK_IT = "Sprache", "Verwenden"
DID_NOT_WORK = "Das ging nicht"

TICKET, ORDER, CUSTOMER, DUE, QUANTITY = "Zettel", "Auftrag", "Kunde", "Fällig", "Stück"
ARTWORK, GARMENT, PLACEMENT, REPRINT_OF = "Motiv", "Kleidungsstück", "Platz", "Nachdruck von"
PRINT_SIZE, REVISION, RUN = "Druckgröße", "Fassung des Motivs", "Filmlauf"
THIS_DEVICE, AT_STATION, REMEMBER = "Dieses Gerät", "steht bei", "Merken"
NO_STATION, SOME_PIECES = "noch keiner Station", "Stück (leer: alle)"
CHOOSE_STATION = "Sag einmal, an welcher Station dieses Gerät ist; dann genügt ein Knopf."
FEWER, GOOD, SPOILED, WHY, BOOK_IT = "Weniger oder Ausschuss …", "Gut", "Ausschuss", "Warum", "Buchen"
UNDO, UNDO_LAST = "Zurück", "Den letzten Scan zurücknehmen"
REASONS = (
    "schlecht abgezogen",
    "verbrannt",
    "verrutscht",
    "falsche Farbe",
    "Pulver oder Staub",
    "Film beschädigt",
)
OTHER_REASON = "ein anderer Grund"
RUSH, HELD = "eilig", "angehalten"

SCAN_HERE = "Zettel scannen"
SCAN_HINT = "Nichts anklicken. Zahl und Enter vor dem Scan: nur so viele Stücke."
TYPED, NEXT_SCAN, ALL_PIECES = "Getippt", "Nächster Scan", "alle, die warten"
PIECES_GOOD, PIECES_SPOILED = "gut", "Ausschuss"
WAITS_HERE, NOTHING_WAITS, DONE_LATELY = "Wartet hier", "Hier wartet nichts.", "Gerade erledigt"
NOTHING_DONE, CODE_BY_HAND, SEND = "Noch nichts.", "Code des Zettels", "Senden"
SINCE = "Wartet seit"
NO_ANSWER = "Das war auf diesem Gerät nicht zu behalten. Der Scan zählt NICHT: bitte noch einmal scannen."
PROBLEM_WORD, DONE_WORD = "Nicht gebucht", "Gebucht"

KEPT_TITLE, KEPT_WORD, LOOK_AT_KEPT, STATION = (
    "Auf diesem Gerät behaltene Scans",
    "Hier behalten",
    "Ansehen",
    "Station",
)
KEPT_HOW = (
    "Scans, auf die der Rechner der Werkstatt noch nicht geantwortet hat, bleiben hier und werden von selbst "
    "gesendet, der Reihe nach, jeder einmal gezählt. War einer dann nicht zu buchen, wird hier gefragt."
)
KEPT_SAYS = "Auf diesem Gerät behalten; wird gesendet, sobald der Rechner der Werkstatt antwortet."
KEPT_DO = "Scanne weiter: jeder Scan zählt einmal."
AWAY_NOW = "Der Rechner der Werkstatt antwortet nicht. Du siehst den Stand von vorher; Scans bleiben hier."
AWAY_NOT_LET_IN = (
    "Dieses Gerät ist nicht mehr zugelassen. Seine Scans bleiben hier, bis es wieder zugelassen ist."
)
ONE_WAITS, MANY_WAIT = "1 Scan wartet aufs Senden.", "{n} Scans warten aufs Senden."
ONE_UNANSWERED = "1 Scan war nicht zu buchen, als er ankam: jemand muss sagen, was aus ihm wird."
MANY_UNANSWERED = "{n} Scans waren nicht zu buchen, als sie ankamen: jemand muss sagen, was aus ihnen wird."
TAKE_OFF, TRY_AGAIN, BOOK_ALL_HERE = "Wegnehmen", "Noch einmal", "Alle buchen, die dort warten"
BOOK_MISSED, LEAVE_OUT, GO_BACK = "Ausgelassene Stationen nachbuchen", "Weglassen …", "Nein, zurück"
LEAVE_OUT_SURE, LEAVE_OUT_SAYS = "Ja, weglassen", "Weggelassen zählt dieser Scan nirgends."
UNDO_AWAY = "Der Rechner der Werkstatt antwortet nicht: nichts ist zurückgenommen. Sieh später nach."
UNDO_WAITS = "Scans warten aufs Senden: nimm sie unten weg, oder zurück, wenn der Rechner wieder antwortet."

_STANDINGS = {
    "queried": "Frage offen",
    "unchecked": "nicht geprüft",
    "held": "angehalten",
    "in work": "in Arbeit",
    "ready": "fertig",
    "dispatched": "versandt",
    "cancelled": "storniert",
    "refused": "abgelehnt",
}


def standing_says(standing: str) -> str:
    """What a ticket stands as."""
    return _STANDINGS.get(standing, standing)


def blocked_says(blocked: str) -> str:
    """Why pieces that wait can't be worked on."""
    standing, colon, why = blocked.partition(":")
    return f"{standing_says(standing)}{colon}{why}"


def age(since: datetime, now: datetime) -> str:
    """How long something has waited: 5 min, 3 h, 2 Tagen."""
    seconds = max(0, int((now - since).total_seconds()))
    if seconds < 3600:
        return f"{seconds // 60} min"
    if seconds < 48 * 3600:
        return f"{seconds // 3600} h"
    return f"{seconds // 86400} Tagen"


def lateness(due_at: datetime | None, now: datetime) -> str:
    """Whether it is late: "seit 2 Tagen zu spät", "fällig in 5 h"; "" when there is time."""
    if due_at is None:
        return ""
    if due_at < now:
        return f"seit {age(due_at, now)} zu spät"
    return f"fällig in {age(now, due_at)}" if due_at - now < timedelta(hours=24) else ""


def all_done(station: str, count: int) -> str:
    """What stands on the big button: 40 gepresst."""
    return f"{count} {done_at(station)}"


def nothing_here(station: str, where: str) -> str:
    """Why there is no big button."""
    return f"Davon wartet nichts bei {station}: {where}."
