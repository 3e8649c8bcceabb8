"""What the pages see of the shop's folders: pictures, papers and messages; and the server that shows them."""

from __future__ import annotations

import email
import email.policy
import signal
import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from threading import Event, Lock, Thread
from typing import TYPE_CHECKING

from intake.naming import safe_name
from intake.pictures import picture_path
from intake.shop import Shop
from tickets.problems import SetupProblem
from tickets.wording_pages import (
    also_on_the_network,
    loopback_only,
    owner_link,
    pages_at,
)

if TYPE_CHECKING:
    import uvicorn

    from config.settings import Settings
    from intake.drafts import ShopDrops
    from intake.film.outlines import ShopOutlines
    from intake.forecasts import FolderShelf
    from intake.letters.desk import ShopLetters
    from intake.mends import ShopMends
    from intake.sandbox import Sandbox
    from tickets.film.model import StoredRun
    from tickets.forecast.asked import AskedOrder
    from tickets.lookup.items import ItemPage
    from tickets.lookup.packing import ParcelAnswer
    from tickets.lookup.printing import PaperRow
    from tickets.web.door import Web

LOOPBACK = ("127.0.0.1", "::1", "localhost")
EVERYWHERE = ("0.0.0.0", "::", "")
STOP_SECONDS = 3
PATIENCE_SECONDS = 0.2  # for a new forecast; then the pages tell the one before, with its age
PORT = 8765


@dataclass(frozen=True)
class ShopFolders:
    """One shop's folders, for reading; and its papers, for writing what is due."""

    shop: Shop
    printing: Lock = field(default_factory=Lock)
    wanted: Event = field(default_factory=Event)

    def art(self, item: ItemPage) -> bytes:
        """The small picture that the check has made; never made here: strangers' files need the sandbox."""
        return _read(picture_path(self.shop, item.artwork_sha256, item.page))

    def marked_art(self, item: ItemPage) -> bytes:
        """The picture with the places of the findings; plain where there is no place to mark."""
        from intake.report import draw_findings, finding_from_json

        picture = self.art(item)
        if not picture or item.print_mm is None or not item.findings:
            return picture
        return draw_findings(
            picture, [finding_from_json(f) for f in item.findings], item.print_mm, is_listed=False
        )

    def ticket_paper(self, order: str, code: str) -> bytes:
        """The job ticket as it was printed last."""
        return _read(self.shop.papers / safe_name(order) / f"{safe_name(code)}.pdf")

    @cached_property
    def outlines(self) -> ShopOutlines:
        """The outlines of artworks, which film is laid by; those that are missing are made."""
        from intake.film.outlines import ShopOutlines

        return ShopOutlines(self.shop, lambda: self.sandbox)

    def make_run_files(self, run: StoredRun) -> None:
        """A run's file and its sheet; what was there before stands until the new one is proved."""
        from intake.film.files import make_run_files

        make_run_files(self.shop, run)

    def run_file(self, run: str, *, is_sheet: bool) -> bytes:
        """The file of a run as it was written last, or its sheet."""
        from intake.film.files import SHEET
        from intake.film.making import run_path

        return _read(run_path(self.shop, safe_name(run), SHEET if is_sheet else ".pdf"))

    def packing_slip(self, order: str, number: int) -> bytes:
        """The packing slip, printed again where it has changed or is gone."""
        from intake.packing import slip_path, slips_asked, write_slip

        (slip,) = slips_asked(self.shop, order, number)
        path = slip_path(self.shop, slip)
        if not slip.is_papered or not path.is_file():
            write_slip(self.shop, slip)
        return _read(path)

    def parcel_label(self, parcel: ParcelAnswer) -> bytes:
        """The label of a parcel, rendered as it is now."""
        from intake.parcels import label_of

        return label_of(self.shop, parcel)

    def joined_papers(self, rows: Sequence[PaperRow]) -> bytes:
        """These tickets' papers as one PDF; one that was thrown away is made again."""
        from intake.batches import joined_papers

        return joined_papers(self.shop, rows)

    def message(self, order: str) -> bytes:
        """The newest message in the order's outbox."""
        found = list((self.shop.outbox / safe_name(order)).glob("message*.eml"))
        return _read(max(found, key=lambda path: path.stat().st_mtime_ns)) if found else b""

    def message_words(self, order: str) -> str:
        """The words of the newest message."""
        content = self.message(order)
        if not content:
            return ""
        read = email.message_from_bytes(content, policy=email.policy.default)
        body = read.get_body(("plain",))
        head = f"To: {read['to'] or ''}\nSubject: {read['subject'] or ''}\n\n"
        return head + (body.get_content() if body else "")

    @cached_property
    def sandbox(self) -> Sandbox:
        """The processes that open strangers' files; started with the first."""
        from intake.sandbox import Sandbox

        return Sandbox(self.shop.settings.sandbox)

    def asked_order(self, document: bytes) -> AskedOrder:
        """An order that is only asked about."""
        from intake.order.asked import read_asked

        return read_asked(document, self.shop.settings, self.shop.clock())

    @cached_property
    def drops(self) -> ShopDrops:
        """Orders that are being written on the drop page."""
        from intake.drafts import ShopDrops

        return ShopDrops(self.shop, lambda: self.sandbox)

    @property
    def letters(self) -> ShopLetters:
        """Messages to customers: their words, and their files."""
        from intake.letters.desk import ShopLetters

        return ShopLetters(self.shop)

    @cached_property
    def mends(self) -> ShopMends:
        """Repairs of queried artwork, and new artwork for it."""
        from intake.mends import ShopMends

        return ShopMends(self.shop, lambda: self.sandbox)

    @property
    def shelf(self) -> FolderShelf:
        """Where the newest forecast lies."""
        return self.shop.shelf

    def close(self) -> None:
        """End the processes that were started."""
        if "sandbox" in self.__dict__:
            self.sandbox.close()

    def root_certificate(self) -> bytes:
        """The root that the shop's devices install."""
        return _read(self.shop.folder / "certificates" / "root.pem")

    def write_due_papers(self) -> None:
        """Print what is due now."""
        from intake.papers import write_due_papers

        self.wanted.set()
        # Of several who ask at once one prints, once more if it was asked meanwhile; the others do not wait:
        # they would keep the threads that answer scans.
        while self.wanted.is_set() and self.printing.acquire(blocking=False):
            try:
                self.wanted.clear()
                write_due_papers(self.shop)
            finally:
                self.printing.release()


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return b""


