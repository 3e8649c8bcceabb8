"""Commands about papers: which tickets are not printed yet, and printing them, one or many at once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from intake.commands.options import (
    ByOption,
    JsonOption,
    ShopOption,
    open_asked,
    print_json,
    print_lines,
)


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of papers on the command line."""
    app.command(
        short_help="Print tickets, one or many at once.",
        epilog="Example: filmdocket papers print 7K3Q9XZ OB-1042 --out tickets.pdf",
    )(papers)


def papers(
    what: Annotated[str, typer.Argument(help="list, or print.")] = "list",
    names: Annotated[
        list[str] | None,
        typer.Argument(help="Ticket codes and order numbers; none: those that are not printed yet."),
    ] = None,
    unprinted: Annotated[bool, typer.Option("--unprinted", help="Only what is not printed yet.")] = False,
    today: Annotated[bool, typer.Option("--today", help="Only what was issued today.")] = False,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write one PDF instead of printing; it counts as printed.")
    ] = None,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List or print the papers of tickets. To print, papers.print_command is used, or one PDF is written."""
    from intake import batches
    from tickets import wording_papers as wording

    if what not in ("list", "print"):
        raise typer.BadParameter(f"{what!r}: it is list or print")
    with open_asked(shop) as opened:
        rows = batches.chosen_papers(opened, names or [], unprinted=unprinted, today=today)
        says = "" if rows else wording.NOTHING_UNPRINTED
        if what == "print" and rows and out is not None:
            batches.save_papers(opened, rows, out, by)
            says = wording.saved_for_printing(len(rows), str(out))
        elif what == "print" and rows:
            batches.print_papers(opened, rows, by)
            says = wording.tickets_printed(len(rows))
        if as_json:
            print_json({"papers": [row.as_json() for row in rows], "says": says})
        else:
            listed = [wording.say_paper(row, opened.settings.shop.zone) for row in rows]
            print_lines(*([] if what == "print" else listed), *([says] if says else []))
