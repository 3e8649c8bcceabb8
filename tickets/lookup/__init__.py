"""Every answer that is read from the books: where is it, what waits, what is due; plain frozen values."""

from tickets.lookup.answers import ItemAnswer, NearAnswer, OrderAnswer, TicketAnswer, WhereAnswer
from tickets.lookup.due import (
    DueItem,
    DueOrder,
    PaperDue,
    ReportDue,
    UncheckedItem,
    due_papers,
    due_reports,
    unchecked_items,
)
from tickets.lookup.finding import order_answer, order_number_as_booked, ticket_answer, where_is
from tickets.lookup.history import HistoryLine, order_history
from tickets.lookup.lists import (
    FileAnswer,
    InboxAnswer,
    WaitingAnswer,
    list_arrivals,
    list_orders,
    read_order_book,
    waiting_at,
)

__all__ = [
    "DueItem",
    "DueOrder",
    "FileAnswer",
    "HistoryLine",
    "InboxAnswer",
    "ItemAnswer",
    "NearAnswer",
    "OrderAnswer",
    "PaperDue",
    "ReportDue",
    "TicketAnswer",
    "UncheckedItem",
    "WaitingAnswer",
    "WhereAnswer",
    "due_papers",
    "due_reports",
    "list_arrivals",
    "list_orders",
    "order_answer",
    "order_history",
    "order_number_as_booked",
    "read_order_book",
    "ticket_answer",
    "unchecked_items",
    "waiting_at",
    "where_is",
]
