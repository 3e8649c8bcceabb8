"""Commands that ask: where, orders, inbox."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from typing import Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang the questions on the command line."""
    app.command(
        short_help="Find orders by whatever a caller says.", epilog="Example: filmdocket where otter hoodies"
    )(where)
    app.command(
        short_help="The order book, newest first.",
        epilog="Example: filmdocket orders --standing queried --since 2026-11-01",
    )(orders)
    app.command(
        short_help="What was dropped, and what was made of it.", epilog="Example: filmdocket inbox --json"
    )(inbox)


def where(
    words: Annotated[
        list[str],
        typer.Argument(help="Anything that the caller says: a name, a number, half a phone number."),
    ],
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find orders by whatever the caller says, and say where they are."""
    from tickets.lookup import where_is
    from tickets.lookup.foreseeing import foresight

    with open_asked(shop) as opened:
        now = opened.clock()
        foresee = foresight(opened.store, opened.settings, now, shelf=opened.shelf)
        answer = where_is(opened.store, opened.settings, " ".join(words), now=now, foresee=foresee)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())
        sys.stdout.flush()  # whoever reads it need not wait for what comes after
        foresee.put_on_shelf()


def orders(
    standing: Annotated[
        str | None,
        typer.Option(
            "--standing", help="Only these: queried, held, in work, ready, dispatched, cancelled, refused."
        ),
    ] = None,
    since: Annotated[
        str | None, typer.Option("--since", metavar="DAY", help="Taken in on or after this day (2026-11-01).")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The order book, newest first, one order a line."""
    day = _day(since)
    from tickets.lookup import list_orders
    from tickets.lookup.foreseeing import foresight

    with open_asked(shop) as opened:
        now = opened.clock()
        foresee = foresight(opened.store, opened.settings, now, shelf=opened.shelf)
        found = list_orders(opened.store, opened.settings, standing, day, now, foresee=foresee)
        if as_json:
            print_json({"asked": "", "orders": [answer.as_json() for answer in found]})
        else:
            print_lines(*([answer.as_line() for answer in found] or ["No orders."]))
        sys.stdout.flush()
        foresee.put_on_shelf()


def _day(written: str | None) -> date | None:
    try:
        return date.fromisoformat(written) if written else None
    except ValueError as error:
        raise typer.BadParameter(f"--since takes a day such as 2026-11-01, not {written!r}") from error


def inbox(
    everything: Annotated[
        bool, typer.Option("--all", help="Not only the files of the last 30 days.")
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """What was dropped and what was made of it, and when the daemon was last alive."""
    from tickets.lookup import list_arrivals

    with open_asked(shop) as opened:
        since = None if everything else opened.clock() - timedelta(days=30)
        answer = list_arrivals(opened.store, since)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines(opened.settings.shop.zone))
