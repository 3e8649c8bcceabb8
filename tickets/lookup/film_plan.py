"""A plan of the film from the books as they are now: worked out here, booked by the ledger only if wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from config.settings import Settings
from tickets import wording_film as wording
from tickets.cost.money import each_text, money_text
from tickets.film.choosing import AS_SET, FilmChoice, chosen_rules, rules_for_run
from tickets.film.keeping import FilmPlan, keep_runs
from tickets.film.model import Job, Layout, Rules, StoredRun, Way
from tickets.film.outlined import Outlines, boxes_only
from tickets.film.planning import Plan, Progress, ignore, never, plan_film
from tickets.film.replanning import Replan, is_alike, replan_film, take_out
from tickets.film.rules import rules_of
from tickets.lookup.costing import cost_of_layouts
from tickets.lookup.film_arts import outlined_jobs
from tickets.lookup.film_jobs import read_film_jobs, shapes_on
from tickets.lookup.film_runs import runs_standing
from tickets.lookup.size_advice import AgreedSize, SizeAdvice, advise_jobs, agreed_sizes
from tickets.models_film import PLANNED
from tickets.store import Store
from tickets.wording_film_choices import parted_jobs_cost, plan_costs, whole_jobs_cost
from tickets.wording_sizes import agreed_before


@dataclass(frozen=True, slots=True)
class Effort:
    """How a plan is looked for: for so many `seconds` by the `clock`, and what a person chose of it."""

    seconds: float = 2.0
    clock: Callable[[], float] | None = None
    stop: Callable[[], bool] = never
    progress: Callable[[Progress], None] = ignore
    choice: FilmChoice = AS_SET
    outlines: Outlines = boxes_only


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan that nobody has booked yet. `rules`: by which it was laid; `keep`: what the ledger is to keep.

    `whole`: all runs as they will be, the kept ones too, against all pieces in plain rows. `parted_mm` and
    `whole_mm`: film that it takes where tickets may lie across two runs, and where they may not; None where
    nobody chose. `cost`: of printing and cutting, and `rows_cost`: in rows; in minor units.
    """

    jobs: tuple[Job, ...]
    rules: Rules
    whole: Plan
    replan: Replan
    keep: FilmPlan
    advice: tuple[SizeAdvice, ...]
    cost: int = 0
    rows_cost: int = 0
    currency: str = ""
    agreed: tuple[AgreedSize, ...] = ()
    parted_mm: float | None = None
    whole_mm: float | None = None

    def told_agreed(self) -> list[str]:
        """Which tickets are printed smaller than ordered, a sentence each."""
        return [agreed_before(one.code, one.width_mm, one.height_mm) for one in self.agreed]

    def told_costs(self) -> list[str]:
        """What it costs to print and cut, a piece too; and what whole jobs cost, if that was asked."""
        saved = self.rows_cost - self.cost
        less = money_text(saved, self.currency) if saved > 0 else ""
        pieces = self.whole.pieces - sum(p.spare for run in self.whole.layouts for p in run.placements)
        total = money_text(self.cost, self.currency)
        said = [plan_costs(total, each_text(self.cost, pieces, self.currency), less)] if pieces else []
        if self.parted_mm is None or self.whole_mm is None:
            return said
        told = whole_jobs_cost if self.rules.whole_jobs else parted_jobs_cost
        return [*said, told(self.whole_mm, self.parted_mm)]


def propose_plan(store: Store, settings: Settings, effort: Effort | None = None) -> Proposal:
    """Lay all that waits for film; runs that are planned already stay as far as they can.

    Raises ShopProblem `nothing-for-film`, `bad-roll`, `bad-sheet`.
    """
    effort = effort or Effort()
    jobs, planned = _read(store, settings, effort.outlines)
    if not jobs and not planned:
        raise wording.nothing_for_film()
    rules = chosen_rules(settings.film, effort.choice)
    found = _propose(store, jobs, planned, settings, effort, rules)
    is_chosen = rules.whole_jobs or effort.choice.whole_jobs is not None
    if not is_chosen or len(found.whole.layouts) < 2 or effort.stop():
        return found
    other = _replan(jobs, planned, replace(rules, whole_jobs=not rules.whole_jobs), effort)
    lengths = sorted(
        [(rules.whole_jobs, found.whole.length_mm), (not rules.whole_jobs, _length_mm(other.layouts))]
    )
    return replace(found, parted_mm=lengths[0][1], whole_mm=lengths[1][1])


