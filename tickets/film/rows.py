"""Rows, as a person lays them: each job in rows of its own, straight cuts from edge to edge."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tickets.film.lots import TINY_MM, Lot, Stance
from tickets.film.model import Placement, Rules


def lay_rows(lots: Sequence[Lot], rules: Rules) -> list[list[Placement]]:
    """The lots in rows, a list of placements a run: each lot the way round that takes less film.

    A row is never parted by the end of a run; under `whole_jobs` no lot that fits one run is either.
    """
    runs: list[list[Placement]] = []
    at_mm = math.inf
    for lot in lots:
        stance = best_stance(lot, rules)
        across = pieces_across(stance.across_mm, rules)
        step = stance.along_mm + rules.gap_mm
        whole_mm = math.ceil(lot.copies / across) * step - rules.gap_mm
        needs_mm = whole_mm if rules.whole_jobs and whole_mm <= rules.room_mm else stance.along_mm
        for first in range(0, lot.copies, across):
            wanted_mm = needs_mm if first == 0 else stance.along_mm
            if at_mm + wanted_mm > rules.room_mm + TINY_MM:
                runs.append([])
                at_mm = 0.0
            for number in range(first, min(first + across, lot.copies)):
                x_mm = (number - first) * (stance.across_mm + rules.gap_mm)
                runs[-1].append(lot.placement(number, (x_mm, rules.edge_mm + at_mm), stance.turned))
            at_mm += step
    return runs


def best_stance(lot: Lot, rules: Rules) -> Stance:
    """The way round that takes less film in rows; unturned where both take the same."""
    return min(lot.stances, key=lambda s: round(rows_mm(lot.copies, s, rules), 6))


def rows_mm(copies: int, stance: Stance, rules: Rules) -> float:
    """How much film so many pieces take in rows that way round, a gap after each row."""
    return math.ceil(copies / pieces_across(stance.across_mm, rules)) * (stance.along_mm + rules.gap_mm)


def pieces_across(across_mm: float, rules: Rules) -> int:
    """How many pieces of this width lie side by side on the film, at least one."""
    return max(1, math.floor((rules.printable_mm + rules.gap_mm + TINY_MM) / (across_mm + rules.gap_mm)))
