"""A planned run laid closer by the finisher: worked out here, kept only if the run is still as it was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import col, select

from config.settings import Settings
from tickets import wording_film as wording
from tickets.film.choosing import rules_for_run
from tickets.film.finishing import MOST_PIECES, Finisher, finish
from tickets.film.keeping import FilmPlan, keep_runs
from tickets.film.model import Job, Layout, StoredRun
from tickets.film.outlined import Outlines, boxes_only
from tickets.lookup.film_arts import outlined_jobs
from tickets.lookup.film_jobs import read_film_jobs, shapes_on
from tickets.lookup.film_runs import runs_standing, stored_run
from tickets.models_film import PLANNED, FilmRun
from tickets.store import Store

SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class Finished:
    """What came of a run: its length before and after, and (None: nothing better) what the ledger keeps."""

    run: str
    before_mm: float
    length_mm: float
    keep: FilmPlan | None = None


def propose_finish(
    store: Store,
    settings: Settings,
    code: str,
    finisher: Finisher,
    *,
    seconds: int,
    outlines: Outlines = boxes_only,
) -> Finished:
    """Look for a shorter layout of one planned run for some seconds; nothing is read or locked meanwhile.

    Raises NotFound `run-not-known`; ShopProblem `run-not-planned`, `run-not-finished`, `run-out-of-date`,
    `plan-overtaken` where the run was laid anew, released or dropped meanwhile.
    """
    run, jobs = _read(store, settings, code)
    layout = run.layout()
    if layout.is_sheet or len(layout.placements) > MOST_PIECES:
        raise wording.run_not_finished(code, MOST_PIECES)
    _require_same(run, jobs)
    jobs = {job.code: job for job in outlined_jobs(store, list(jobs.values()), outlines)}
    rules = rules_for_run(settings.film, layout)
    finished = finish(layout, jobs, rules, finisher, seconds=seconds)
    if finished is layout:
        return Finished(code, layout.length_mm, layout.length_mm)
    keep = _kept(store, run, finished)
    return Finished(code, layout.length_mm, finished.length_mm, keep)


def runs_to_finish(store: Store) -> list[tuple[str, int]]:
    """The planned runs that nobody has pinned, oldest first: each code and how often it was laid."""
    with store.reading() as session:
        asked = select(FilmRun.code, FilmRun.revision, FilmRun.way).where(
            FilmRun.standing == PLANNED, ~col(FilmRun.pinned)
        )
        found = session.exec(asked.order_by(col(FilmRun.id))).all()
    return [(code, revision) for code, revision, way in found if way != "finished"]


def _read(store: Store, settings: Settings, code: str) -> tuple[StoredRun, dict[str, Job]]:
    """The run, and the jobs of what lies on it as they are now."""
    run = stored_run(store, code)
    if run.standing != PLANNED:
        raise wording.run_not_planned(code)
    with store.reading() as session:
        jobs = read_film_jobs(session, settings, [code])
    lies = run.layout().counts()
    return run, {job.code: job for job in jobs if job.code in lies}


def _require_same(run: StoredRun, jobs: dict[str, Job]) -> None:
    """Raises ShopProblem `run-out-of-date` where something on it is held or cancelled by now, or resized."""
    wrong = []
    for code, shape in shapes_on([run]).items():
        job = jobs.get(code)
        sides = (shape.width_mm, shape.height_mm)
        now = (job.shape.width_mm, job.shape.height_mm) if job else (0.0, 0.0)
        if max(abs(side - new) for side, new in zip(sides, now, strict=True)) > SAME_MM:
            wrong.append(code)
    if wrong:
        raise wording.run_out_of_date(run.code, wrong)


def _kept(store: Store, run: StoredRun, finished: Layout) -> FilmPlan:
    """The planned runs as they are now, this one as it was finished."""
    with store.reading() as session:
        planned = runs_standing(session, [PLANNED])
    now = next((r for r in planned if r.code == run.code), None)
    if now is None or now.revision != run.revision:
        raise wording.plan_overtaken(f"{run.code} was laid anew, released or dropped")
    layouts: Sequence[Layout] = [finished if r.code == run.code else r.layout() for r in planned]
    return keep_runs(planned, layouts, shapes_on(planned))
