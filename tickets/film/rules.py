"""From the shop's settings to the rules that film is laid by, for its roll or for sheets of another size."""

from __future__ import annotations

import math

from config.settings import Film
from tickets.film.model import Rules


def rules_of(film: Film, *, width_mm: float | None = None, sheet_mm: float | None = None) -> Rules:
    """The rules for the shop's roll; or for a roll or sheet of `width_mm`, its margins the same.

    `sheet_mm`: the length of a sheet, every one of which is a run by itself (an oven's 600 × 460 mm, or A3).
    """
    laying = film.laying
    margins_mm = film.width_mm - film.printable_mm
    return Rules(
        printable_mm=film.printable_mm if width_mm is None else width_mm - margins_mm,
        gap_mm=laying.gap_mm,
        edge_mm=laying.edge_mm,
        run_mm=laying.run_mm if sheet_mm is None else sheet_mm,
        turning=laying.turning,
        window=laying.window,
        whole_jobs=laying.whole_jobs,
        cut_straight_mm_per_minute=laying.cut_straight_mm_per_minute,
        cut_outline_mm_per_minute=laying.cut_outline_mm_per_minute,
        minute_costs=laying.minute_costs,
        metre_costs=laying.metre_costs,
        is_sheet=sheet_mm is not None,
    )


def spares_for(quantity: int, film: Film) -> int:
    """How many spares the shop prints over for so many pieces: so many a ticket, or its per cent if more."""
    share = math.ceil(quantity * film.laying.spares_percent / 100 - 1e-9)
    return max(film.laying.spares, share) if quantity else 0
