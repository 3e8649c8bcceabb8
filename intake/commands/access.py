"""Commands for who sees the pages, and how safely: the shop's own certificate."""

from __future__ import annotations

from typing import Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang them on the command line."""
    app.command(epilog="Example: filmdocket certificate --name print.shop.example --name 192.168.1.20")(
        certificate
    )


def certificate(
    name: Annotated[
        list[str] | None,
        typer.Option("--name", help="A host name or address that devices type; may be given several times."),
    ] = None,
    new_root: Annotated[
        bool, typer.Option("--new-root", help="Make a new root too; every device must install it again.")
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make or renew the shop's own certificate for the pages, and the root that devices install once."""
    from intake.certificates import FOLDER, issue_certificate, own_names
    from intake.serving import own_address
    from tickets.wording_pages import certificate_lines

    with open_asked(shop) as opened:
        names = name or own_names(own_address())
        now, folder = opened.clock(), opened.folder / FOLDER
        issued = issue_certificate(folder, opened.settings.shop.name, names, now, new_root=new_root)
        if as_json:
            print_json(
                {
                    "root": str(issued.root),
                    "certificate": str(issued.certificate),
                    "key": str(issued.key),
                    "names": list(issued.names),
                    "until": f"{issued.until:%Y-%m-%d}",
                    "new_root": issued.is_new_root,
                }
            )
            return
        paths = (str(issued.root), f"{FOLDER}/{issued.certificate.name}", f"{FOLDER}/{issued.key.name}")
        is_set = bool(opened.settings.pages.certificate)
        print_lines(
            *certificate_lines(
                paths, issued.names, f"{issued.until:%Y-%m-%d}", is_new_root=issued.is_new_root, is_set=is_set
            )
        )
