"""German: printing papers, what is printed, what waits for the printer, and why it does not print."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from tickets.german.numbers import stamp
from tickets.wording_papers import say_paper as say_paper

if TYPE_CHECKING:
    from tickets.wording_papers import Paper

NOTHING_UNPRINTED = "Alle Laufzettel sind gedruckt."
NONE_TODAY = "Heute ist kein Laufzettel ausgestellt."
NONE_OF_ORDER = "Dieser Auftrag hat noch keinen Laufzettel."
WHICH, UNPRINTED, TODAY = "Welche Papiere", "Noch nicht gedruckt", "Heute ausgestellt"
ONE_FILE, TO_PRINTER = "Angekreuzte als ein PDF", "Angekreuzte an den Drucker"
COUNTS_AS_PRINTED = "Was Sie als PDF nehmen, gilt als gedruckt."
NONE_CHOSEN, CHOOSE_SOME = "Kein Laufzettel ist angekreuzt.", "Ankreuzen, was gedruckt werden soll."
MAKE_A_FILE = "Als ein PDF nehmen und das drucken."
AT_DESK = "das Büro"
NO_PRINTER = (
    "Kein Drucker ist eingestellt (papers.print_command in shop.toml ist leer): Laufzettel von Hand drucken."
)


def tickets_printed(count: int) -> str:
    """What a print command or a saved file has put on paper."""
    return f"{count} Laufzettel gedruckt."


def saved_for_printing(count: int, path: str) -> str:
    """Several tickets as one file; they count as printed."""
    return f"{count} Laufzettel in {path}; gilt als gedruckt."


def sent_to_printer(count: int) -> str:
    """Asked for at the printer; the daemon prints them."""
    return f"{count} Laufzettel an den Drucker gesandt."


def printer_stands(waiting: int, why: str) -> str:
    """Why papers wait, for the line page, the doctor and the log."""
    return f"{_waits(waiting)} auf den Drucker: {why}"


def program_missing(program: str) -> str:
    """The print command's program is not there."""
    return f"das Programm {program} aus papers.print_command ist nicht zu finden."


def program_failed(program: str, status: int, said: str) -> str:
    """It ended with another status than 0."""
    return f"{program} endete mit Status {status}{f' und sagte: {said}' if said else ''}."


def program_not_started(program: str, why: str) -> str:
    """The system would not start it."""
    return f"{program} lässt sich nicht starten: {why}."


def program_hung(program: str, seconds: float) -> str:
    """It was ended for taking too long."""
    return f"{program} war nach {seconds:.0f} s nicht fertig und wurde beendet."


def paper_lost(code: str) -> str:
    """The file is gone and its order is closed."""
    return f"der Laufzettel {code} ist nicht mehr in papers/, und sein Auftrag ist abgeschlossen."


def print_state(paper: Paper, zone: ZoneInfo) -> str:
    """Whether a paper is printed, in words."""
    if paper.is_at_printer:
        return "wartet auf den Drucker"
    return "noch nicht gedruckt" if paper.printed_at is None else f"gedruckt {stamp(paper.printed_at, zone)}"


def _waits(count: int) -> str:
    return f"{count} Laufzettel {'wartet' if count == 1 else 'warten'}"