def web_of_shop(shop: Shop, address: str = "") -> Web:
    """The pages' view of an opened shop."""
    from tickets.web.door import Web

    return Web(shop.store, shop.settings, shop.ledger, ShopFolders(shop), shop.clock, address)


@dataclass(frozen=True)
class Place:
    """Where the pages are served. `certificate` and `key` are PEM files; without them it is plain http."""

    host: str
    port: int
    certificate: Path | None = None
    key: Path | None = None

    @property
    def address(self) -> str:
        """What other devices type: this machine's own address where it listens everywhere."""
        scheme = "https" if self.certificate else "http"
        host = own_address() if self.host in EVERYWHERE else self.host
        return f"{scheme}://{f'[{host}]' if ':' in host else host}:{self.port}"


def public_address(settings: Settings) -> tuple[str, bool]:
    """Where customers' links begin, and whether that is an address that customers can reach."""
    if settings.links.address:
        return settings.links.address, True
    return settings.shop.ticket_url or Place("0.0.0.0", PORT).address, False


def chosen_certificate(
    shop: Shop, certificate: Path | None, key: Path | None
) -> tuple[Path | None, Path | None]:
    """Certificate and key as asked, else as set; both None: plain http."""
    if certificate is not None:
        return certificate, key
    pages = shop.settings.pages
    return (
        shop.folder / pages.certificate if pages.certificate else None,
        shop.folder / pages.key if pages.key else key,
    )


def serve_pages(shop: Shop, place: Place, tell: Callable[[str], None]) -> None:
    """Serve the pages until stopped. Raises SetupProblem `address-taken`, `certificate-wrong`."""
    import uvicorn

    from tickets.web.app import build_app

    address = shop.settings.shop.ticket_url.rstrip("/") or place.address
    web = replace(web_of_shop(shop, address), patience_seconds=PATIENCE_SECONDS)
    Thread(target=web.foresee, daemon=True).start()  # so that the first who asks need not wait for it
    listening = _listen(place)
    server: uvicorn.Server
    app = build_app(web, lambda: server.should_exit)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=bool(shop.settings.pages.trusted_proxies),
        forwarded_allow_ips=list(shop.settings.pages.trusted_proxies),
        timeout_graceful_shutdown=STOP_SECONDS,
        ssl_certfile=place.certificate,
        ssl_keyfile=place.key,
    )
    try:
        config.load()
    except OSError as error:
        listening.close()
        raise SetupProblem(
            "certificate-wrong",
            f"The certificate or its key cannot be used: {error.strerror or error}.",
            "Name a certificate with --certificate and its own key with --key, both PEM files.",
        ) from error
    server = uvicorn.Server(config)
    _tell_where(web, place, tell)
    try:
        with listening:
            _run(server, listening)
    finally:
        web.folders.close()


def _run(server: uvicorn.Server, listening: socket.socket) -> None:
    """Serve until a signal; asked to end, it has ended well."""
    # Once it has closed everything the server raises the signal again, for those who want to die by it.
    before = signal.signal(signal.SIGTERM, lambda _number, _frame: None)
    try:
        server.run(sockets=[listening])
    except KeyboardInterrupt:
        return
    finally:
        signal.signal(signal.SIGTERM, before)


def _tell_where(web: Web, place: Place, tell: Callable[[str], None]) -> None:
    tell(pages_at(place.address))
    code = web.devices.owner_code()
    if code is not None:
        tell(owner_link(f"{place.address}/pair/{code}"))
    tell(loopback_only() if place.host in LOOPBACK else also_on_the_network())


def _listen(place: Place) -> socket.socket:
    family = socket.AF_INET6 if ":" in place.host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((place.host, place.port))
    except (OSError, OverflowError) as error:
        listening.close()
        raise SetupProblem(
            "address-taken",
            f"The pages cannot be served at {place.host} port {place.port}: "
            f"{getattr(error, 'strerror', None) or error}.",
            "Name another one with --port, or end the program that has it.",
        ) from error
    return listening


def own_address() -> str:
    """This machine's address in its network, as its way out tells it; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for documentation, belongs to nobody
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
