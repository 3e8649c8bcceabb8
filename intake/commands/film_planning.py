"""The command that plans film: choices, progress while it thinks, and an end at any time."""

from __future__ import annotations

import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from intake.commands.options import (
    ByOption,
    JsonOption,
    ShopOption,
    open_asked,
    print_aside,
    print_json,
    print_lines,
)

if TYPE_CHECKING:
    from tickets.film.keeping import RunToKeep
    from tickets.film.outlined import Outlines
    from tickets.film.planning import Progress
    from tickets.lookup.film_plan import Effort, Proposal

SecondsOption = Annotated[
    float, typer.Option("--seconds", min=0.0, max=600.0, help="Look for a shorter layout so long.")
]
RollOption = Annotated[
    float | None, typer.Option("--roll-mm", help="Lay a roll of this width; default: the shop's.")
]
SheetOption = Annotated[
    str, typer.Option("--sheets", help="Lay sheets of this size, each with a code of its own: 600x460, A3.")
]
WholeJobsOption = Annotated[
    bool | None,
    typer.Option(
        "--whole-jobs/--parted-jobs",
        help="No ticket across two runs, or as it comes; says what that costs (film.laying.whole_jobs).",
        show_default=False,
    ),
]


def plan(
    seconds: SecondsOption = 2.0,
    roll_mm: RollOption = None,
    sheets: SheetOption = "",
    whole_jobs: WholeJobsOption = None,
    lay: Annotated[
        bool, typer.Option("--lay", help="Book it: each run gets a code, and its pieces lie in it.")
    ] = False,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Lay the loose pieces that wait at the first station: kinds of film apart, rush first, then as due.

    Ctrl-C ends the looking: the best plan so far is told, or booked.
    """
    from intake.film.outlines import open_outlines
    from tickets.film.choosing import FilmChoice
    from tickets.lookup.film_plan import propose_plan

    choice = FilmChoice(roll_mm, sheets, whole_jobs)
    with open_asked(shop) as opened:
        with open_outlines(opened, say_making) as outlines, _watched(seconds, as_json=as_json) as watch:
            effort = watch.effort(outlines, choice)
            proposal = propose_plan(opened.store, opened.settings, effort)
        codes = opened.ledger.keep_film_plan(proposal.keep, by) if lay else []
    codes = codes or [run.code for run in proposal.keep.runs]
    if as_json:
        print_json(_as_json(proposal, codes, is_stopped=watch.is_stopped))
    else:
        print_lines(*_in_words(proposal, codes, is_booked=lay, is_stopped=watch.is_stopped))


def effort_of(seconds: float, outlines: Outlines) -> Effort:
    """How a plan is looked for by the wall clock, unwatched."""
    from tickets.lookup.film_plan import Effort

    return Effort(seconds, time.monotonic, outlines=outlines)


def say_making(count: int) -> None:
    """Tell what takes time before the first plan of older artwork."""
    from tickets.wording_film_pages import making_outlines

    print_aside(making_outlines(count))


class _Watch:
    """What goes on while a plan is looked for: how far it is, on a terminal's one line; whether to stop."""

    def __init__(self, seconds: float, *, is_shown: bool) -> None:
        self._seconds, self._is_shown = seconds, is_shown
        self._stopped = threading.Event()
        self._written = 0

    @property
    def is_stopped(self) -> bool:
        """Whether somebody asked to stop."""
        return self._stopped.is_set()

    def stop(self, *_: object) -> None:
        """Take the best so far; asked once more, the command ends as any other does."""
        self._stopped.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    def effort(self, outlines: Outlines, choice: Any) -> Effort:
        """How the plan is looked for."""
        from tickets.lookup.film_plan import Effort

        return Effort(
            self._seconds,
            time.monotonic,
            stop=self._stopped.is_set,
            progress=self._tell,
            choice=choice,
            outlines=outlines,
        )

    def wipe(self) -> None:
        """The line is free again."""
        if self._written:
            sys.stderr.write("\r" + " " * self._written + "\r")
            sys.stderr.flush()
            self._written = 0

    def _tell(self, progress: Progress) -> None:
        if not self._is_shown:
            return
        from tickets.wording_film_choices import planning

        line = planning(progress.share, progress.length_mm, progress.rows_mm)
        sys.stderr.write("\r" + line.ljust(self._written))
        sys.stderr.flush()
        self._written = len(line)


@contextmanager
def _watched(seconds: float, *, as_json: bool) -> Iterator[_Watch]:
    """Ctrl-C stops the looking and not the command, as long as this lasts."""
    watch = _Watch(seconds, is_shown=sys.stderr.isatty() and not as_json)
    is_main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGINT, watch.stop) if is_main else None
    try:
        yield watch
    finally:
        if is_main:
            signal.signal(signal.SIGINT, before)
        watch.wipe()


