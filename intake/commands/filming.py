"""Commands about the film: what to print together, how it lies on the roll, and the runs that were made."""

from __future__ import annotations

from typing import Annotated

import typer

from intake.commands import film_files
from intake.commands.film_finishing import finish
from intake.commands.film_planning import SecondsOption, effort_of, plan, say_making
from intake.commands.options import (
    ByOption,
    JsonOption,
    ShopOption,
    open_asked,
    print_json,
    print_lines,
)

RunArgument = Annotated[str, typer.Argument(help="The code of a film run, as typed or scanned.")]
TicketArgument = Annotated[str, typer.Argument(help="A ticket code, as typed or scanned.")]
EitherArgument = Annotated[str, typer.Argument(help="The code of a film run or of a ticket.")]


def add_commands(app: typer.Typer) -> None:
    """Hang the commands about film on the command line."""
    film = typer.Typer(no_args_is_help=True)
    for act, says, example in (
        (plan, "Lay what waits at print on film, run by run.", "plan --seconds 10"),
        (runs, "List the film runs that are planned, released or on the line.", "runs"),
        (show, "Show one film run: whose pieces lie on it, and where.", "show R3K7M"),
        (finish, "Lay a planned run closer, by the outlines of its pieces.", "finish R3K7M --seconds 60"),
        (drop, "Give up a film run that is not printed.", "drop R3K7M"),
        (spoil, "Book pieces on a run as spoiled.", "spoil R3K7M --from-mm 1200 --to-mm 1450 --why banding"),
        (
            size,
            "Keep the customer's answer on a smaller size that saves film.",
            "size 7K3Q9XZ --yes --by Ines",
        ),
        (pin, "Have planning again leave a run or ticket where it is.", "pin R3K7M"),
        (free, "Let planning have a pinned run, or a ticket that was pinned or taken out.", "free 7K3Q9XZ"),
        (move, "Lay all pieces of a ticket in a run that is planned.", "move 7K3Q9XZ R3K7M"),
        (take_out, "Take a ticket out of the planned runs, and keep it out.", "take-out 7K3Q9XZ"),
    ):
        name = act.__name__.replace("_", "-")
        film.command(name, short_help=says, epilog=f"Example: filmdocket film {example}")(act)
    film_files.add_commands(film)
    app.add_typer(
        film,
        name="film",
        help="Film: what to print together.",
        epilog="Example: filmdocket film plan --seconds 10",
    )


