"""Commands that keep the shop folder: init, watch, doctor, version."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_aside, print_json, print_lines
from tickets.problems import Exit


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of the house on the command line."""
    app.command(short_help="Make a shop folder.", epilog="Example: filmdocket init ~/shop")(init)
    app.command(
        short_help="The daemon: take in, check, issue tickets.",
        epilog="Example: filmdocket watch --shop ~/shop",
    )(watch)
    app.command(
        short_help="Look at all that intake stands on; say what to do.",
        epilog="Example: filmdocket doctor --shop ~/shop",
    )(doctor)
    app.command(
        short_help="The version, and what settings were changed.", epilog="Example: filmdocket version"
    )(version)


def init(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="The shop folder to make; an existing one is completed.")
    ],
    as_json: JsonOption = False,
) -> None:
    """Make a shop folder: inbox, originals, papers, outbox, refused, settings and books."""
    from intake.shop import make_shop

    made = make_shop(folder.absolute())
    if as_json:
        print_json({"shop": str(folder.absolute()), "made": made})
        return
    where = folder.absolute()
    print_lines(
        f"The shop folder {where} is ready." if made else f"The shop folder {where} was complete already.",
        f"Settings: {where / 'shop.toml'} (your time zone, film and press settings first).",
        f"Next: filmdocket watch --shop {quoted(where)}",
        f"Then drop an order file with its artwork into {where / 'inbox'}.",
    )


def watch(
    once: Annotated[
        bool, typer.Option("--once", help="Take in what is there and has settled, then stop.")
    ] = False,
    shop: ShopOption = None,
) -> None:
    """The daemon: take in whatever is dropped, check it, issue tickets, until stopped."""
    from intake.daemon import watch_shop

    with open_asked(shop) as opened:
        for line in watch_shop(opened, once=once):
            print_aside(line)


def doctor(shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """Check the shop's folder, books, fonts, decoders and daemon; the last line says what to do next."""
    from config.settings import find_shop_dir
    from intake.doctor import examine_shop

    report = examine_shop(find_shop_dir(shop))
    if as_json:
        print_json(report.as_json())
    else:
        print_lines(*report.as_lines())
    raise typer.Exit(int(Exit.DONE if report.is_well else Exit.CANNOT))


def version(shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """The version, and where each changed setting came from."""
    from importlib.metadata import version as installed_version

    from config.settings import SHIPPED, find_shop_dir, load_settings

    folder = find_shop_dir(shop)
    is_shop = (folder / "shop.toml").is_file()
    settings = load_settings(folder if is_shop else None)
    answer = {
        "version": installed_version("filmdocket"),
        "shop": str(folder) if is_shop else None,
        "shipped_settings": str(SHIPPED),
        "changed_settings": dict(sorted(settings.origins.items())),
    }
    if as_json:
        print_json(answer)
        return
    print_lines(f"filmdocket {answer['version']}")
    print_lines(f"shop folder: {folder}" if is_shop else f"{folder} is no shop folder: shipped settings only")
    print_lines(f"shipped settings: {SHIPPED}")
    print_lines(*[f"{key}: from {source}" for key, source in sorted(settings.origins.items())])


def quoted(path: Path) -> str:
    """A path as it can be pasted into a shell of any system: in double quotes where it has a space."""
    text = str(path)
    return f'"{text}"' if " " in text else text
