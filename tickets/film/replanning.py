"""Planning again when jobs come or go: what is printed stays, what is planned moves as little as it can."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tickets.film.lots import laid_copies
from tickets.film.model import Job, Layout, Placement, Rules
from tickets.film.planning import Plan, layout_of, plan_film

SAME_MM = 0.01
LEAST_KEPT = 0.8  # a run that lost more of its ink, or is shorter than this share, is laid anew


@dataclass(frozen=True, slots=True)
class Replan:
    """`kept`: planned runs that stay, less the pieces that went; `plan`: the new runs beside them.

    `moved`: pieces that lay on a planned run and now lie elsewhere. `gone`: pieces that no job wants.
    """

    kept: tuple[Layout, ...]
    plan: Plan
    moved: int
    gone: int

    @property
    def layouts(self) -> tuple[Layout, ...]:
        """All runs that are to be printed."""
        return (*self.kept, *self.plan.layouts)


def replan_film(
    jobs: Sequence[Job],
    rules: Rules,
    *,
    printed: Sequence[Layout] = (),
    planned: Sequence[Layout] = (),
    pinned: Collection[str] = (),
    **options: Any,
) -> Replan:
    """Plan these jobs again, with the `options` of `plan_film`.

    Printed runs are never touched. A planned run keeps every piece that is still wanted where it lies; it
    is laid anew if it lost more than a fifth of its ink, if it is the last of its kind and short and more
    pieces of that kind wait (so that they may join it), or if a ticket was pinned to it. A run whose code
    is among the `pinned`, and one on other film or sheets, loses what is gone and is never laid anew.
    """
    by_code = {job.code: job for job in jobs}
    wanted = _wanted(jobs, printed)
    pruned = [_prune(layout, wanted, by_code, rules) for layout in planned]
    open_runs = _named_anew(jobs, pruned)
    short_of = {
        by_code[code].film
        for (code, is_spare), count in wanted.items()
        if count > 0 and not is_spare and not by_code[code].pinned_run
    }
    last = {layout.film: number for number, layout in enumerate(pruned) if layout}
    kept = [
        now
        for number, (before, now) in enumerate(zip(planned, pruned, strict=True))
        if now
        and (now.run not in open_runs or not is_alike(now, rules))
        and (
            now.run in pinned
            or not is_alike(now, rules)
            or (
                _inked(now) >= LEAST_KEPT * _inked(before)
                and not _may_be_joined(now, last[now.film] == number and now.film in short_of, rules)
            )
        )
    ]
    joined = _pinned_along(jobs, [x for x in pruned if x and x.run in open_runs and is_alike(x, rules)])
    plan = plan_film(joined, rules, fixed=[*printed, *kept], **options)
    before_count = _counted(planned)
    still = _counted([layout for layout in pruned if layout])
    moved = sum((still - _counted(kept)).values())
    return Replan(tuple(kept), plan, moved, sum((before_count - still).values()))


def is_alike(layout: Layout, rules: Rules) -> bool:
    """Whether a run is one of those that these rules lay: as wide, and on the roll or on such a sheet."""
    is_so_long = not rules.is_sheet or abs(layout.length_mm - rules.run_mm) < SAME_MM
    return (
        abs(layout.width_mm - rules.printable_mm) < SAME_MM
        and layout.is_sheet == rules.is_sheet
        and is_so_long
    )


def _may_be_joined(layout: Layout, is_asked: bool, rules: Rules) -> bool:
    """Whether a run is laid anew so that others may join it."""
    return is_asked and layout.length_mm < LEAST_KEPT * rules.run_mm


def take_out(layout: Layout, code: str, jobs: Mapping[str, Job], rules: Rules) -> Layout | None:
    """The run without a ticket's pieces, the others where they lie; None where nothing is left."""
    rest = [p for p in layout.placements if p.code != code]
    return _relaid(layout, rest, jobs, rules) if rest else None


def pin(jobs: Iterable[Job], code: str, run: str) -> list[Job]:
    """The jobs with one ticket pinned to a run; `run` "" frees it."""
    return [replace(job, pinned_run=run) if job.code == code else job for job in jobs]


def _wanted(jobs: Sequence[Job], printed: Sequence[Layout]) -> dict[tuple[str, bool], int]:
    good, spare = laid_copies(printed)
    wanted = {(job.code, False): job.quantity - good[job.code] for job in jobs}
    return wanted | {(job.code, True): job.spares - spare[job.code] for job in jobs}


def _prune(
    layout: Layout, wanted: dict[tuple[str, bool], int], jobs: Mapping[str, Job], rules: Rules
) -> Layout | None:
    """The run with the pieces that are wanted; they are no longer so afterwards."""
    rest: list[Placement] = []
    for placement in layout.placements:
        key = (placement.code, placement.spare)
        job = jobs.get(placement.code)
        if job and job.film == layout.film and _may_lie(job, layout) and wanted[key] > 0:
            wanted[key] -= 1
            rest.append(placement)
    if len(rest) == len(layout.placements):
        return layout
    return _relaid(layout, rest, jobs, rules) if rest else None


def _may_lie(job: Job, layout: Layout) -> bool:
    return job.pinned_run in ("", layout.run)


def _relaid(layout: Layout, rest: Sequence[Placement], jobs: Mapping[str, Job], rules: Rules) -> Layout:
    own = rules if is_alike(layout, rules) else rules_of_run(layout, rules)
    return replace(layout_of(rest, layout.way, jobs, own), run=layout.run)


def rules_of_run(layout: Layout, rules: Rules) -> Rules:
    """The rules with a run's own width and, of a sheet, its length."""
    run_mm = layout.length_mm if layout.is_sheet else max(rules.run_mm, layout.length_mm)
    return replace(rules, printable_mm=layout.width_mm, run_mm=run_mm, is_sheet=layout.is_sheet)


def _named_anew(jobs: Sequence[Job], layouts: Iterable[Layout | None]) -> set[str]:
    """The planned runs that somebody was pinned to who does not wholly lie there."""
    held: Counter[tuple[str, str]] = Counter()
    for layout in layouts:
        for code, count in (layout.counts() if layout else {}).items():
            held[layout.run if layout else "", code] += count
    pinned = [job for job in jobs if job.pinned_run]
    return {job.pinned_run for job in pinned if held[job.pinned_run, job.code] < job.copies}


def _pinned_along(jobs: Sequence[Job], open_layouts: Sequence[Layout]) -> list[Job]:
    """Who lay on a run that is opened for somebody stays with it."""
    runs = {code: layout.run for layout in open_layouts for code in layout.counts()}
    return [replace(job, pinned_run=job.pinned_run or runs.get(job.code, "")) for job in jobs]


def _inked(layout: Layout) -> float:
    return layout.inked_share * layout.length_mm


def _counted(layouts: Iterable[Layout]) -> Counter[str]:
    counted: Counter[str] = Counter()
    for layout in layouts:
        counted.update(layout.counts())
    return counted
