"""German: the film page, its buttons, what stands over its lists, and in place of an empty one."""

from __future__ import annotations

from tickets.german.floor import pieces as counted
from tickets.german.floor import station_at
from tickets.german.numbers import short

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
OTHERWISE, ROLL_MM = "Anderer Film oder ganze Laufzettel …", "Rolle, mm breit"
SHEETS, JOBS = "Bogen, mm", "Stücke eines Laufzettels"
_JOBS = {None: "", True: "whole", False: "parted"}
_JOBS_SAID = {None: "wie eingestellt", True: "ganz in einem Lauf", False: "dürfen über zwei Läufe liegen"}
STANDINGS = {"planned": "geplant", "released": "freigegeben", "printed": "gedruckt", "dropped": "verworfen"}


def run_heading(film: str, size: str, pieces: int, spares: int, minutes: float) -> str:
    """What a run is."""
    more = f" + {spares} Reserve" if spares else ""
    return f"{film} · {size} · {counted(pieces)}{more} · {minutes:.0f} min Schneiden"


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


def metres_mark(mark_mm: float) -> str:
    """A mark of a map's scale."""
    return f"{short(mark_mm / 1000)} m"


def jobs_value(whole_jobs: bool | None) -> str:
    """The choice as the form has it."""
    return _JOBS[whole_jobs]


def jobs_choices(whole_jobs: bool | None) -> list[tuple[str, str, bool]]:
    """What may be chosen: value, words, whether it is."""
    return [(value, _JOBS_SAID[choice], choice is whole_jobs) for choice, value in _JOBS.items()]
