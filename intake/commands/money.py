"""Commands about money: what a thing costs, and what is asked for it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.cost.answers import CostAnswer


def add_commands(app: typer.Typer) -> None:
    """Hang the commands about money on the command line."""
    app.command(
        short_help="What an item, order, run or day costs.",
        epilog="Example: filmdocket cost OB-1042 --item 1",
    )(cost)


def cost(
    what: Annotated[
        str,
        typer.Argument(
            help="An order (OB-1042), one of its items (OB-1042/1), a ticket or a run.", show_default=False
        ),
    ] = "",
    item: Annotated[int | None, typer.Option("--item", min=1, help="Only this item of the order.")] = None,
    day: Annotated[
        str, typer.Option("--day", metavar="DAY", help="What was done on a day (2026-12-02).")
    ] = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """What an item, order, film run or day costs in film, ink, powder, machine and hands."""
    from tickets.wording_cost import cost_of_what

    if bool(what.strip()) == bool(day):
        raise cost_of_what()
    on = _day(day)
    with open_asked(shop) as opened:
        answer = _answer(opened, what.strip(), item, on)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())


def _answer(opened: Shop, what: str, item: int | None, day: date | None) -> CostAnswer:
    from tickets.codes import is_run_code
    from tickets.lookup import order_number_as_booked
    from tickets.lookup.costing import cost_of_day, cost_of_order, cost_of_run, item_of_ticket
    from tickets.lookup.naming import is_ticket_code, name_thing

    store, settings = opened.store, opened.settings
    if day is not None:
        return cost_of_day(store, settings, day)
    number, slash, tail = what.rpartition("/")
    if slash and tail.isdecimal() and order_number_as_booked(store, what) is None:
        what, item = number, int(tail)
    named = name_thing(store, what, orders=True)
    if is_run_code(named):
        return cost_of_run(store, settings, named)
    if is_ticket_code(named):
        named, item = item_of_ticket(store, named)
    return cost_of_order(store, settings, named, item)


def _day(written: str) -> date | None:
    try:
        return date.fromisoformat(written) if written else None
    except ValueError as error:
        raise typer.BadParameter(f"--day takes a day such as 2026-12-02, not {written!r}") from error
