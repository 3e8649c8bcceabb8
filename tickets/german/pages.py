"""German: the pages, what stands on buttons, over lists, and in place of an empty one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from tickets.german import numbers
from tickets.german.floor import LABELS, done_at, pieces, station_at
from tickets.german.general import CHECKS
from tickets.german.where import say_day, say_time
from tickets.wording_pages import all_done as all_done

__all__ = ["done_at", "pieces", "say_day", "say_time"]

LINE, WHERE, QUERIES, DEVICES = "Fertigung", "Wo ist es?", "Rückfragen", "Geräte"
PAPERS, PRINTER, FILM_PAGE, MESSAGES = "Papiere", "Drucker", "Film", "Nachrichten"
DROP, PROMISE = "Neuer Auftrag", "Terminzusage"
SKIP, NAVIGATION, LANGUAGE, SPEAK_IT = "Zum Inhalt springen", "Seiten", "Sprache", "Verwenden"
DID_NOT_WORK = "Das ging nicht"

NOT_LET_IN = "Dieses Gerät ist noch nicht zugelassen"
HOW_TO_PAIR = (
    "Den Kopplungscode eintippen, den der Inhaber zeigt: auf seiner Seite „Geräte“, oder mit "
    "filmdocket device add am Werkstattrechner."
)
PAIRING_CODE, DEVICE_NAME, LET_IN = "Kopplungscode", "Name dieses Geräts", "Dieses Gerät zulassen"
DEVICE_NAME_HINT = "Zum Beispiel: Bildschirm Presse, Handy von Ines"
LINK_READY = "Der Link gilt für ein Gerät. Einen Namen geben, dann ist es dauerhaft zugelassen."
REVOKE, ADD_DEVICE, REVOKED, ITS_NAME = "Sperren", "Kopplungscode zeigen", "gesperrt", "Sein Name"
ROLE = "Darf"
ROLES = {
    "station": "Station: scannen und ansehen",
    "desk": "Büro: alles zu Aufträgen",
    "owner": "Inhaber: auch Geräte",
}
_ROLE_NAMES = {"station": "Station", "desk": "Büro", "owner": "Inhaber"}
SCAN_TO_PAIR = "Mit der Kamera des Handys scannen, oder dort diese Adresse öffnen und den Code eintippen:"
CODE_LIVES = "Der Code gilt für ein Gerät und zehn Minuten."

TICKET, ORDER, CUSTOMER, DUE, QUANTITY = "Laufzettel", "Auftrag", "Kunde", "Fällig", "Stück"
ARTWORK, GARMENT, PLACEMENT, REPRINT_OF = "Motiv", "Textil", "Platzierung", "Nachdruck von"
PRINT_SIZE, REVISION, RUN = "Druckmaß", "Fassung", "Filmlauf"
THIS_DEVICE, AT_STATION, REMEMBER = "Dieses Gerät", "steht an Station", "Merken"
NO_STATION = "noch keiner Station"
CHOOSE_STATION = "Einmal angeben, an welcher Station dieses Gerät steht; dann genügt ein Knopf."
FEWER, GOOD, SPOILED, WHY, BOOK_IT = "Weniger oder Ausschuss …", "Gut", "Ausschuss", "Warum", "Buchen"
UNDO, UNDO_LAST = "Rückgängig", "Letzten Scan rückgängig machen"
REASONS = (
    "schlecht abgezogen",
    "verbrannt",
    "verrutscht",
    "falsche Farbe",
    "Pulver oder Staub",
    "Film beschädigt",
)
OTHER_REASON, RUSH, HELD = "ein anderer Grund", "eilig", "angehalten"

SCAN_HERE = "Laufzettel scannen"
SCAN_HINT = "Nichts anklicken. Zahl und Enter vor dem Scan: nur so viele Stück."
TYPED, NEXT_SCAN, ALL_PIECES = "Getippt", "Nächster Scan", "alle, die warten"
PIECES_GOOD, PIECES_SPOILED = "gut", "Ausschuss"
WAITS_HERE, NOTHING_WAITS, DONE_LATELY = "Wartet hier", "Hier wartet nichts.", "Gerade erledigt"
NOTHING_DONE, CODE_BY_HAND, SEND = "Noch nichts.", "Code des Laufzettels", "Senden"
SINCE = "Wartet seit"
NO_ANSWER = "Dieser Scan ließ sich auf dem Gerät nicht behalten. Er zählt NICHT: bitte noch einmal scannen."
PROBLEM_WORD, DONE_WORD = "Nicht gebucht", "Gebucht"

KEPT_TITLE, KEPT_WORD, LOOK_AT_KEPT, STATION = (
    "Auf diesem Gerät behaltene Scans",
    "Hier behalten",
    "Ansehen",
    "Station",
)
KEPT_HOW = (
    "Scans, auf die der Werkstattrechner noch nicht geantwortet hat, bleiben hier und werden von selbst "
    "gesendet, der Reihe nach, jeder einmal gezählt. War einer dann nicht zu buchen, wird hier gefragt."
)
KEPT_SAYS = "Auf diesem Gerät behalten; wird gesendet, sobald der Werkstattrechner antwortet."
KEPT_DO = "Einfach weiterscannen: jeder Scan zählt einmal."
AWAY_NOW = "Der Werkstattrechner antwortet nicht. Sie sehen den Stand von vorher; Scans bleiben hier."
AWAY_NOT_LET_IN = (
    "Dieses Gerät ist nicht mehr zugelassen. Seine Scans bleiben hier, bis es wieder zugelassen ist."
)
ONE_WAITS, MANY_WAIT = "1 Scan wartet aufs Senden.", "{n} Scans warten aufs Senden."
ONE_UNANSWERED = "1 Scan war bei der Ankunft nicht zu buchen: bitte entscheiden, was aus ihm wird."
MANY_UNANSWERED = "{n} Scans waren bei der Ankunft nicht zu buchen: bitte entscheiden, was aus ihnen wird."
TAKE_OFF, TRY_AGAIN, BOOK_ALL_HERE = "Wegnehmen", "Noch einmal", "Alle buchen, die dort warten"
BOOK_MISSED, LEAVE_OUT, GO_BACK = "Ausgelassene Stationen nachbuchen", "Weglassen …", "Nein, zurück"
LEAVE_OUT_SURE, LEAVE_OUT_SAYS = "Ja, weglassen", "Weggelassen zählt dieser Scan nirgends."
UNDO_AWAY = (
    "Der Werkstattrechner antwortet nicht: nichts ist rückgängig gemacht. Später noch einmal nachsehen."
)
UNDO_WAITS = "Scans warten aufs Senden: unten wegnehmen, oder rückgängig machen, wenn der Rechner antwortet."

PIECES_AND_AGE = "Höhe: wartende Stücke. Schattierung: wie lange sie schon warten."
LATE_ORDERS, NONE_LATE = "Überfällig und bald fällig", "Nichts ist überfällig oder binnen eines Tages fällig."
ASKED_CUSTOMERS, NONE_ASKED = "Wartet auf Kunden", "Keine Rückfrage ist offen."
REFUSED_FILES, NONE_REFUSED = "Abgelehnte Dateien der letzten Woche", "Keine."
LOW_STOCK = "Nachzubestellen"
INTAKE, INTAKE_NEVER = "Annahme", "war hier noch nie da; filmdocket watch starten"
FILM, OLDEST = "Film", "ältestes seit"
HELPS_MOST = "Am meisten hilft:"

EMAIL, PHONE, PURCHASE_ORDER = "E-Mail", "Telefon", "Bestellnummer"
SEARCH, SEARCH_HINT = "Suchen", "Name, Nummer, halbe Telefonnummer, Code des Laufzettels"
HISTORY, ITEMS = "Verlauf", "Positionen"
PRINT_AGAIN, PRINT_ALL = "Laufzettel (PDF)", "Alle Laufzettel zusammen drucken"
DISPATCHES, SLIP_AGAIN = "Versand", "Lieferschein"
NOTHING_DISPATCHED = "Noch hat nichts davon das Haus verlassen."
PARCEL_LABEL, ADD_PARCEL, CHANGE_PARCEL = "Etikett für Paket", "Paket eintragen", "Ändern: Paket"
REMOVE_PARCEL = "Austragen"
WEIGHT_KG, CONSIGNMENT = "Gewicht in kg", "Sendungsnummer"
SEND_READY, COLLECTED_BY = "Fertiges versenden", "Abgeholt von (leer: es wird versandt)"
SEND_PART, WHY_PART = (
    "Ein Teil darf vor dem Rest gehen",
    "Warum nur ein Teil (beim ganzen Auftrag nicht nötig)",
)
SHELF, PUT_ON_SHELF, SAVE = "Fach", "Wo es liegt", "Speichern"
HOLD, RELEASE, CANCEL = "Anhalten", "Freigeben", "Stornieren"
CHANGE_DUE, CHANGE_QUANTITY = "Termin ändern", "Stückzahl ändern"
NEW_DUE, NEW_QUANTITY = "Neuer Termin", "Stück insgesamt"
REASON, NOTE, WHO, SOME_PIECES = "Grund", "Was der Kunde gesagt hat", "Wer das sagt", "Stück (leer: alle)"
WHOLE_ORDER, ACT_ON = "der ganze Auftrag", "Betrifft"

NO_QUESTIONS = "Keine Rückfrage ist offen: alle Motive sind geklärt."
RELEASE_AS_IS, NEW_ARTWORK = "Unverändert freigeben", "Neues Motiv"
NEW_ARTWORK_HOW = (
    "Die verbesserte Datei hier einsenden, oder unter demselben Namen in denselben Ordner legen."
)
CUSTOMER_MESSAGE, MESSAGE_FILE, NO_MESSAGE = (
    "Nachricht an den Kunden",
    "Versandfertig (.eml)",
    "Die Nachricht ist noch nicht geschrieben; sie kommt gleich.",
)
MARKED = "Motiv mit den markierten Stellen"

_STANDINGS = {
    "queried": "Rückfrage offen",
    "unchecked": "nicht geprüft",
    "held": "angehalten",
    "in work": "in Arbeit",
    "accepted": "freigegeben",
    "ready": "fertig",
    "dispatched": "versandt",
    "cancelled": "storniert",
    "refused": "abgelehnt",
}
_ORDER_CHECKS = {
    "order-sizes": "Größen",
    "order-film": "Film",
    "order-twice": "Doppelte Position",
    "order-due": "Termin",
}
_LEVELS = {"note": "Hinweis", "query": "Rückfrage", "refuse": "nicht druckbar"}
_SMALL = {DUE, SINCE, RUSH}  # that are no nouns


def inside(word: str) -> str:
    """A word of these inside a line: nouns stay as they are."""
    return word[:1].lower() + word[1:] if word in _SMALL else word


def station_label(station: str, label: str) -> str:
    """What a station is called: the shop's own name for it, where it has one."""
    return LABELS.get(station, label) if label.lower() == station else label


