"""Papers of a job: values in, PDF bytes out."""

from tickets.paper.fonts import Fonts, load_fonts, missing_characters
from tickets.paper.ticket import Form, StationTick, TicketPaper, render_ticket

__all__ = [
    "Fonts",
    "Form",
    "StationTick",
    "TicketPaper",
    "load_fonts",
    "missing_characters",
    "render_ticket",
]
