"""Commands about messages to customers: the list of them, their templates, and a new day for a late order."""

from __future__ import annotations

from datetime import datetime, time
from typing import Annotated

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of messages on the command line."""
    app.command(
        short_help="What customers were told, and are to be told.",
        epilog="Example: filmdocket messages list OB-1042",
    )(messages)
    app.command(
        short_help="Have a customer told of a new day.",
        epilog="Example: filmdocket late OB-1042 --ready 2026-12-07 --why 'the oven stood still'",
    )(late)


def messages(
    what: Annotated[
        str, typer.Argument(help="list, again, check (the templates), or show (a shipped one).")
    ] = "list",
    which: Annotated[
        str, typer.Argument(help="Of list: an order; of again: a message's number; of show: ready, late…")
    ] = "",
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List what customers were told, send a message again, try the shop's templates, show a shipped one."""
    from intake.letters.templating import KINDS

    if what not in ("list", "again", "check", "show"):
        raise typer.BadParameter(f"{what!r}: it is list, again, check or show")
    if what == "again" and not which.isdecimal():
        raise typer.BadParameter("again takes the number that `filmdocket messages list` begins a line with")
    if what == "show" and which not in KINDS:
        raise typer.BadParameter(f"show takes one of: {', '.join(KINDS)}")
    if what == "show":
        _show(which)
    elif what == "again":
        _send_again(shop, int(which), by, as_json)
    elif what == "check":
        _check(shop, as_json)
    else:
        _list(shop, which, as_json)


def late(
    order: Annotated[str, typer.Argument(help="The number of the order.")],
    ready: Annotated[
        datetime,
        typer.Option("--ready", formats=["%Y-%m-%d"], help="The day on which it will be ready: 2026-12-07."),
    ],
    why: Annotated[str, typer.Option("--why", help="The reason, as the customer is to read it.")] = "",
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Have a customer told that an order will be late, and of the new day; each new day is told once."""
    from intake.commands.naming import name_thing
    from intake.letters.writing import write_due_messages
    from tickets.lookup.acted import desk_document

    with open_asked(shop) as opened:
        own = opened.settings.shop
        named = name_thing(opened, order, orders=True)
        at = datetime.combine(ready.date(), time.max, own.zone)
        says = opened.ledger.tell_late(named, at, why, by)
        write_due_messages(opened)
        if as_json:
            print_json(desk_document(opened.store, opened.settings, named, says))
        else:
            print_lines(says)


def _list(shop: ShopOption, which: str, as_json: bool) -> None:
    from intake.commands.naming import name_thing
    from tickets.lookup.telling import list_tellings
    from tickets.wording_telling import NOTHING_TOLD, say_telling

    with open_asked(shop) as opened:
        told = list_tellings(opened.store, name_thing(opened, which, orders=True) if which else "")
        zone = opened.settings.shop.zone
        if as_json:
            print_json({"messages": [message.as_json() for message in told]})
        else:
            print_lines(*(say_telling(message, zone) for message in told) if told else (NOTHING_TOLD,))


def _send_again(shop: ShopOption, number: int, by: str, as_json: bool) -> None:
    from intake.letters.sending import send_written
    from tickets.lookup.telling import find_telling

    with open_asked(shop) as opened:
        says = opened.ledger.send_again(number, by)
        send_written(opened)
        told = find_telling(opened.store, number)
        if as_json:
            print_json({**told.as_json(), "did": says})
        else:
            print_lines(says, *([told.says] if told.says else []))


def _check(shop: ShopOption, as_json: bool) -> None:
    from intake.letters.templating import try_templates
    from tickets.problems import Exit

    with open_asked(shop) as opened:
        trials = try_templates(opened.folder)
    if as_json:
        print_json({"templates": [trial.as_json() for trial in trials]})
    else:
        print_lines(*(line for trial in trials for line in trial.as_lines()))
    if any(trial.problem for trial in trials):
        raise typer.Exit(int(Exit.CANNOT))


def _show(kind: str) -> None:
    from intake.letters.templating import shipped_template

    print_lines(shipped_template(kind).text.rstrip("\n"))
