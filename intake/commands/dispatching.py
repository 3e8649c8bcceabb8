"""Commands of those who pack and hand over: what left the house, and what came back."""

from __future__ import annotations

from typing import Annotated

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of dispatch on the command line."""
    app.command(
        short_help="Make pieces again that came back or were short.",
        epilog="Example: filmdocket remake 7K3Q9XZ --pieces 3 --why 'three came back, torn in the post'",
    )(remake)
    app.command(
        short_help="Print packing slips again, and say what is in them.",
        epilog="Example: filmdocket packing OB-1042 --slip 1",
    )(packing)


def remake(
    code: Annotated[str, typer.Argument(help="The code of the ticket whose pieces had left the house.")],
    pieces: Annotated[int, typer.Option("--pieces", min=1, help="So many came back, or were short.")],
    why: Annotated[str, typer.Option("--why", help="The reason; it is kept in the history.")],
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make dispatched pieces again, as a rush ticket of the same item; the order is open again."""
    from intake.commands.naming import name_thing
    from intake.papers import write_due_papers
    from tickets.lookup.acted import scan_document

    with open_asked(shop) as opened:
        answer = opened.ledger.remake(name_thing(opened, code, orders=True), pieces, why, by)
        write_due_papers(opened)
        if as_json:
            print_json(scan_document(opened.store, opened.settings, answer))
        else:
            print_lines(answer.says)


def packing(
    order: Annotated[str, typer.Argument(help="The number of the order.")],
    slip: Annotated[
        int | None, typer.Option("--slip", min=1, help="The number of the slip; default: all of the order.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print an order's packing slips again into papers/, and say what is in each."""
    from intake.commands.naming import name_thing
    from intake.packing import slips_asked, write_slip
    from tickets.wording_packing import say_slip

    with open_asked(shop) as opened:
        named = name_thing(opened, order, orders=True)
        slips = slips_asked(opened, named, slip)
        files = [str(write_slip(opened, one).relative_to(opened.folder)) for one in slips]
        if as_json:
            rows = [{**one.as_json(), "file": file} for one, file in zip(slips, files, strict=True)]
            print_json({"order": named, "slips": rows})
        else:
            zone = opened.settings.shop.zone
            for one, file in zip(slips, files, strict=True):
                print_lines(*say_slip(one, zone), f"  {file}")
