"""What is said about film: plans, runs, and sizes that would save some."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from tickets.languages import make_spoken
from tickets.problems import NotFound, ShopProblem
from tickets.wording_floor import listed
from tickets.wording_sizes import smaller_saves as size_saves

if TYPE_CHECKING:
    from tickets.film.keeping import FilmPlan
    from tickets.film.lots import Unlaid
    from tickets.film.model import Layout, StoredRun
    from tickets.film.planning import Plan
    from tickets.lookup.film_runs import FilmRunAnswer
    from tickets.lookup.size_advice import SizeAdvice

WAYS = {
    "rows": "in rows",
    "boxes": "closely, straight cuts",
    "outlines": "by outline",
    "finished": "by outline",
}


def nothing_for_film() -> ShopProblem:
    """No piece waits at the first station."""
    return ShopProblem(
        "nothing-for-film",
        "No pieces wait to be printed outside of a film run.",
        "Look at the line: filmdocket orders --standing 'in work'; at the runs: filmdocket film runs.",
    )


def run_not_known(code: str) -> NotFound:
    """Nothing in the books is called so."""
    return NotFound(
        "run-not-known",
        f"There is no film run {code} in the books.",
        "Read the code once more, or list them: filmdocket film runs.",
    )


def run_not_planned(code: str) -> ShopProblem:
    """A run that stays as it is: released, printed or dropped."""
    return ShopProblem(
        "run-not-planned",
        f"Film run {code} is no longer only planned: it is released, printed or dropped.",
        "See it with `filmdocket film show`; a run that is not printed can be dropped and planned again.",
    )


def run_printed(code: str) -> ShopProblem:
    """A run that is on film already."""
    return ShopProblem(
        "run-printed",
        f"Film run {code} is printed.",
        "Scan it on, or book what was spoiled: filmdocket film spoil. A wrong scan: filmdocket undo.",
    )


def run_dropped(code: str) -> ShopProblem:
    """A run that was given up."""
    return ShopProblem(
        "run-dropped",
        f"Film run {code} was dropped: nothing of it is to be printed.",
        "Its pieces wait at print; plan them again: filmdocket film plan --lay.",
    )


def plan_overtaken(why: str) -> ShopProblem:
    """The books changed while a plan was made."""
    return ShopProblem(
        "plan-overtaken",
        f"The plan is out of date: {why}. Nothing was booked.",
        "Plan again.",
    )


def fewer_wait(code: str, wanted: int, there: int, station: str) -> str:
    """Why a plan is out of date: pieces have gone elsewhere meanwhile."""
    return f"of {wanted} pieces of {code} that it lays, {there} wait at {station} and are free"


def run_out_of_date(code: str, tickets: Sequence[str]) -> ShopProblem:
    """Pieces on a run are not to be printed any more."""
    return ShopProblem(
        "run-out-of-date",
        f"Pieces on film run {code} are cancelled or held by now: {listed(list(tickets))}.",
        "Plan again, which takes them out: filmdocket film plan --lay.",
    )


def ticket_not_for_film(code: str) -> ShopProblem:
    """No piece of it waits for film."""
    return ShopProblem(
        "ticket-not-for-film",
        f"No piece of {code} waits to be printed and may be laid.",
        "See where its pieces are: filmdocket where. A ticket that was taken out: filmdocket film free.",
    )


def other_film(code: str, film: str, run: str, run_film: str) -> ShopProblem:
    """Kinds of film are never mixed."""
    return ShopProblem(
        "other-film",
        f"{code} is for {film} film, and run {run} is {run_film}.",
        "Choose a run of the same film: filmdocket film runs.",
    )


def does_not_fit_run(code: str, run: str, run_mm: float) -> ShopProblem:
    """A run can't take a ticket."""
    return ShopProblem(
        "does-not-fit-run",
        f"Not all pieces of {code} fit on run {run}: a run is at most {run_mm / 1000:g} m.",
        "Take another ticket out of it first, or choose another run.",
    )


def run_not_finished(code: str, most: int) -> ShopProblem:
    """A run that the finisher does not take."""
    return ShopProblem(
        "run-not-finished",
        f"Film run {code} is a sheet, or holds more than {most} pieces: those are not laid closer.",
        "Plan it again with more time instead: filmdocket film plan --seconds 60 --lay.",
    )


def lies_in_several(code: str, runs: Sequence[str]) -> ShopProblem:
    """A ticket that can't be pinned where it is."""
    return ShopProblem(
        "lies-in-several",
        f"{code} lies in {listed(list(runs))}." if runs else f"{code} lies in no planned run.",
        "Pin the runs, or move the ticket to one of them." if runs else "Move it to a run.",
    )


def released(code: str) -> str:
    """A run's file is proved, and no plan changes it."""
    return f"Run {code} is released: its file was written and proved, and no plan lays it anew."


def no_run_file(code: str) -> NotFound:
    """A run whose file is not there."""
    return NotFound(
        "no-run-file",
        f"There is no file of film run {code}.",
        f"Write it: filmdocket film file {code}; a release writes it too.",
    )


