"""Commands of the desk: hold, release, cancel and change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from intake.commands.options import (
    ByOption,
    CodeOrOrderArgument,
    JsonOption,
    ShopOption,
    open_asked,
    print_json,
    print_lines,
)
from intake.commands.repairing import read_names

Why = Annotated[str, typer.Option("--why", help="The reason; it is kept in the history.")]


def add_commands(app: typer.Typer) -> None:
    """Hang the desk's commands on the command line."""
    app.command(
        short_help="Stop a ticket or an order.",
        epilog="Example: filmdocket hold OB-1042 --why 'customer may change the size'",
    )(hold)
    app.command(
        short_help="Answer a query, or end a hold.",
        epilog="Example: filmdocket release 7K3Q9XZ --by Ines --note 'customer is happy with thin lines'",
    )(release)
    app.command(
        short_help="End a ticket, an order, or some pieces.",
        epilog="Example: filmdocket cancel 7K3Q9XZ --pieces 5 --why 'five fewer hoodies'",
    )(cancel)
    app.command(
        short_help="Give an order another due day, or an item another quantity.",
        epilog="Example: filmdocket change OB-1042 --due 2026-12-11 --why 'the regatta was put off'",
    )(change)


def hold(
    code: CodeOrOrderArgument,
    why: Why,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Stop a ticket or an order: no scan is taken for it until it is released."""
    _act(shop, code, as_json, lambda opened, named: opened.ledger.hold(named, why, by))


def release(
    code: CodeOrOrderArgument,
    by: Annotated[str, typer.Option("--by", help="Who says that it may go on.")],
    note: Annotated[str, typer.Option("--note", help="What the customer answered.")] = "",
    repair: Annotated[
        str, typer.Option("--repair", help="Repair the artwork first, as in 'trim,specks'; see the README.")
    ] = "",
    this_once: Annotated[
        bool, typer.Option("--this-once", help="Ask again next time, also where releases are remembered.")
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Answer a query, or end a hold: the pieces may go on, and the ticket is printed."""
    names = read_names(repair)

    def act(opened: Any, named: str) -> str:
        if not names:
            return str(opened.ledger.release(named, by, note, remember=not this_once))
        from intake.repaired_release import Wanted, release_repaired

        return release_repaired(opened, Wanted(named, names, by, note, not this_once))

    _act(shop, code, as_json, act)


def cancel(
    code: CodeOrOrderArgument,
    why: Why,
    pieces: Annotated[
        int | None, typer.Option("--pieces", min=1, help="So many pieces; default: all.")
    ] = None,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """End a ticket or an order, or some pieces of a ticket."""
    _act(shop, code, as_json, lambda opened, named: opened.ledger.cancel(named, pieces, why, by))


def change(
    code: CodeOrOrderArgument,
    why: Why,
    due: Annotated[str, typer.Option("--due", help="Another due day of the order, as 2026-12-11.")] = "",
    quantity: Annotated[
        int | None, typer.Option("--quantity", min=1, help="So many pieces of the ticket's item in all.")
    ] = None,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Change an order in work: its due day, or how many pieces of an item are wanted."""
    if bool(due) == (quantity is not None):
        raise typer.BadParameter("say what is to change: either --due DAY or --quantity N")

    def act(opened: Any, named: str) -> str:
        if quantity is None:
            return str(opened.ledger.change_due(named, due, why, by))
        return str(opened.ledger.change_quantity(named, quantity, why, by))

    _act(shop, code, as_json, act)


def _act(shop: Path | None, code: str, as_json: bool, act: Callable[[Any, str], str]) -> None:
    """Do one act of the desk on a ticket or an order, print its papers, and say what was done."""
    from intake.commands.naming import name_thing
    from intake.papers import write_due_papers
    from tickets.lookup.acted import desk_document

    with open_asked(shop) as opened:
        named = name_thing(opened, code, orders=True)
        says = act(opened, named)
        write_due_papers(opened)
        if as_json:
            print_json(desk_document(opened.store, opened.settings, named, says))
        else:
            print_lines(says)
