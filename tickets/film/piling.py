"""A run by beam search: from what is left of the lots to blocks for the search, and back to placements."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

import numpy as np

from tickets.film.beams import Pile
from tickets.film.items import Catalogue, Item
from tickets.film.laying import Draft
from tickets.film.model import Placement
from tickets.film.profiles import COLUMN_MM, MOST_STEPS, STEP_MM
from tickets.film.skylines import BEYOND, Blocks, Ints, Supply

ENOUGH = 1.6  # lots are offered until they would fill a run so many times over


@dataclass(slots=True)
class Piler:
    """Offers what is left of lots as blocks. `shares`: what a piece of each lot is worth, in mm of film."""

    catalogue: Catalogue
    shares: Sequence[float]
    _found: dict[int, list[Item]] = field(init=False, default_factory=dict)

    def offer(self, left: Sequence[int], window: int, banned: Collection[int] = ()) -> Offer | None:
        """What may be laid on the next run; None where nothing may."""
        rules = self.catalogue.rules
        columns = int((rules.printable_mm + rules.gap_mm) / COLUMN_MM + 1e-9)
        room = min(MOST_STEPS, int((rules.room_mm + rules.gap_mm) / STEP_MM + 1e-6))
        lots: list[int] = []
        items: list[Item] = []
        at: list[int] = []
        area = 0
        for lot, copies in enumerate(left):
            fitting = self._items(lot, columns, copies) if copies and lot not in banned else []
            if not fitting:
                continue
            if len(lots) >= window and area > ENOUGH * columns * room:
                break
            at += [len(lots)] * len(fitting)
            items += fitting
            lots.append(lot)
            area += copies * fitting[0].area // fitting[0].copies
        if not lots:
            return None
        blocks = Blocks(
            _ints([item.profile.columns for item in items]),
            _ints([item.deepest for item in items]),
            np.array(at, np.intp),
            _ints([item.copies for item in items]),
            np.array([item.copies * self.shares[item.lot] for item in items]),
            *_outlines(items),
        )
        return Offer(Supply(blocks, _ints([left[lot] for lot in lots]), columns, room, window), items)

    def _items(self, lot: int, columns: int, copies: int) -> list[Item]:
        """What of a lot is laid at once: single pieces, rows, pairs; as plain boxes what is straight."""
        if lot not in self._found:
            items = self.catalogue.items(lot)
            self._found[lot] = items if self.catalogue.by_outline else [i for i in items if _is_flat(i)]
        return [i for i in self._found[lot] if i.profile.columns <= columns and i.copies <= copies]

    def draft(self, pile: Pile, offer: Offer, left: Sequence[int]) -> tuple[Draft, list[int]]:
        """The run that a pile makes, and what is left of all lots after it."""
        edge_mm, lots = self.catalogue.rules.edge_mm, self.catalogue.lots
        draft, after = Draft([], {}), list(left)
        for block, column, step in pile.blocks:
            item = offer.items[block]
            lot = lots[item.lot]
            first = lot.copies - after[item.lot]
            for number, part in enumerate(item.parts, start=first):
                where = (column * COLUMN_MM + part.x_mm, edge_mm + step * STEP_MM + part.y_mm)
                placed: Placement = lot.placement(number, where, part.stance.turned)
                draft.placements.append(placed)
            after[item.lot] -= item.copies
            draft.counts[item.lot] = draft.counts.get(item.lot, 0) + item.copies
            draft.used += item.area
        draft.end = pile.end
        return draft, after


@dataclass(frozen=True, slots=True)
class Offer:
    """A supply for the search, and the item that each of its blocks is."""

    supply: Supply
    items: list[Item]


def _is_flat(item: Item) -> bool:
    profile = item.profile
    return not profile.near.any() and int(profile.far.min()) == item.deepest


def _outlines(items: Sequence[Item]) -> tuple[Ints | None, Ints | None]:
    """Where each item begins and ends in each column of its box; None where all are straight."""
    if all(map(_is_flat, items)):
        return None, None
    widest = max(item.profile.columns for item in items)
    near = np.full((len(items), widest), BEYOND, np.int32)
    far = np.zeros((len(items), widest), np.int32)
    for row, item in enumerate(items):
        near[row, : item.profile.columns] = item.profile.near
        far[row, : item.profile.columns] = item.profile.far
    return near, far


def _ints(values: Sequence[int]) -> Ints:
    return np.array(values, np.int32)
