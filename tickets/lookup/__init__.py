"""Every answer that is read from the books: where is it, what waits, what is due; plain frozen values."""

from tickets.lookup.answers import NearAnswer, OrderAnswer, TicketAnswer, WhereAnswer
from tickets.lookup.finding import order_answer, order_number_as_booked, ticket_answer, where_is

__all__ = [
    "NearAnswer",
    "OrderAnswer",
    "TicketAnswer",
    "WhereAnswer",
    "order_answer",
    "order_number_as_booked",
    "ticket_answer",
    "where_is",
]
