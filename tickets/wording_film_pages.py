"""The words of the film page: what stands on its buttons, over its lists, and in place of an empty one."""

from __future__ import annotations

from tickets.languages import make_spoken

FILM = "Film"
WAITS = "Waits for film"
NOTHING_WAITS = "Nothing waits to be printed outside of a run."
PLAN = "Plan the film"
PLAN_HOW = "Lays what waits on runs; what is planned already stays as far as it can. Nothing is booked yet."
PROPOSED = "The plan"
LAY = "Lay it: book this plan"
AS_IT_WAS = "Nothing would change."
RUNS = "Runs"
NO_RUNS = "No run is planned, released or on the line."
NEW_RUN = "New run"
STAYS = "stays as it is"
LAID_ANEW = "laid anew"
PINNED = "pinned"
PIN = "Pin"
FREE = "Unpin"
DROP = "Drop"
RELEASE = "Release: write and prove its file"
FILE, SHEET = "File for the printer (PDF)", "Run sheet (PDF)"
TAKE_OUT = "Take out"
SPOILED = "Spoiled film…"
SPOIL = "Book it as spoiled"
WHY = "What happened"
FROM_MM, TO_MM = "From, mm from the run's start", "to, mm"
WHOLE = "Empty: all of it."
OUT = "Taken out of the plans"
PUT_BACK = "Let plans have it"
KEY = "Whose pieces"
RUSH = "rush"
SMALLER = "Smaller sizes that save film"
SAID_YES = "The customer says yes"
SAID_NO = "As ordered"
STANDINGS = {"planned": "planned", "released": "released", "printed": "printed", "dropped": "dropped"}


def run_heading(film: str, size: str, pieces: int, spares: int, minutes: float) -> str:
    """What a run is."""
    more = f" + {spares} {'spare' if spares == 1 else 'spares'}" if spares else ""
    count = "1 piece" if pieces == 1 else f"{pieces} pieces"
    return f"{film} · {size} · {count}{more} · {minutes:.0f} min of cutting"


def in_key(pieces: int, spares: int, lost: int) -> str:
    """How many of a ticket lie on a run."""
    said = [f"× {pieces}"]
    said += [f"{spares} {'spare' if spares == 1 else 'spares'}"] if spares else []
    said += [f"{lost} lost"] if lost else []
    return ", ".join(said)


def waiting_at(waiting: dict[str, int]) -> str:
    """Where a run's pieces are."""
    return ", ".join(f"{count} at {place}" for place, count in waiting.items())


def making_outlines(count: int) -> str:
    """What takes time before older artworks are laid for the first time."""
    what = "1 artwork" if count == 1 else f"{count} artworks"
    return f"Looking for the outline of {what}; each is done once."


OTHERWISE = "Other film, or whole jobs…"
ROLL_MM = "Roll, mm wide"
SHEETS = "Sheets, mm"
JOBS = "A ticket's pieces"
_JOBS = {None: "", True: "whole", False: "parted"}
_JOBS_SAID = {None: "as the shop has it set", True: "whole in one run", False: "may lie across two runs"}


def metres_mark(mark_mm: float) -> str:
    """A mark of a map's scale."""
    return f"{mark_mm / 1000:g} m"


def jobs_value(whole_jobs: bool | None) -> str:
    """The choice as the form has it."""
    return _JOBS[whole_jobs]


def jobs_choices(whole_jobs: bool | None) -> list[tuple[str, str, bool]]:
    """What may be chosen: value, words, whether it is."""
    return [(value, _JOBS_SAID[choice], choice is whole_jobs) for choice, value in _JOBS.items()]


make_spoken(__name__, de="tickets.german.film_pages")
