"""What the pages are handed: books, settings, clock, and somebody who reaches into the shop's folders."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Protocol

from fastapi import Depends, Request

from config.settings import Settings
from tickets.film.model import StoredRun
from tickets.film.outlined import Outlines
from tickets.forecast.asked import AskedOrder
from tickets.ledger import Ledger
from tickets.ledger.devices import DeviceAnswer, DeviceBook
from tickets.ledger.links import LinkBook
from tickets.ledger.people import PeopleBook
from tickets.ledger.sign_ins import SignInBook
from tickets.lookup.answering import Foresee
from tickets.lookup.foreseeing import foresight
from tickets.lookup.items import ItemPage
from tickets.lookup.packing import ParcelAnswer
from tickets.lookup.printing import PaperRow
from tickets.lookup.shelf import Shelf
from tickets.problems import ShopProblem
from tickets.store import Store
from tickets.web.drops import Drops
from tickets.web.letters import Letters
from tickets.web.mends import Mends
from tickets.web.tries import Tries, Views


class Folders(Protocol):
    """Reaches into the shop's folders for the pages, which know nothing of folders themselves."""

    def art(self, item: ItemPage) -> bytes:
        """The small picture of an item's artwork (PNG); b"" when there is none."""
        ...

    def marked_art(self, item: ItemPage) -> bytes:
        """The same with the places of the findings marked; b"" when there is none."""
        ...

    def ticket_paper(self, order: str, code: str) -> bytes:
        """The job ticket (PDF); b"" when it is not printed yet."""
        ...

    @property
    def outlines(self) -> Outlines:
        """The outlines of artworks, which film is laid by; those that are missing are made."""
        ...

    def make_run_files(self, run: StoredRun) -> None:
        """Write a run's file and its sheet, proved by reading back. Raises ShopProblem."""
        ...

    def run_file(self, run: str, *, is_sheet: bool) -> bytes:
        """A run's file for the printer, or its sheet (PDF); b"" when it is not written."""
        ...

    def packing_slip(self, order: str, number: int) -> bytes:
        """A packing slip (PDF), as it is now. Raises NotFound, ShopProblem `nothing-packed-yet`."""
        ...

    def parcel_label(self, parcel: ParcelAnswer) -> bytes:
        """A parcel's label (PDF)."""
        ...

    def joined_papers(self, rows: Sequence[PaperRow]) -> bytes:
        """These tickets' papers as one PDF. Raises NotFound `no-paper-yet`."""
        ...

    def message(self, order: str) -> bytes:
        """The newest message to an order's customer (.eml); b"" when there is none."""
        ...

    def message_words(self, order: str) -> str:
        """The words of that message."""
        ...

    def root_certificate(self) -> bytes:
        """The root certificate that devices install (PEM); b"" when the shop has none of its own."""
        ...

    def write_due_papers(self) -> None:
        """Print what a scan or an answer has made due."""
        ...

    def asked_order(self, document: bytes) -> AskedOrder:
        """An order that is only asked about, read as intake reads orders. Raises OrderRefused."""
        ...

    @property
    def shelf(self) -> Shelf | None:
        """Where the newest forecast lies, for every process of the shop; None: each makes its own."""
        ...

    @property
    def drops(self) -> Drops:
        """Orders that are being written on the drop page."""
        ...

    @property
    def letters(self) -> Letters:
        """Messages to customers: their words, and their files."""
        ...

    @property
    def mends(self) -> Mends:
        """Repairs of queried artwork, and new artwork for it."""
        ...

    def close(self) -> None:
        """End what was started for the pages."""
        ...


@dataclass(frozen=True)
class Web:
    """All that the pages stand on. `address` is where other devices find them, for links and QR codes."""

    store: Store
    settings: Settings
    ledger: Ledger
    folders: Folders
    clock: Callable[[], datetime]
    address: str = ""
    tries: Tries = field(default_factory=Tries)
    patience_seconds: float | None = None  # after which pages tell an older forecast; None: they wait
    views: Views = field(default_factory=Views)

    @property
    def foresee(self) -> Foresee:
        """When orders in work are ready, as of now, or a little earlier where nobody is to wait for it."""
        now, shelf = self.clock(), self.folders.shelf
        return foresight(self.store, self.settings, now, self.patience_seconds, shelf)

    @property
    def devices(self) -> DeviceBook:
        """Who is let in."""
        return DeviceBook(self.store, self.clock)

    @property
    def people(self) -> PeopleBook:
        """Who may be named."""
        return PeopleBook(self.store, self.settings.shop.people, self.clock)

    @property
    def sign_ins(self) -> SignInBook:
        """Who is signed in at which device."""
        return SignInBook(self.store, self.settings.people, self.people, self.clock)

    @property
    def links(self) -> LinkBook:
        """Which customers' links work."""
        return LinkBook(self.store, self.clock)


def web_of(request: Request) -> Web:
    """The shop that this application serves."""
    web = request.app.state.web
    assert isinstance(web, Web)
    return web


def device_of(request: Request) -> DeviceAnswer:
    """The device that asks; the gate has put it there."""
    device = request.state.device
    assert isinstance(device, DeviceAnswer)
    return device


WebDep = Annotated[Web, Depends(web_of)]
DeviceDep = Annotated[DeviceAnswer, Depends(device_of)]


class NotAllowed(ShopProblem):
    """A device that is let in, but not for this."""

    http_status = 403


class NotLetIn(ShopProblem):
    """A device that is not let in."""

    http_status = 401


def require_desk(device: DeviceDep) -> None:
    """Raises NotAllowed `desk-only` for a station's device."""
    if device.role == "station":
        raise NotAllowed(
            "desk-only",
            f"This device ({device.name}) is let in for a station: it scans and sees.",
            "Do it at the desk, or let this device in once more with: filmdocket device add --role desk",
        )


def require_owner(device: DeviceDep) -> None:
    """Raises NotAllowed `owner-only` for any other device than an owner's."""
    if device.role != "owner":
        raise NotAllowed(
            "owner-only", f"This device ({device.name}) is not an owner's.", "Do it on the owner's device."
        )
