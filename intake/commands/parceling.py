"""Commands of those who pack: parcels with their labels, and the shelf that what is ready lies on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.requests import ParcelMade

OrderArgument = Annotated[str, typer.Argument(help="The number of the order.")]
ParcelArgument = Annotated[str, typer.Argument(help="The parcel: the order and its number, OB-1042/2.")]
WeightOption = Annotated[
    float | None, typer.Option("--weight-kg", help="What it weighs, in kilograms.", show_default=False)
]
ConsignmentOption = Annotated[
    str | None, typer.Option("--consignment", help="The carrier's number for it.", show_default=False)
]


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of packing on the command line."""
    parcel = typer.Typer(
        no_args_is_help=True,
        help="Parcels of orders, and their labels.",
        epilog="Example: filmdocket parcel add OB-1042 --weight-kg 2.35",
    )
    parcel.command(
        "add", epilog="Example: filmdocket parcel add OB-1042 --weight-kg 2.35 --consignment 'CN 123 456'"
    )(add)
    parcel.command("list", epilog="Example: filmdocket parcel list OB-1042")(show)
    parcel.command("change", epilog="Example: filmdocket parcel change OB-1042/2 --consignment 'CN 123 457'")(
        change
    )
    parcel.command("remove", epilog="Example: filmdocket parcel remove OB-1042/2 --by Ines")(remove)
    parcel.command("label", epilog="Example: filmdocket parcel label OB-1042/2")(label)
    app.add_typer(parcel, name="parcel")
    app.command(
        short_help="Note where what is ready of an order lies.",
        epilog="Example: filmdocket shelf OB-1042 B3",
    )(shelf)


def add(
    order: OrderArgument,
    weight_kg: WeightOption = None,
    consignment: ConsignmentOption = None,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Note one parcel of an order, and print its label."""
    from intake.commands.naming import name_thing
    from tickets.parcels import parcel_change

    with open_asked(shop) as opened:
        named = name_thing(opened, order, orders=True)
        made = opened.ledger.add_parcel(named, parcel_change(weight_kg, consignment), by)
        _tell(opened, made, as_json)


def change(
    parcel: ParcelArgument,
    weight_kg: WeightOption = None,
    consignment: ConsignmentOption = None,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Give a parcel another weight or consignment number, and print its label again."""
    from tickets.parcels import parcel_change

    with open_asked(shop) as opened:
        named, number = _name_parcel(opened, parcel)
        asked = parcel_change(weight_kg, consignment)
        _tell(opened, opened.ledger.change_parcel(named, number, asked, by), as_json)


def remove(
    parcel: ParcelArgument, by: ByOption = "", shop: ShopOption = None, as_json: JsonOption = False
) -> None:
    """Take a parcel out of the books that was noted by mistake or unpacked; its numbers stay given."""
    from intake.papers import write_due_papers

    with open_asked(shop) as opened:
        named, number = _name_parcel(opened, parcel)
        made = opened.ledger.remove_parcel(named, number, by)
        write_due_papers(opened)
        if as_json:
            print_json({"order": made.order, "parcel": made.number, "says": made.says})
        else:
            print_lines(made.says)


def label(parcel: ParcelArgument, shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """Print a parcel's label again."""
    from intake.parcels import write_label
    from tickets.lookup.packing import find_parcel

    with open_asked(shop) as opened:
        found = find_parcel(opened.store, *_name_parcel(opened, parcel))
        file = str(write_label(opened, found).relative_to(opened.folder))
        if as_json:
            print_json({**found.as_json(), "label": file})
        else:
            print_lines(file)


def show(order: OrderArgument, shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """The parcels of an order: weights, consignment numbers, and the packing slip that each went with."""
    from intake.commands.naming import name_thing
    from tickets.lookup.packing import order_parcels
    from tickets.wording_packing import NO_PARCELS, say_parcel

    with open_asked(shop) as opened:
        named = name_thing(opened, order, orders=True)
        parcels = order_parcels(opened.store, named)
        if as_json:
            print_json({"order": named, "parcels": [parcel.as_json() for parcel in parcels]})
        else:
            print_lines(*(say_parcel(parcel) for parcel in parcels) if parcels else (NO_PARCELS,))


def shelf(
    order: OrderArgument,
    place: Annotated[str, typer.Argument(help='The shelf, in your own words: B3. "" takes it off.')],
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Note where what is ready of an order lies; `where` and the order's page show it."""
    from intake.commands.naming import name_thing
    from tickets.lookup.acted import desk_document

    with open_asked(shop) as opened:
        named = name_thing(opened, order, orders=True)
        says = opened.ledger.put_on_shelf(named, place, by)
        if as_json:
            print_json(desk_document(opened.store, opened.settings, named, says))
        else:
            print_lines(says)


def _name_parcel(opened: Shop, typed: str) -> tuple[str, int]:
    """The order as it is booked, and the parcel's number."""
    from intake.commands.naming import name_thing
    from tickets.parcels import parse_parcel

    order, number = parse_parcel(typed)
    return name_thing(opened, order, orders=True), number


def _tell(opened: Shop, made: ParcelMade, as_json: bool) -> None:
    """What was noted, its label printed, and the slip that lists it."""
    from intake.papers import write_due_papers
    from intake.parcels import write_label
    from tickets.lookup.packing import find_parcel

    write_due_papers(opened)
    found = find_parcel(opened.store, made.order, made.number)
    file = str(write_label(opened, found).relative_to(opened.folder))
    if as_json:
        print_json({**found.as_json(), "says": made.says, "label": file})
    else:
        print_lines(made.says, f"  {file}")
