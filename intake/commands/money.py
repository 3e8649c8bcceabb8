"""Commands about money: what a thing costs, and what is asked for it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.cost.answers import CostAnswer
    from tickets.cost.stocktaking import NoteKind

MOST_MONEY = 10**12  # more in one purchase is a slip


def add_commands(app: typer.Typer) -> None:
    """Hang the commands about money on the command line."""
    app.command(
        short_help="What an item, order, run or day costs.",
        epilog="Example: filmdocket cost OB-1042 --item 1",
    )(cost)
    app.command(
        short_help="A price for an order file, by your own table.",
        epilog="Example: filmdocket quote OB-1042.json",
    )(quote)
    app.command(
        short_help="Film, ink and powder: what is left, and what was bought or counted.",
        epilog="Example: filmdocket stock bought white 5l --price 290",
    )(stock)


def cost(
    what: Annotated[
        str,
        typer.Argument(
            help="An order (OB-1042), one of its items (OB-1042/1), a ticket, a run; or calibrate.",
            show_default=False,
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

    if what == "calibrate" and not day:
        _show_calibration(shop, as_json)
        return
    if bool(what.strip()) == bool(day):
        raise cost_of_what()
    on = _day(day)
    with open_asked(shop) as opened:
        answer = _answer(opened, what.strip(), item, on)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())


def _show_calibration(shop: Path | None, as_json: bool) -> None:
    """What counts and purchases say beside the settings."""
    from tickets.lookup.stock import calibration

    with open_asked(shop) as opened:
        answer = calibration(opened.store, opened.settings)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())


def quote(
    file: Annotated[Path, typer.Argument(help="An order file, its artwork beside it.", show_default=False)],
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """What to ask for an order before it is taken in: price from cost by your own table; books nothing."""
    from intake.quoting import quote_order

    with open_asked(shop) as opened:
        answer = quote_order(opened, file)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())


def stock(
    what: Annotated[
        str,
        typer.Argument(help="bought, count, opened or used-up; nothing: show it.", show_default=False),
    ] = "",
    name: Annotated[
        str,
        typer.Argument(
            help="cyan, magenta, yellow, black, white, powder, or film with its kind.", show_default=False
        ),
    ] = "",
    amount: Annotated[
        str, typer.Argument(help="How much, as 500ml, 1.5l, 20kg or 100m.", show_default=False)
    ] = "",
    price: Annotated[
        str, typer.Option("--price", help="What was paid for all of it, in your currency, as 290.50.")
    ] = "",
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """What is left of film, ink, powder, and how long it lasts, or write down what was bought or counted."""
    from tickets.cost.stocktaking import NoteKind
    from tickets.lookup.stock import stock_now

    if what and what not in [kind.value for kind in NoteKind]:
        raise typer.BadParameter(f"{what!r}: it is bought, count, opened or used-up")
    with open_asked(shop) as opened:
        says = _note(opened, NoteKind(what), name, (amount, price), by) if what else ""
        answer = stock_now(opened.store, opened.settings, opened.clock())
        if as_json:
            print_json(answer.as_json() | ({"says": says} if says else {}))
        elif what:
            print_lines(says)
        else:
            print_lines(*answer.as_lines())


def _note(opened: Shop, kind: NoteKind, name: str, written: tuple[str, str], by: str) -> str:
    """Write one thing down about stock; `written`: the amount and the price."""
    from tickets.cost.stocktaking import NoteKind, consumables, film_name, read_amount, unit_of
    from tickets.wording_cost import consumable_not_kept

    film = opened.settings.film
    kept = consumables(film.kinds)
    known = film_name(film.default_kind) if name == "film" else name.strip().casefold()
    by_name = {one.casefold(): one for one in kept}
    if known.casefold() not in by_name:
        raise consumable_not_kept(name, kept)
    consumable = by_name[known.casefold()]
    amount, price = written
    much = 0.0 if kind is NoteKind.USED_UP else read_amount(amount, unit_of(consumable))
    return opened.ledger.note_stock(kind, consumable, much, _price(price), by)


def _price(written: str) -> Decimal | None:
    if not written:
        return None
    try:
        price = Decimal(written.strip())
    except InvalidOperation:
        price = Decimal(-1)
    if not price.is_finite() or not 0 <= price <= MOST_MONEY:
        raise typer.BadParameter(f"--price takes a number such as 290.50, not {written!r}")
    return price


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