def propose_move(
    store: Store, settings: Settings, code: str, run: str, effort: Effort | None = None
) -> Proposal:
    """The same with all free pieces of a ticket in one planned run, that is laid anew for it.

    Raises ShopProblem `run-not-planned`, `ticket-not-for-film`, `other-film`, `does-not-fit-run`.
    """
    effort = effort or Effort()
    jobs, planned = _read(store, settings, effort.outlines)
    target = next((r for r in planned if r.code == run), None)
    if target is None:
        raise wording.run_not_planned(run)
    job = next((j for j in jobs if j.code == code), None)
    if job is None:
        raise wording.ticket_not_for_film(code)
    if job.film != target.film:
        raise wording.other_film(code, job.film, run, target.film)
    moved = [replace(j, pinned_run=run) if j.code == code else j for j in jobs]
    on_runs = {piece.code for r in planned for piece in r.pieces}
    moved = [j for j in moved if j.code in on_runs or j.code == code]  # who waits, waits for the next plan
    rules = rules_for_run(settings.film, target.layout())
    found = _propose(store, moved, planned, settings, effort, rules, unpinned=run)
    there = [layout for layout in found.whole.layouts if layout.run == run]
    if len(there) != 1 or not there[0].counts().get(code, 0):
        raise wording.does_not_fit_run(code, run, settings.film.laying.run_mm)
    return found


def propose_taking_out(
    store: Store, settings: Settings, code: str, outlines: Outlines = boxes_only
) -> FilmPlan:
    """The planned runs without a ticket's pieces, everything else where it lies."""
    jobs, planned = _read(store, settings, outlines)
    shapes = shapes_on(planned)
    by_code = {j.code: j for j in jobs} | {
        piece.code: Job(piece.code, piece.order, 1, shapes[piece.code], run.film)
        for run in planned
        for piece in run.pieces
    }
    rules = rules_of(settings.film)
    layouts: list[Layout] = []
    for run in planned:
        layout = run.layout()
        rest = take_out(layout, code, by_code, rules) if code in layout.counts() else layout
        layouts += [rest] if rest else []
    return keep_runs(planned, layouts, shapes)


def run_to_pin(store: Store, code: str) -> str:
    """The one planned run that a ticket lies in. Raises ShopProblem `lies-in-several`."""
    with store.reading() as session:
        planned = runs_standing(session, [PLANNED])
    found = [run.code for run in planned if any(piece.code == code for piece in run.pieces)]
    if len(found) != 1:
        raise wording.lies_in_several(code, found)
    return found[0]


def _read(store: Store, settings: Settings, outlines: Outlines) -> tuple[list[Job], list[StoredRun]]:
    with store.reading() as session:
        planned = runs_standing(session, [PLANNED])
        jobs = read_film_jobs(session, settings, [run.code for run in planned])
    return outlined_jobs(store, jobs, outlines), planned


def _propose(
    store: Store,
    jobs: Sequence[Job],
    planned: Sequence[StoredRun],
    settings: Settings,
    effort: Effort,
    rules: Rules,
    unpinned: str = "",
) -> Proposal:
    replan = _replan(jobs, planned, rules, effort, unpinned)
    shapes = shapes_on(planned) | {job.code: job.shape for job in jobs}
    others = [layout for layout in replan.kept if not is_alike(layout, rules)]
    in_rows = plan_film(jobs, rules, seconds=0, ways=(Way.ROWS,), fixed=others)
    rows = (*others, *in_rows.layouts)
    with store.reading() as session:
        advice = advise_jobs(session, settings, jobs)
        agreed = tuple(agreed_sizes(session, jobs))
        cost, rows_cost = (cost_of_layouts(session, settings, some) for some in (replan.layouts, rows))
    whole = Plan(replan.layouts, _length_mm(rows), replan.plan.unlaid, replan.plan.is_whole)
    keep, currency = keep_runs(planned, replan.layouts, shapes), settings.money.currency
    return Proposal(tuple(jobs), rules, whole, replan, keep, tuple(advice), cost, rows_cost, currency, agreed)


def _replan(
    jobs: Sequence[Job], planned: Sequence[StoredRun], rules: Rules, effort: Effort, unpinned: str = ""
) -> Replan:
    return replan_film(
        jobs,
        rules,
        planned=[run.layout() for run in planned],
        pinned={run.code for run in planned if run.is_pinned and run.code != unpinned},
        seconds=effort.seconds,
        clock=effort.clock,
        stop=effort.stop,
        progress=effort.progress,
    )


def _length_mm(layouts: Sequence[Layout]) -> float:
    return sum(layout.length_mm for layout in layouts)
