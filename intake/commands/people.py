"""The command for people: who may be named on scans, and their PINs."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from tickets.ledger.people import PeopleBook, PersonAnswer

ACTS = ("add", "list", "pin", "remove")


def add_commands(app: typer.Typer) -> None:
    """Hang it on the command line."""
    app.command(epilog="Example: filmdocket people add Ines --pin")(people)


def people(
    what: Annotated[str, typer.Argument(help="add, list, pin (another PIN) or remove.")],
    name: Annotated[str, typer.Argument(help="Whom; not for list.", show_default=False)] = "",
    pin: Annotated[
        bool, typer.Option("--pin", help="Of add: with a PIN, which is asked for; or a line of stdin.")
    ] = False,
    none: Annotated[bool, typer.Option("--none", help="Of pin: no PIN any more.")] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Name those who work here, so that scans carry their names; give them PINs, or remove them."""
    if what not in ACTS:
        raise typer.BadParameter(f"{what!r}: it is one of {', '.join(ACTS)}")
    if (what == "list") != (not name):
        raise typer.BadParameter("list takes no name, the others take one")
    if (pin and what != "add") or (none and what != "pin"):
        raise typer.BadParameter("--pin goes with add, --none with pin")
    from tickets.ledger.people import PeopleBook

    with open_asked(shop) as opened:
        book = PeopleBook(opened.store, opened.settings.shop.people, opened.clock)
        if what == "list":
            _list(book, as_json)
            return
        person, says = _change(book, what, name, is_pin_asked=pin or (what == "pin" and not none))
        if as_json:
            print_json(person.as_json())
        else:
            print_lines(says)


def _change(book: PeopleBook, what: str, name: str, *, is_pin_asked: bool) -> tuple[PersonAnswer, str]:
    from tickets import wording_people as wording

    if what == "remove":
        person = book.remove(name)
        return person, wording.removed(person.name)
    if what == "pin":
        book.find(name)  # nobody types a PIN twice for somebody who is not there
    typed = _ask_pin(name) if is_pin_asked else ""
    if what == "add":
        person = book.add(name, typed)
        return person, wording.added(person.name, has_pin=person.has_pin)
    person = book.set_pin(name, typed)
    return person, wording.pin_set(person.name, has_pin=person.has_pin)


def _ask_pin(name: str) -> str:
    """Typed twice, unseen; or a line of standard input, for scripts. Raises BadInput `pin-not-read`."""
    from tickets.pins import read_pin

    if sys.stdin.isatty():
        typed = typer.prompt(f"PIN of {name}", hide_input=True, confirmation_prompt=True, err=True)
    else:
        typed = sys.stdin.readline()
    return read_pin(typed)


def _list(book: PeopleBook, as_json: bool) -> None:
    from tickets.wording_people import NOBODY_KNOWN, person_line

    found = book.people()
    if as_json:
        print_json({"people": [one.as_json() for one in found]})
        return
    lines = [person_line(one.name, has_pin=one.has_pin, is_own=one.added_at is not None) for one in found]
    print_lines(*(lines or [NOBODY_KNOWN]))
