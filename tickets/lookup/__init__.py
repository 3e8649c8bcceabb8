"""Every answer that is read from the books: where is it, what waits, what is due; plain frozen values.

What a caller's question needs is imported at once, the rest with the tables' classes when it is asked for:
`filmdocket where` starts in half the time.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from tickets.lookup.answers import ItemAnswer, NearAnswer, OrderAnswer, TicketAnswer, WhereAnswer
from tickets.lookup.finding import order_answer, order_number_as_booked, ticket_answer, where_is

if TYPE_CHECKING:
    from tickets.lookup.due import (
        DueItem,
        DueOrder,
        PaperDue,
        ReportDue,
        UncheckedItem,
        due_papers,
        due_reports,
        unchecked_items,
        written_papers,
    )
    from tickets.lookup.history import HistoryLine, order_history
    from tickets.lookup.kept import KeptFile, kept_files
    from tickets.lookup.lists import (
        FileAnswer,
        InboxAnswer,
        WaitingAnswer,
        list_arrivals,
        list_orders,
        read_order_book,
        waiting_at,
    )
    from tickets.lookup.runs import RunAnswer, run_answer

__all__ = [
    "DueItem",
    "DueOrder",
    "FileAnswer",
    "HistoryLine",
    "InboxAnswer",
    "ItemAnswer",
    "KeptFile",
    "NearAnswer",
    "OrderAnswer",
    "PaperDue",
    "ReportDue",
    "RunAnswer",
    "TicketAnswer",
    "UncheckedItem",
    "WaitingAnswer",
    "WhereAnswer",
    "due_papers",
    "due_reports",
    "kept_files",
    "list_arrivals",
    "list_orders",
    "order_answer",
    "order_history",
    "order_number_as_booked",
    "read_order_book",
    "run_answer",
    "ticket_answer",
    "ticket_item",
    "unchecked_items",
    "waiting_at",
    "where_is",
    "written_papers",
]
_LATER = ("due", "history", "kept", "lists", "runs")


def __getattr__(name: str) -> Any:
    if name in __all__:
        for room in _LATER:
            module = import_module(f"{__name__}.{room}")
            if hasattr(module, name):
                return getattr(module, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