def runs(
    everything: Annotated[bool, typer.Option("--all", help="Printed and dropped ones too.")] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the film runs that are planned, released or on the line, a line each, oldest first."""
    from tickets import wording_film as wording
    from tickets.lookup.film_runs import film_runs

    with open_asked(shop) as opened:
        found = film_runs(opened.store, everything=everything)
    if as_json:
        print_json({"runs": [answer.as_json(pieces=False) for answer in found]})
    else:
        print_lines(*(wording.run_line(answer) for answer in found) if found else (wording.no_runs(),))


def show(code: RunArgument, shop: ShopOption = None, as_json: JsonOption = False) -> None:
    """Show one film run: whose pieces lie on it, how many, and with --json where each lies, in mm."""
    from tickets import wording_film as wording
    from tickets.codes import read_code
    from tickets.lookup.film_runs import film_run, pieces_by_ticket

    with open_asked(shop) as opened:
        answer = film_run(opened.store, read_code(code))
    if as_json:
        print_json(answer.as_json(pieces=True))
        return
    told = {ticket["code"]: ticket for ticket in answer.as_json(pieces=False)["tickets"]}
    print_lines(
        wording.run_line(answer),
        *(
            wording.ticket_on_run(ticket, of[0].order, of[0].artwork, told[ticket])
            for ticket, of in pieces_by_ticket(answer.run).items()
        ),
    )


def drop(code: RunArgument, by: ByOption = "", shop: ShopOption = None) -> None:
    """Give up a film run that is not printed; its pieces wait at print again."""
    from tickets import wording_film as wording
    from tickets.codes import read_code

    run = read_code(code)
    with open_asked(shop) as opened:
        opened.ledger.drop_run(run, by)
    print_lines(wording.dropped(run))


def spoil(
    code: RunArgument,
    why: Annotated[str, typer.Option("--why", help="What happened; kept in the history.")] = "",
    ticket: Annotated[str, typer.Option("--ticket", help="Of this ticket only.")] = "",
    pieces: Annotated[
        int | None, typer.Option("--pieces", min=1, help="So many of them; default: all of the ticket.")
    ] = None,
    from_mm: Annotated[
        float | None, typer.Option("--from-mm", min=0.0, help="From so far behind the run's start.")
    ] = None,
    to_mm: Annotated[float | None, typer.Option("--to-mm", min=0.0, help="Up to there.")] = None,
    by: ByOption = "",
    key: Annotated[str, typer.Option("--key", help="Sent twice under one key, it counts once.")] = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Book pieces on a run's film as spoiled: of a ticket, of a length, or, without either, all of it.

    Spares stand in; what is still short starts again at print, on tickets of its own.
    """
    from intake.papers import write_due_papers
    from tickets.codes import read_code
    from tickets.requests import RunSpoilage

    named = read_code(ticket) if ticket else ""
    asked = RunSpoilage(read_code(code), named, pieces, from_mm, to_mm, why, by, key)
    with open_asked(shop) as opened:
        answer = opened.ledger.spoil_run(asked)
        write_due_papers(opened)
    print_json(answer.as_json()) if as_json else print_lines(answer.says)


def size(
    code: TicketArgument,
    yes: Annotated[
        bool, typer.Option("--yes/--no", help="Print it smaller, as advised; or as it was ordered.")
    ],
    by: ByOption = "",
    shop: ShopOption = None,
) -> None:
    """Keep what the customer said to the smaller size that `film plan` advises; never done without a yes.

    The answer is remembered for the same artwork at the same size.
    """
    from tickets.codes import read_code
    from tickets.lookup.size_advice import advice_for

    with open_asked(shop) as opened:
        advice = advice_for(opened.store, opened.settings, read_code(code))
        says = opened.ledger.answer_size(advice, by, is_yes=yes)
    print_lines(says)


def pin(code: EitherArgument, by: ByOption = "", shop: ShopOption = None) -> None:
    """Have planning again leave a planned run as it is, or a ticket in the one run that it lies in."""
    from tickets import wording_film as wording
    from tickets.codes import is_run_code, read_code
    from tickets.lookup.film_plan import run_to_pin

    named = read_code(code)
    with open_asked(shop) as opened:
        if is_run_code(named):
            opened.ledger.pin_run(named, by)
        else:
            opened.ledger.wish_film(named, run_to_pin(opened.store, named), by)
    print_lines(wording.pinned(named, is_pinned=True))


def free(code: EitherArgument, by: ByOption = "", shop: ShopOption = None) -> None:
    """Let planning again have a pinned run, or a ticket that was pinned, moved or taken out."""
    from tickets import wording_film as wording
    from tickets.codes import is_run_code, read_code

    named = read_code(code)
    with open_asked(shop) as opened:
        if is_run_code(named):
            opened.ledger.pin_run(named, by, is_pinned=False)
        else:
            opened.ledger.wish_film(named, None, by)
    print_lines(wording.pinned(named, is_pinned=False))


def move(
    code: TicketArgument,
    run: RunArgument,
    seconds: SecondsOption = 2.0,
    by: ByOption = "",
    shop: ShopOption = None,
) -> None:
    """Lay all pieces of a ticket that wait at print in a planned run, and have them stay there."""
    from intake.film.outlines import open_outlines
    from tickets import wording_film as wording
    from tickets.codes import read_code
    from tickets.lookup.film_plan import propose_move

    ticket, target = read_code(code), read_code(run)
    with open_asked(shop) as opened:
        with open_outlines(opened, say_making) as outlines:
            effort = effort_of(seconds, outlines)
            found = propose_move(opened.store, opened.settings, ticket, target, effort)
        opened.ledger.keep_film_plan(found.keep, by, {ticket: target})
    length_mm = next(kept.layout.length_mm for kept in found.keep.runs if kept.code == target)
    print_lines(wording.moved(ticket, target, length_mm))


def take_out(code: TicketArgument, by: ByOption = "", shop: ShopOption = None) -> None:
    """Take a ticket out of the planned runs; the others stay where they lie, and no plan lays it again."""
    from intake.film.outlines import open_outlines
    from tickets import wording_film as wording
    from tickets.codes import read_code
    from tickets.lookup.film_plan import propose_taking_out

    ticket = read_code(code)
    with open_asked(shop) as opened:
        with open_outlines(opened, say_making) as outlines:
            rest = propose_taking_out(opened.store, opened.settings, ticket, outlines)
        opened.ledger.keep_film_plan(rest, by, {ticket: ""})
    print_lines(wording.taken_out(ticket))
