"""Commands about the film: what to print together, and how it lies on the roll."""

from __future__ import annotations

import secrets
import time
from collections import Counter
from typing import TYPE_CHECKING, Annotated, Any

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from intake.shop import Shop
    from tickets.film.advice import Advice
    from tickets.film.planning import Plan


def add_commands(app: typer.Typer) -> None:
    """Hang the commands about film on the command line."""
    film = typer.Typer(no_args_is_help=True)
    film.command(
        "plan",
        short_help="Lay what waits at print on film, run by run.",
        epilog="Example: filmdocket film plan --seconds 10",
    )(plan)
    app.add_typer(
        film,
        name="film",
        help="Film: what to print together.",
        epilog="Example: filmdocket film plan --seconds 10",
    )


def plan(
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.0, max=600.0, help="Look for a shorter layout so long.")
    ] = 2.0,
    lay: Annotated[
        bool, typer.Option("--lay", help="Book it: each run gets a code, and its pieces lie in it.")
    ] = False,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Lay the loose pieces that wait at the first station: kinds of film apart, rush first, then as due."""
    from tickets import wording_film as wording
    from tickets.film.advice import advise_all
    from tickets.film.planning import plan_film
    from tickets.film.rules import rules_of
    from tickets.lookup.film_jobs import film_jobs

    with open_asked(shop) as opened:
        settings = opened.settings
        jobs, rules = film_jobs(opened.store, settings), rules_of(settings.film)
        if not jobs:
            raise wording.nothing_for_film()
        planned = plan_film(jobs, rules, seconds=seconds, clock=time.monotonic)
        advice = advise_all(jobs, rules, settings.film.laying.advise_percent / 100)
        codes = _lay(opened, planned, by) if lay else {}
    if as_json:
        print_json(_as_json(planned, advice, codes))
        return
    print_lines(
        wording.plan_in_short(planned, len(jobs)),
        *(wording.run_in_short(at + 1, run, codes.get(at, "")) for at, run in enumerate(planned.layouts)),
        *wording.not_laid(planned.unlaid),
        *wording.smaller_saves(advice, settings.money.currency),
        wording.laid(codes),
    )


def _lay(opened: Shop, planned: Plan, by: str) -> dict[int, str]:
    """Give each run a code and lay its pieces in it; spares are no pieces of the books."""
    from tickets.codes import new_run_code
    from tickets.lookup.film_jobs import is_run_known

    codes: dict[int, str] = {}
    for at, layout in enumerate(planned.layouts):
        code = new_run_code(secrets.SystemRandom())
        while is_run_known(opened.store, code):
            code = new_run_code(secrets.SystemRandom())
        owed = Counter(placement.code for placement in layout.placements if not placement.spare)
        opened.ledger.lay_in_run(code, owed, by)
        codes[at] = code
    return codes


def _as_json(planned: Plan, advice: list[Advice], codes: dict[int, str]) -> dict[str, Any]:
    """The plan for programs: lengths in mm, every piece with its place."""
    return {
        "metres": round(planned.metres, 3),
        "rows_metres": round(planned.rows_mm / 1000, 3),
        "inked_share": round(planned.inked_share, 4),
        "cutting_minutes": round(planned.minutes, 1),
        "runs": [
            {
                "run": codes.get(at),
                "film": layout.film,
                "way": str(layout.way),
                "length_mm": round(layout.length_mm, 2),
                "pieces": [
                    {
                        "code": p.code,
                        "x_mm": round(p.x_mm, 2),
                        "y_mm": round(p.y_mm, 2),
                        "turned": p.turned,
                        "spare": p.spare,
                    }
                    for p in layout.placements
                ],
            }
            for at, layout in enumerate(planned.layouts)
        ],
        "unlaid": [{"code": one.job.code, "why": str(one.why)} for one in planned.unlaid],
        "advice": [
            {
                "code": one.code,
                "width_mm": round(one.width_mm, 1),
                "height_mm": round(one.height_mm, 1),
                "across": list(one.across),
                "saved_mm": round(one.saved_mm, 1),
                "saved_money": round(one.saved_money, 2),
            }
            for one in advice
        ],
    }
