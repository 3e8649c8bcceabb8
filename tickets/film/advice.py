"""Size advice: where a few millimetres less let one more piece lie across the film, and what that saves."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from tickets.film.lots import Stance, stances_of
from tickets.film.model import Job, Rules, Shape
from tickets.film.rows import pieces_across, rows_mm

MOST_LESS = 0.05  # more than a twentieth smaller is another design
TENTHS = 10  # sizes are told in tenths of a millimetre


@dataclass(frozen=True, slots=True)
class Advice:
    """Print this ticket smaller. `factor`: of both sides; `across`: pieces side by side, now and then.

    `turned`: whether the smaller one lies turned. `now_mm` and `then_mm`: film for all its pieces in rows,
    each the better way round. `saved_money`: that film in the shop's money.
    """

    code: str
    width_mm: float
    height_mm: float
    factor: float
    across: tuple[int, int]
    turned: bool
    now_mm: float
    then_mm: float
    saved_money: float

    @property
    def saved_mm(self) -> float:
        """Film that it saves."""
        return self.now_mm - self.then_mm


def advise(job: Job, rules: Rules, most_less: float = MOST_LESS) -> Advice | None:
    """The smaller size that saves this job most film, at most `most_less` smaller; None: none saves any.

    Compared with the job as it is, laid the better way round: what only needs turning needs no advice.
    """
    stances = stances_of(job, rules)
    if not stances or not job.copies:
        return None
    now = min(stances, key=lambda s: rows_mm(job.copies, s, rules))
    found = [a for stance in stances for a in _smaller(job, rules, now, stance, most_less)]
    useful = [a for a in found if a.saved_mm > rules.gap_mm]
    return max(useful, key=lambda a: (round(a.saved_mm, 3), a.factor), default=None)


def advise_all(jobs: Iterable[Job], rules: Rules, most_less: float = MOST_LESS) -> list[Advice]:
    """The advice for every job that has any, the largest saving first."""
    found = [a for job in jobs if (a := advise(job, rules, most_less))]
    return sorted(found, key=lambda a: (-a.saved_mm, a.code))


def resized(job: Job, advice: Advice) -> Job:
    """The job at the advised size, its outlines made smaller with it."""
    shape, factor = job.shape, advice.factor
    rings = tuple(tuple((x * factor, y * factor) for x, y in ring) for ring in shape.rings)
    return replace(job, shape=Shape(advice.width_mm, advice.height_mm, rings))


def _smaller(job: Job, rules: Rules, now: Stance, stance: Stance, most_less: float) -> list[Advice]:
    now_mm = rows_mm(job.copies, now, rules)
    found = []
    across = pieces_across(stance.across_mm, rules) + 1
    while (factor := _factor(rules, stance, across)) >= 1 - most_less:
        width_mm, height_mm = job.shape.width_mm * factor, job.shape.height_mm * factor
        smaller = Stance(stance.across_mm * factor, stance.along_mm * factor, stance.turned)
        then_mm = rows_mm(job.copies, smaller, rules)
        both = (pieces_across(now.across_mm, rules), across)
        money = (now_mm - then_mm) / 1000 * rules.metre_costs
        told = (job.code, width_mm, height_mm, factor, both, stance.turned)
        found.append(Advice(*told, now_mm, then_mm, money))
        across += 1
    return found


def _factor(rules: Rules, stance: Stance, across: int) -> float:
    """How much smaller so many lie across: the side across in whole tenths of a millimetre."""
    most_mm = (rules.printable_mm + rules.gap_mm) / across - rules.gap_mm
    return math.floor(most_mm * TENTHS + 1e-6) / TENTHS / stance.across_mm
