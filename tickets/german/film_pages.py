"""German: the film page, its buttons, what stands over its lists, and in place of an empty one."""

from __future__ import annotations

from tickets.german.floor import pieces as counted
from tickets.german.floor import station_at
from tickets.german.numbers import number

FILM, WAITS = "Film", "Wartet auf Film"
NOTHING_WAITS = "Außerhalb der Läufe wartet nichts auf den Druck."
PLAN = "Film planen"
PLAN_HOW = "Legt Wartendes auf Läufe; Geplantes bleibt, soweit es geht. Gebucht ist damit noch nichts."
PROPOSED, LAY, AS_IT_WAS = "Der Plan", "So buchen", "Es würde sich nichts ändern."
RUNS, NO_RUNS = "Läufe", "Kein Lauf ist geplant, freigegeben oder in der Fertigung."
NEW_RUN, STAYS, LAID_ANEW = "Neuer Lauf", "bleibt, wie er ist", "neu gelegt"
PINNED, PIN, FREE, DROP = "festgehalten", "Festhalten", "Loslassen", "Verwerfen"
RELEASE = "Freigeben: Datei schreiben und prüfen"
FILE, SHEET = "Datei für den Drucker (PDF)", "Begleitblatt (PDF)"
TAKE_OUT, SPOILED, SPOIL = "Herausnehmen", "Film verdorben …", "Als Ausschuss buchen"
WHY, FROM_MM, TO_MM = "Was ist passiert", "Von, mm ab Anfang des Laufs", "bis, mm"
WHOLE = "Leer: alles."
OUT, PUT_BACK = "Aus den Plänen genommen", "Wieder einplanen"
KEY, RUSH = "Wem die Stücke gehören", "eilig"
SMALLER = "Kleinere Maße, die Film sparen"
SAID_YES, SAID_NO = "Kunde ist einverstanden", "Wie bestellt"
STANDINGS = {"planned": "geplant", "released": "freigegeben", "printed": "gedruckt", "dropped": "verworfen"}


def run_heading(film: str, length_mm: float, pieces: int, spares: int, minutes: float) -> str:
    """What a run is."""
    more = f" + {spares} Reserve" if spares else ""
    length = number(length_mm / 1000, 2)
    return f"{film} · {length} m · {counted(pieces)}{more} · {minutes:.0f} min Schneiden"


def in_key(pieces: int, spares: int, lost: int) -> str:
    """How many of a ticket lie on a run."""
    said = [f"× {pieces}"]
    said += [f"{spares} Reserve"] if spares else []
    said += [f"{lost} verloren"] if lost else []
    return ", ".join(said)


def waiting_at(waiting: dict[str, int]) -> str:
    """Where a run's pieces are."""
    return ", ".join(f"{count} {station_at(place)}" for place, count in waiting.items())


def making_outlines(count: int) -> str:
    """What takes time before older artworks are laid for the first time."""
    what = "Der Umriss eines Motivs wird" if count == 1 else f"Die Umrisse von {count} Motiven werden"
    return f"{what} gesucht; das geschieht nur einmal."
