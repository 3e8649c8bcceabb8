"""Commands of the stations: scan, and undo."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import (
    ByOption,
    CodeOrOrderArgument,
    JsonOption,
    ShopOption,
    open_asked,
    print_aside,
    print_json,
    print_lines,
)

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.requests import ScanAnswer


def add_commands(app: typer.Typer) -> None:
    """Hang the floor's commands on the command line."""
    app.command(
        short_help="Record that work at a station is done.",
        epilog="Example: filmdocket scan 7K3Q9XZ --at press --good 38 --spoiled 2 --why 'peeled badly'",
    )(scan)
    app.command(short_help="Take back the last scan.", epilog="Example: filmdocket undo 7K3Q9XZ --by Ines")(
        undo
    )


def scan(
    code: Annotated[
        str, typer.Argument(help="A ticket or run code, their QR's text, or at dispatch an order number.")
    ],
    at: Annotated[
        str,
        typer.Option("--at", help="The station whose work is done: print, powder, cure, press, dispatch."),
    ],
    good: Annotated[
        int | None, typer.Option("--good", min=0, help="So many pieces are done; default: all that wait.")
    ] = None,
    spoiled: Annotated[
        int, typer.Option("--spoiled", min=0, help="So many pieces are lost; they start again at print.")
    ] = 0,
    why: Annotated[
        str, typer.Option("--why", help="Why they were spoiled, or why a part is dispatched.")
    ] = "",
    by: ByOption = "",
    key: Annotated[str, typer.Option("--key", help="Sent twice under one key, it counts once.")] = "",
    catch_up: Annotated[
        bool, typer.Option("--catch-up", help="Book the stations that were missed on the way.")
    ] = False,
    part: Annotated[bool, typer.Option("--part", help="Dispatch a part of an order, with --why.")] = False,
    collected_by: Annotated[str, typer.Option("--collected-by", help="At dispatch: who came for it.")] = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Record that a station's work on the pieces of a ticket is done."""
    from intake.commands.naming import name_thing
    from intake.papers import write_due_papers
    from tickets.ledger.meaning import scan_as_meant
    from tickets.requests import ScanRequest

    with open_asked(shop) as opened:
        named = name_thing(opened, code, orders=at == "dispatch")
        numbers = (good, spoiled, why, by, key)
        request = ScanRequest(named, at, *numbers, catch_up=catch_up, part=part, collected_by=collected_by)
        answer = scan_as_meant(opened.ledger, request, code)
        write_due_papers(opened)
        _tell(opened, answer, code, as_json)


def _tell(opened: Shop, answer: ScanAnswer, typed: str, as_json: bool) -> None:
    """What a scan did; and aside, what to set where the scanner types as another keyboard."""
    from tickets.lookup.acted import scan_document
    from tickets.lookup.naming import keyboard_hint

    hint = keyboard_hint(typed, answer.code)
    if as_json:
        print_json(scan_document(opened.store, opened.settings, answer, hint))
    else:
        print_lines(answer.says)
    if hint:
        print_aside(hint)


def undo(
    code: CodeOrOrderArgument, by: ByOption = "", shop: ShopOption = None, as_json: JsonOption = False
) -> None:
    """Take back the last scan of a ticket, or of a whole order, with the reprint that it made."""
    from intake.commands.naming import name_thing
    from intake.papers import write_due_papers
    from tickets.lookup.acted import scan_document

    with open_asked(shop) as opened:
        answer = opened.ledger.undo(name_thing(opened, code, orders=True), by)
        write_due_papers(opened)  # a packing slip that is void now says so
        if as_json:
            print_json(scan_document(opened.store, opened.settings, answer))
        else:
            print_lines(answer.says)
