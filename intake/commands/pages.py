"""Commands of the pages: serve them, and let devices in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_aside, print_json, print_lines

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from tickets.ledger.devices import DeviceBook

PORT = 8765  # as in `intake.serving`, which this command line imports only when it serves
NameOption = Annotated[str, typer.Option("--name", help="What the device is called; it may say so itself.")]


def add_commands(app: typer.Typer) -> None:
    """Hang the pages' commands on the command line."""
    app.command(epilog="Example: filmdocket serve --host 0.0.0.0 --port 8765")(serve)
    app.command(
        epilog="Example: filmdocket device add --role station --name 'press kiosk'",
    )(device)


def serve(
    host: Annotated[
        str, typer.Option("--host", help="Where to listen; 0.0.0.0: the whole network.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="The port.")] = PORT,
    certificate: Annotated[
        Path | None,
        typer.Option("--certificate", help="A certificate (PEM): the pages are https then; else as set."),
    ] = None,
    key: Annotated[
        Path | None, typer.Option("--key", help="Its key (PEM), where it is a file apart.")
    ] = None,
    shop: ShopOption = None,
) -> None:
    """Serve the web pages for stations, phones and the desk until stopped."""
    from intake.serving import Place, chosen_certificate, serve_pages

    with open_asked(shop) as opened:
        chosen = chosen_certificate(opened, certificate, key)
        serve_pages(opened, Place(host, port, *chosen), print_aside)


def device(
    what: Annotated[str, typer.Argument(help="add, list, or revoke.")],
    number: Annotated[
        int | None, typer.Argument(help="Which device to revoke, as the list numbers it.", show_default=False)
    ] = None,
    role: Annotated[
        str,
        typer.Option("--role", help="station: scans and sees; desk: all about orders; owner: devices too."),
    ] = "station",
    name: NameOption = "",
    address: Annotated[
        str, typer.Option("--address", help="Where the pages are, as the device reaches them.")
    ] = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Let a phone, kiosk or computer in to the pages, list them, or revoke one."""
    if what not in ("add", "list", "revoke"):
        raise typer.BadParameter(f"{what!r}: it is add, list or revoke")
    if (what == "revoke") != (number is not None):
        raise typer.BadParameter("revoke takes the device's number, the others take none")
    from tickets.ledger.devices import DeviceBook

    with open_asked(shop) as opened:
        book = DeviceBook(opened.store, opened.clock)
        if what == "add":
            _add(book, role, name, address or opened.settings.shop.ticket_url, as_json)
        elif what == "list":
            _list(book, opened.settings.shop.zone, as_json)
        else:
            _revoke(book, number or 0, as_json)


def _add(book: DeviceBook, role: str, name: str, address: str, as_json: bool) -> None:
    from intake.serving import Place
    from tickets.web.qr_picture import qr_lines
    from tickets.wording_pages import pairing_lines

    code = book.new_code(role, name)
    link = f"{(address or Place('0.0.0.0', PORT).address).rstrip('/')}/pair/{code}"
    if as_json:
        print_json({"code": code, "link": link, "role": role, "name": name or None})
        return
    print_lines(*qr_lines(link), *pairing_lines(code, link))


def _list(book: DeviceBook, zone: ZoneInfo, as_json: bool) -> None:
    from tickets.wording_pages import device_line

    found = book.devices()
    if as_json:
        print_json({"devices": [one.as_json() for one in found]})
        return
    lines = [
        device_line(
            one.id,
            one.name,
            one.role,
            f"{one.seen_at.astimezone(zone):%Y-%m-%d %H:%M}",
            revoked=one.revoked_at is not None,
        )
        for one in found
    ]
    print_lines(*(lines or ["No device is let in yet."]))


def _revoke(book: DeviceBook, number: int, as_json: bool) -> None:
    from tickets.wording_pages import device_revoked

    gone = book.revoke(number)
    if as_json:
        print_json(gone.as_json())
    else:
        print_lines(device_revoked(gone.name))