def standing_says(standing: str) -> str:
    """What an order, an item or a ticket stands as."""
    return _STANDINGS.get(standing, standing)


def blocked_says(blocked: str) -> str:
    """Why pieces that wait can't be worked on."""
    standing, colon, why = blocked.partition(":")
    return f"{standing_says(standing)}{colon}{why}"


def level_says(level: str) -> str:
    """How grave a finding is."""
    return _LEVELS.get(level, level)


def check_says(check: str) -> str:
    """What a finding is about."""
    return CHECKS.get(check) or _ORDER_CHECKS.get(check, check)


def role_says(role: str) -> str:
    """What a device may do, in a word."""
    return _ROLE_NAMES.get(role, role)


def number(value: float, places: int) -> str:
    """A number with so many decimals."""
    return numbers.number(value, places)


def age(since: datetime, now: datetime) -> str:
    """How long something has waited: 5 min, 3 h, 2 Tagen."""
    seconds = max(0, int((now - since).total_seconds()))
    if seconds < 3600:
        return f"{seconds // 60} min"
    if seconds < 48 * 3600:
        return f"{seconds // 3600} h"
    return f"{seconds // 86400} Tagen"


def seen_ago(at: datetime, now: datetime) -> str:
    """When intake was last alive."""
    return "läuft" if (now - at).total_seconds() < 60 else f"meldete sich zuletzt vor {age(at, now)}"


def lateness(due_at: datetime | None, now: datetime) -> str:
    """Whether it is late: "seit 2 Tagen überfällig", "fällig in 5 h"; "" when there is time."""
    if due_at is None:
        return ""
    if due_at < now:
        return f"seit {age(due_at, now)} überfällig"
    return f"fällig in {age(now, due_at)}" if due_at - now < timedelta(hours=24) else ""


def band_names(edges_hours: Sequence[int]) -> list[str]:
    """What the shades of the strip mean, the youngest first."""
    said = [f"{hours} h" if hours < 48 else f"{hours // 24} Tage" for hours in edges_hours]
    between = [f"{low} bis {high}" for low, high in pairwise(said)]
    return [f"unter {said[0]}", *between, f"über {said[-1]}"]


def nothing_here(station: str, where: str) -> str:
    """Why there is no big button."""
    return f"Davon wartet {station_at(station)} nichts: {where}."