def dropped(code: str) -> str:
    """A run was given up."""
    return f"Run {code} is dropped; its pieces wait at print and can be planned again."


def pinned(code: str, *, is_pinned: bool) -> str:
    """Planning again leaves it where it is, or not any more."""
    if is_pinned:
        return f"{code} is pinned: planning again leaves it as it is."
    return f"{code} is free: planning again may lay it anew."


def moved(code: str, run: str, length_mm: float) -> str:
    """A ticket lies in another run now."""
    return f"{code} lies in run {run}, which is {length_mm / 1000:.2f} m long now. It stays there."


def taken_out(code: str) -> str:
    """A ticket is in no run, and stays out."""
    return f"{code} is taken out, and no plan lays it until you let it: filmdocket film free {code}"


def kept_as_planned(plan: FilmPlan, moved_pieces: int, gone: int) -> list[str]:
    """What planning again left as it was."""
    stays = [run.code for run in plan.runs if not run.is_changed]
    said = [f"{listed(stays)} {'stays' if len(stays) == 1 else 'stay'} as planned."] if stays else []
    if moved_pieces or gone:
        said.append(f"{moved_pieces} pieces lie in another place than before, {gone} are gone.")
    return said


def film_size(run: StoredRun | Layout) -> str:
    """How much film a run is."""
    if run.is_sheet:
        return f"a sheet {run.length_mm:g} mm long"
    return f"{run.length_mm / 1000:.2f} m"


def run_line(answer: FilmRunAnswer) -> str:
    """One run in a list."""
    run = answer.run
    pieces = sum(not p.spare for p in run.pieces)
    spares = f" + {len(run.pieces) - pieces} spares" if len(run.pieces) > pieces else ""
    pin = ", pinned" if run.is_pinned else ""
    where = ", ".join(f"{count} at {place}" for place, count in answer.waiting.items())
    return f"{run.code}  {run.standing}{pin}, {run.film}, {film_size(run)}, {pieces} pieces{spares}" + (
        f": {where}" if where else ""
    )


def no_runs() -> str:
    """No run waits."""
    return "No film run is planned, released or on the line. Lay what waits: filmdocket film plan --lay"


def ticket_on_run(code: str, order: str, artwork: str, counts: Mapping[str, int]) -> str:
    """What of one ticket lies on a run."""
    more = "".join(f", {counts[k]} {k}" for k in ("spares", "lost") if counts[k])
    return f"  {code}  {order}  {artwork}: {counts['pieces']}{more}"


def run_not_released(code: str) -> ShopProblem:
    """The shop prints nothing whose file was not proved."""
    return ShopProblem(
        "run-not-released",
        f"Film run {code} is not released.",
        f"Release it first: filmdocket film release {code} --by NAME (the shop's film.laying.only_released).",
    )


def plan_in_short(plan: Plan, tickets: int) -> str:
    """The whole plan in a sentence."""
    saved = f", {plan.saved_share:.0%} less than in plain rows" if plan.saved_share >= 0.005 else ""
    what = "sheet" if plan.layouts and all(run.is_sheet for run in plan.layouts) else "run"
    runs = f"1 {what}" if len(plan.layouts) == 1 else f"{len(plan.layouts)} {what}s"
    return (
        f"{plan.pieces} pieces of {tickets} {'ticket' if tickets == 1 else 'tickets'} "
        f"on {plan.metres:.2f} m of film{saved}: {runs}, "
        f"{plan.inked_share:.0%} of the film used, {plan.minutes:.0f} minutes of cutting."
    )


def run_in_short(number: int, layout: Layout, code: str) -> str:
    """One run of a plan: its code once it has one, what lies on it."""
    lies = ", ".join(f"{ticket} × {count}" for ticket, count in layout.counts().items())
    named = f"Run {code}" if code else f"Run {number}"
    return f"{named}, {layout.film}, {film_size(layout)}, {WAYS[layout.way]}: {lies}"


def not_laid(unlaid: Sequence[Unlaid]) -> list[str]:
    """The jobs that no run can take."""
    return [f"{one.job.code} cannot be laid: {one.why}." for one in unlaid]


def smaller_saves(advice: Sequence[SizeAdvice], currency: str) -> list[str]:
    """Sizes that would let one more piece lie across, a sentence a ticket."""
    return [
        f"{one.advice.code}: {size_saves(one.advice, currency, one.pieces, is_agreed=one.is_agreed)}"
        for one in advice
    ]


def laid(codes: Sequence[str], *, is_booked: bool, is_changing: bool) -> str:
    """Whether the plan is booked, and what follows."""
    if not is_changing:
        return "All of it is booked so already."
    if is_booked:
        return (
            f"Booked: {', '.join(codes)}. One scan of a run's code at print, powder and cure now "
            "moves all its pieces."
        )
    return "Nothing is booked yet: --lay gives each run a code and lays its pieces in it."


make_spoken(__name__, de="tickets.german.film")
