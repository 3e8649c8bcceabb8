"""Options that every command shares, and how answers are printed."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from intake.shop import Shop

ShopOption = Annotated[
    Path | None,
    typer.Option(
        "--shop",
        help="The shop folder; default $FILMDOCKET_SHOP, else the current folder.",
        show_default=False,
    ),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print one JSON document on stdout and nothing else there.")
]
ByOption = Annotated[str, typer.Option("--by", help="Who does it; kept in the history.", show_default=False)]
CodeOrOrderArgument = Annotated[
    str, typer.Argument(help="A ticket code, as typed or scanned, or an order number.")
]


def open_asked(shop: Path | None) -> Shop:
    """Open the shop folder that the command was asked for."""
    from config.settings import find_shop_dir
    from intake.shop import open_shop

    return open_shop(find_shop_dir(shop))


def print_json(document: Any) -> None:
    """One JSON document on stdout, readable by people too."""
    sys.stdout.write(json.dumps(document, ensure_ascii=False, indent=2) + "\n")


def print_lines(*lines: str) -> None:
    """The answer for people, on stdout."""
    sys.stdout.write("".join(f"{line}\n" for line in lines))


def print_aside(line: str) -> None:
    """Progress and remarks, on stderr, so that stdout holds the answer alone."""
    sys.stderr.write(f"{line}\n")