def _in_words(proposal: Proposal, codes: list[str], *, is_booked: bool, is_stopped: bool) -> Iterator[str]:
    from tickets import wording_film as wording
    from tickets import wording_film_choices as choices

    whole = proposal.whole
    if is_stopped:
        yield choices.stopped_early()
    yield wording.plan_in_short(whole, len(proposal.jobs))
    yield from proposal.told_costs()
    yield from wording.kept_as_planned(proposal.keep, proposal.replan.moved, proposal.replan.gone)
    for at, run in enumerate(whole.layouts):
        yield wording.run_in_short(at + 1, run, codes[at])
    yield from wording.not_laid(whole.unlaid)
    yield from proposal.told_agreed()
    yield from wording.smaller_saves(proposal.advice, proposal.currency)
    yield wording.laid(codes, is_booked=is_booked, is_changing=proposal.keep.is_changing)


def _as_json(proposal: Proposal, codes: list[str], *, is_stopped: bool) -> dict[str, Any]:
    """The plan for programs: lengths in mm, every piece with its place."""
    from tickets.cost.money import from_minor

    replan, whole, currency = proposal.replan, proposal.whole, proposal.currency
    return {
        "metres": round(whole.metres, 3),
        "rows_metres": round(whole.rows_mm / 1000, 3),
        "inked_share": round(whole.inked_share, 4),
        "cutting_minutes": round(whole.minutes, 1),
        "cost": f"{from_minor(proposal.cost, currency):f}",
        "rows_cost": f"{from_minor(proposal.rows_cost, currency):f}",
        "currency": currency,
        "whole_jobs": proposal.rules.whole_jobs,
        "whole_jobs_metres": _metres(proposal.whole_mm),
        "parted_jobs_metres": _metres(proposal.parted_mm),
        "stopped": is_stopped,
        "moved": replan.moved,
        "gone": replan.gone,
        "runs": [_run_json(code, kept) for code, kept in zip(codes, proposal.keep.runs, strict=True)],
        "unlaid": [{"code": one.job.code, "why": str(one.why)} for one in whole.unlaid],
        "advice": [
            {
                "code": one.advice.code,
                "width_mm": round(one.advice.width_mm, 1),
                "height_mm": round(one.advice.height_mm, 1),
                "across": list(one.advice.across),
                "saved_mm": round(one.advice.saved_mm, 1),
                "saved_money": round(one.advice.saved_money, 2),
                "agreed_before": one.is_agreed,
            }
            for one in proposal.advice
        ],
    }


def _run_json(code: str, kept: RunToKeep) -> dict[str, Any]:
    layout = kept.layout
    return {
        "run": code or None,
        "changed": kept.is_changed,
        "film": layout.film,
        "way": str(layout.way),
        "sheet": layout.is_sheet,
        "width_mm": round(layout.width_mm, 2),
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


def _metres(length_mm: float | None) -> float | None:
    return None if length_mm is None else round(length_mm / 1000, 3)
