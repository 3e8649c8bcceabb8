"""From the jobs that wait to lots in the order in which they are laid, and those that fit no film here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from tickets.film.model import Job, Layout, Placement, Rules

# Lengths that come out of sums of decimals: a millionth of a millimetre is no difference.
TINY_MM = 1e-6
LONGEST_MM = 14_000.0  # no piece is longer: the planner counts in 16 bits


@dataclass(frozen=True, slots=True)
class Stance:
    """One way that a piece may lie: its box across and along the film in mm."""

    across_mm: float
    along_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Lot:
    """The pieces of one job that are still to be laid: `copies`, the last `spares` of them printed over."""

    job: Job
    copies: int
    spares: int
    stances: tuple[Stance, ...]

    def placement(self, number: int, at: tuple[float, float], turned: bool) -> Placement:
        """The piece that is laid as `number` of the lot (from 0), its box's top left at (x, y) in mm."""
        return Placement(self.job.code, at[0], at[1], turned, spare=number >= self.copies - self.spares)


class Misfit(StrEnum):
    """Why a job can't be laid under these rules."""

    TOO_WIDE = "too wide"  # wider than the film as it must lie
    TOO_LONG = "too long"  # it lies across, and is longer than a run or sheet
    NO_SIZE = "no size"  # a box without width or height


@dataclass(frozen=True, slots=True)
class Unlaid:
    """A job that no run under these rules can take, and why."""

    job: Job
    why: Misfit


def stances_of(job: Job, rules: Rules) -> tuple[Stance, ...]:
    """The ways that a piece of the job fits the film, unturned first."""
    width, height = job.shape.width_mm, job.shape.height_mm
    ways = [Stance(width, height, False)]
    if rules.turning and job.may_turn and (width != height or job.shape.rings):
        ways.append(Stance(height, width, True))
    return tuple(w for w in ways if _fits(w, rules))


def _fits(stance: Stance, rules: Rules) -> bool:
    is_short = stance.along_mm + rules.gap_mm <= min(rules.room_mm + rules.gap_mm + TINY_MM, LONGEST_MM)
    is_narrow = stance.across_mm <= rules.printable_mm + TINY_MM
    return is_narrow and is_short


def sort_jobs(jobs: Iterable[Job]) -> list[Job]:
    """Jobs as they are to be printed: rush first, then by the time they are due, those without one last."""
    return sorted(
        jobs, key=lambda j: (not j.rush, j.due_at is None, j.due_at and j.due_at.timestamp(), j.code)
    )


def lots_of(
    jobs: Iterable[Job], rules: Rules, fixed: Sequence[Layout] = ()
) -> tuple[list[Lot], list[Unlaid]]:
    """What is left to lay of these jobs beside the fixed layouts, in order; and the jobs that do not fit."""
    good, spare = laid_copies(fixed)
    lots, unlaid = [], []
    for job in sort_jobs(jobs):
        quantity = max(0, job.quantity - good[job.code])
        spares = max(0, job.spares - spare[job.code])
        if not quantity + spares:
            continue
        stances = stances_of(job, rules)
        if min(job.shape.width_mm, job.shape.height_mm) <= 0:
            unlaid.append(Unlaid(job, Misfit.NO_SIZE))
        elif not stances:
            unlaid.append(Unlaid(job, _misfit(job, rules)))
        else:
            lots.append(Lot(job, quantity + spares, spares, stances))
    return lots, unlaid


def laid_copies(layouts: Iterable[Layout]) -> tuple[Counter[str], Counter[str]]:
    """How many pieces of each ticket these layouts hold: those that are owed, and spares."""
    good: Counter[str] = Counter()
    spare: Counter[str] = Counter()
    for layout in layouts:
        for placement in layout.placements:
            (spare if placement.spare else good)[placement.code] += 1
    return good, spare


def _misfit(job: Job, rules: Rules) -> Misfit:
    sides = (job.shape.width_mm, job.shape.height_mm)
    across = min(sides) if rules.turning and job.may_turn else sides[0]
    return Misfit.TOO_WIDE if across > rules.printable_mm + TINY_MM else Misfit.TOO_LONG
