"""What was done, as JSON for every door alike: the ticket, run or order as it stands now, with what moved."""

from __future__ import annotations

from typing import Any

from config.settings import Settings
from tickets.codes import is_code, is_run_code
from tickets.lookup.finding import order_answer, ticket_answer
from tickets.lookup.naming import is_ticket_code
from tickets.lookup.runs import run_answer
from tickets.requests import ScanAnswer
from tickets.store import Store


def scan_document(store: Store, settings: Settings, answer: ScanAnswer, keyboard: str = "") -> dict[str, Any]:
    """The ticket (or, for an order or run, its tickets) as in `where`, with what a scan or undo moved.

    `keyboard`: what to say of a scanner that is set to another keyboard than the computer.
    """
    done, code = answer.as_json(), answer.code
    ask: Any = run_answer if is_run_code(code) else ticket_answer if is_code(code) else order_answer
    if code == answer.order:  # an order's number may look like a code
        ask = order_answer
    where = ask(store, settings, code).as_json()
    told = {key: done[key] for key in ("moved", "reprint", "packing", "says")}
    return {**where, **told, "keyboard": keyboard or None}


def desk_document(store: Store, settings: Settings, named: str, says: str) -> dict[str, Any]:
    """The ticket or order that the desk acted on, and the sentence about what was done."""
    ask: Any = ticket_answer if is_ticket_code(named) else order_answer
    return {**ask(store, settings, named).as_json(), "says": says}
