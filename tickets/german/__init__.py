"""German: what stations, tickets and scans say, name by name beside the English wording modules."""

from tickets.german import codes, floor, pages, people, route, where
from tickets.languages import add_language

add_language(
    "de",
    {
        "tickets.wording": codes,
        "tickets.wording_floor": floor,
        "tickets.wording_pages": pages,
        "tickets.wording_people": people,
        "tickets.wording_route": route,
        "tickets.wording_where": where,
    },
)

__all__ = ["codes", "floor", "pages", "people", "route", "where"]
