"""The job ticket: the paper that travels with the pieces, as an A5 docket or a 100 × 150 mm label."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

from tickets.paper.fonts import Fonts

if TYPE_CHECKING:
    from config.settings import PressSetting

Form = Literal["a5", "label"]


@dataclass(frozen=True, slots=True)
class StationTick:
    """One station to tick by hand when the network is down; a skipped one is struck out."""

    label: str
    is_skipped: bool = False


@dataclass(frozen=True, slots=True)
class TicketPaper:
    """Everything that stands on a job ticket. Lengths in mm, times in the shop's own zone.

    due: a time, a day, or the order's own words. press: the shop's setting for this film and cloth, None when
    it has none. picture_png: the art as straight RGBA, empty when there is none. answer: what the customer
    said to a query. qr_text: what scanners read; empty: the bare code.
    """

    code: str
    order: str
    customer: str
    quantity: int
    shop: str = ""
    item: int = 1
    items: int = 1
    due: datetime | date | str | None = None
    purchase_order: str = ""
    rush: bool = False
    reprint_of: str = ""
    service: str = "pressed"
    artwork: str = ""
    page: int | None = None
    picture_png: bytes = b""
    print_mm: tuple[float, float] | None = None
    mirrored: bool = False
    may_turn: bool = True
    placement: str = ""
    garment: str = ""
    garment_colour: str = ""
    fabric: str = ""
    garment_set: str = ""
    sizes: tuple[tuple[str, int], ...] = ()
    film: str = ""
    press: PressSetting | None = None
    stations: tuple[StationTick, ...] = ()
    note: str = ""
    answer: str = ""
    qr_text: str = ""

    @property
    def scanned(self) -> str:
        """What the QR code says."""
        return self.qr_text or self.code


def render_ticket(ticket: TicketPaper, form: Form, fonts: Fonts) -> bytes:
    """The ticket as PDF; the same ticket, form and fonts give the same bytes.

    Raises SetupProblem `qr-too-long` when `qr_text` is too long to be printed so that scanners read it.
    """
    from tickets.paper.docket import draw_docket
    from tickets.paper.label import draw_label

    return (draw_label if form == "label" else draw_docket)(ticket, fonts)
