"""The tickets of a film run, as `where` has them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import text

from config.settings import Settings
from tickets.lookup.answering import Answering
from tickets.lookup.answers import TicketAnswer
from tickets.lookup.loading import load_orders
from tickets.problems import NotFound
from tickets.store import Store

# Read from the newest scan backwards: who asks has mostly just scanned the run.
_LAST = text("SELECT id FROM scans WHERE code = :run AND kind <> 'undo' ORDER BY id DESC LIMIT 1")
_MOVED = text(
    "SELECT DISTINCT t.code, i.order_id FROM movements AS m JOIN tickets AS t ON t.id = m.ticket_id "
    "JOIN items AS i ON i.id = t.item_id WHERE m.scan_id = :scan ORDER BY i.order_id, t.code"
)


@dataclass(frozen=True, slots=True)
class RunAnswer:
    """The tickets whose pieces the last scan of a run moved, or that were laid into it."""

    run: str
    tickets: tuple[TicketAnswer, ...]

    def as_json(self) -> dict[str, Any]:
        """The run and its tickets, each as in `where --json`."""
        return {"run": self.run, "tickets": [ticket.as_json() for ticket in self.tickets]}


def run_answer(store: Store, settings: Settings, run: str, now: datetime | None = None) -> RunAnswer:
    """The tickets of a film run by its code. Raises NotFound `run-not-known`."""
    answering = Answering.of(settings, now or datetime.now(UTC))
    with store.reading() as session:
        connection = session.connection()
        scan = connection.execute(_LAST, {"run": run}).scalar()
        if scan is None:
            raise NotFound(
                "run-not-known",
                f"There is no film run {run} in the books.",
                "Read the code once more, or scan a ticket of it.",
            )
        moved = connection.execute(_MOVED, {"scan": scan}).all()
        orders = load_orders(session.connection(), list(dict.fromkeys(row.order_id for row in moved)))
    codes = {row.code for row in moved}
    answers = (ticket for order in orders for ticket in answering.order(order).tickets)
    return RunAnswer(run, tuple(ticket for ticket in answers if ticket.code in codes))
