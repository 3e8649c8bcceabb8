"""The words about printing papers: what is printed, what waits for the printer, and why it does not print."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from tickets.languages import make_spoken
from tickets.wording_floor import pieces

NOTHING_UNPRINTED = "Every ticket's paper is printed."
NONE_TODAY = "No ticket was issued today."
NONE_OF_ORDER = "This order has no ticket's paper yet."
WHICH, UNPRINTED, TODAY = "Which papers", "Not printed yet", "Issued today"
ONE_FILE, TO_PRINTER = "One PDF of the ticked", "Send the ticked to the printer"
COUNTS_AS_PRINTED = "What you take as a PDF counts as printed."
NONE_CHOSEN, CHOOSE_SOME = "No ticket is ticked.", "Tick those that you want to print."
MAKE_A_FILE = "Take them as one PDF, and print that."
AT_DESK = "the desk"
NO_PRINTER = "No printer is set: papers.print_command in shop.toml is empty, tickets are printed by hand."


def tickets_printed(count: int) -> str:
    """What a print command or a saved file has put on paper."""
    return f"{_tickets(count)} printed."


def saved_for_printing(count: int, path: str) -> str:
    """Several tickets as one file; they count as printed."""
    return f"{_tickets(count)} in {path}; they count as printed."


def sent_to_printer(count: int) -> str:
    """Asked for at the printer; the daemon prints them."""
    return f"{_tickets(count)} sent to the printer."


def printer_stands(waiting: int, why: str) -> str:
    """Why papers wait, for the line page, the doctor and the log."""
    verb = "waits" if waiting == 1 else "wait"
    return f"{_tickets(waiting)} {verb} for the printer: {why}"


def program_missing(program: str) -> str:
    """The print command's program is not there."""
    return f"the program {program} of papers.print_command is not found."


def program_failed(program: str, status: int, said: str) -> str:
    """It ended with another status than 0."""
    return f"{program} ended with status {status}{f' and said: {said}' if said else ''}."


def program_not_started(program: str, why: str) -> str:
    """The system would not start it."""
    return f"{program} cannot be started: {why}."


def program_hung(program: str, seconds: float) -> str:
    """It was ended for taking too long."""
    return f"{program} did not end within {seconds:.0f} s and was ended."


def paper_lost(code: str) -> str:
    """The file is gone and its order is closed."""
    return f"the paper of {code} is not in papers/ any more, and its order is closed."


class Paper(Protocol):
    """What is said of one ticket's paper; times in UTC."""

    @property
    def code(self) -> str:
        """The ticket's."""
        ...

    @property
    def order(self) -> str:
        """Its order's number."""
        ...

    @property
    def customer(self) -> str:
        """Who ordered it."""
        ...

    @property
    def quantity(self) -> int:
        """Pieces."""
        ...

    @property
    def printed_at(self) -> datetime | None:
        """When it was put on paper; None: not yet."""
        ...

    @property
    def is_at_printer(self) -> bool:
        """Whether it waits for the printer."""
        ...


def say_paper(paper: Paper, zone: ZoneInfo) -> str:
    """One ticket in `papers list`."""
    said = f"{paper.code}  {paper.order}  {paper.customer}, {pieces(paper.quantity)}"
    return f"{said}; {print_state(paper, zone)}"


def print_state(paper: Paper, zone: ZoneInfo) -> str:
    """Whether a paper is printed, in words."""
    if paper.is_at_printer:
        return "waits for the printer"
    if paper.printed_at is None:
        return "not printed yet"
    return f"printed {paper.printed_at.astimezone(zone):%Y-%m-%d %H:%M}"


def _tickets(count: int) -> str:
    return "1 ticket" if count == 1 else f"{count} tickets"


make_spoken(__name__, de="tickets.german.papers")
