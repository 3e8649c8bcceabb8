"""Commands for who sees the pages, and how safely: customers' links, and the shop's own certificate."""

from __future__ import annotations

from typing import Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_aside, print_json, print_lines


def add_commands(app: typer.Typer) -> None:
    """Hang them on the command line."""
    app.command(epilog="Example: filmdocket certificate --name print.shop.example --name 192.168.1.20")(
        certificate
    )
    app.command(epilog="Example: filmdocket link OB-1042")(link)


def link(
    order: Annotated[str, typer.Argument(help="The number of the order, or a ticket of it.")],
    off: Annotated[bool, typer.Option("--off", help="Revoke it: it stops working, for good.")] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show the link by which a customer sees how far one order is; made when there is none yet."""
    from intake.commands.naming import is_ticket_code, name_thing
    from intake.serving import public_address
    from tickets.ledger.links import LinkBook
    from tickets.lookup import ticket_answer
    from tickets.problems import ShopProblem
    from tickets.wording_progress import IN_OWN_NETWORK, LINKS_SWITCHED_OFF, link_revoked

    with open_asked(shop) as opened:
        number = name_thing(opened, order, orders=True)
        if is_ticket_code(number):
            number = ticket_answer(opened.store, opened.settings, number).order
        book = LinkBook(opened.store, opened.clock)
        if off:
            was_there = book.revoke(number)
            if as_json:
                print_json({"order": number, "link": None, "revoked": was_there})
            else:
                print_lines(link_revoked(number, was_there=was_there))
            return
        if not opened.settings.links.on:
            raise ShopProblem("links-are-off", LINKS_SWITCHED_OFF, "Set links.on in shop.toml to true.")
        address, is_public = public_address(opened.settings)
        made = book.make(number)
        if as_json:
            print_json(made.as_json(address))
        else:
            print_lines(made.at(address))
            if not is_public:
                print_aside(IN_OWN_NETWORK)


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
