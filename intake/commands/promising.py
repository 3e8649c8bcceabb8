"""The command for what is not ordered yet: by which day it can be promised."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang the promise on the command line."""
    app.command(
        short_help="By which day an order that is not placed yet can be ready.",
        epilog="Example: filmdocket promise ORDER.json",
    )(promise)


def promise(
    order: Annotated[
        Path,
        typer.Argument(
            metavar="ORDER.json",
            help="An order file; number, customer and artwork may be left out. - reads it from stdin.",
            show_default=False,
        ),
    ],
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The earliest due day that holds in nine cases of ten, and what it would do to the other orders."""
    from intake.order.asked import read_asked
    from tickets.lookup.promising import promise as promise_order

    with open_asked(shop) as opened:
        now = opened.clock()
        asked = read_asked(_bytes(order), opened.settings, now)
        answer = promise_order(opened.store, opened.settings, asked, now)
        if as_json:
            print_json(answer.as_json())
        else:
            print_lines(*answer.as_lines())


def _bytes(order: Path) -> bytes:
    """What the order file holds. Raises BadInput `promise-file` when it cannot be read."""
    from intake.order.text import LARGEST_BYTES
    from tickets.wording_promise import file_not_read

    if str(order) == "-":
        import sys

        return sys.stdin.buffer.read(LARGEST_BYTES + 1)
    try:
        with order.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise file_not_read(str(order), error.strerror or str(error)) from error
