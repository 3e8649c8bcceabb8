"""A run of plain boxes made shorter: the same pieces, laid anew by searches for lengths below its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from tickets.film.beams import Pile
from tickets.film.cutting import boxes_of
from tickets.film.effort import Effort
from tickets.film.model import Placement
from tickets.film.packing import pack_all
from tickets.film.piling import Piler
from tickets.film.profiles import STEP_MM

MOST_ROUNDS = 12  # searches for one run: the first few find most of what there is


def shorten(placements: Sequence[Placement], piler: Piler, effort: Effort) -> Sequence[Placement]:
    """The same pieces on less film, if there is a way and time to find it; else as they were."""
    lots, rules = piler.catalogue.lots, piler.catalogue.rules
    counted = Counter(p.code for p in placements)
    counts = [counted[lot.job.code] for lot in lots]
    offer = piler.offer(counts, len(counts))
    if offer is None or int(offer.supply.counts.sum()) != len(placements):
        return placements
    boxes = boxes_of(placements, {lot.job.code: lot.job for lot in lots})
    end = int((float(boxes[:, 3].max()) - rules.edge_mm + rules.gap_mm) / STEP_MM)
    pile = pack_all(offer.supply, effort, Pile((), end, 0.0), MOST_ROUNDS)
    if pile is None or not pile.blocks:
        return placements
    draft, _ = piler.draft(pile, offer, counts)
    return _spared(draft.placements, Counter(p.code for p in placements if p.spare), counted)


def _spared(placements: Sequence[Placement], spares: Counter[str], left: Counter[str]) -> list[Placement]:
    """The last of each ticket along the film are its spares, as many as there were."""
    waiting, told = left.copy(), []
    for placement in sorted(placements, key=lambda p: (p.y_mm, p.x_mm)):
        told.append(replace(placement, spare=waiting[placement.code] <= spares[placement.code]))
        waiting[placement.code] -= 1
    return told
