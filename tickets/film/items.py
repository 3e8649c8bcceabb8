"""What is laid at once, of one lot: a piece, a row of pieces, or two that lock into each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tickets.film.fronts import Fit, Front
from tickets.film.lots import Lot, Stance
from tickets.film.model import Rules, Shape
from tickets.film.profiles import COLUMN_MM, STEP_MM, Profile, profile_of, row_of
from tickets.film.rows import pieces_across

PAIR_STRIDE = 4  # columns between the offsets at which a pair is tried
LEAST_GAIN = 0.97  # a pair must take so much less than two boxes
A_SLOT_MM = 50.0  # a strip narrower than this beside a pair is as good as lost


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of an item: where its box begins in it, in mm, and how it lies."""

    x_mm: float
    y_mm: float
    stance: Stance


@dataclass(frozen=True, slots=True)
class Item:
    """Pieces of one lot that are laid at once, and the film that they take together."""

    lot: int
    parts: tuple[Part, ...]
    profile: Profile
    area: int
    deepest: int

    @property
    def copies(self) -> int:
        """How many pieces it holds."""
        return len(self.parts)


def item_of(lot: int, parts: Sequence[Part], profile: Profile) -> Item:
    """An item, with what is asked of it often worked out once."""
    return Item(lot, tuple(parts), profile, profile.area, int(profile.far.max()))


class Catalogue:
    """The items of each lot, worked out when they are first needed; boxes, or by the outline of the ink."""

    def __init__(self, lots: Sequence[Lot], rules: Rules, *, by_outline: bool) -> None:
        self.lots, self.rules, self.by_outline = lots, rules, by_outline
        self._items: dict[int, list[Item]] = {}

    def items(self, lot: int) -> list[Item]:
        """Every way to lay pieces of a lot."""
        if lot not in self._items:
            self._items[lot] = self._of(lot)
        return self._items[lot]

    def _of(self, lot: int) -> list[Item]:
        stances, gap_mm = self.lots[lot].stances, self.rules.gap_mm
        shape = self.lots[lot].job.shape
        shape = shape if self.by_outline else Shape(shape.width_mm, shape.height_mm)
        profiles = {stance: profile_of(shape, stance, gap_mm) for stance in stances}
        items = []
        for stance, single in profiles.items():
            items.append(item_of(lot, [Part(0.0, 0.0, stance)], single))
            across = pieces_across(stance.across_mm, self.rules)
            if across > 1:
                pitch = stance.across_mm + gap_mm
                parts = [Part(number * pitch, 0.0, stance) for number in range(across)]
                items.append(item_of(lot, parts, row_of(single, stance, gap_mm, across)))
        if shape.rings and self.lots[lot].copies > 1:
            items += self._pairs(lot, profiles)
        return items

    def _pairs(self, lot: int, profiles: dict[Stance, Profile]) -> list[Item]:
        across_mm = self.rules.printable_mm + self.rules.gap_mm
        found: list[tuple[float, Item]] = []
        for one, first in profiles.items():
            for other, second in profiles.items():
                found += _best_pair(lot, (one, first), (other, second), across_mm)
        alone = min(2 * _film(p.columns, int(p.far.max()), across_mm) for p in profiles.values())
        found.sort(key=lambda pair: pair[0])
        return [item for film, item in found[:2] if film < LEAST_GAIN * alone]


def _best_pair(
    lot: int, one: tuple[Stance, Profile], other: tuple[Stance, Profile], across_mm: float
) -> list[tuple[float, Item]]:
    front = Front(across_mm)
    first, second = one[1], other[1]
    if first.columns > front.columns or second.columns > front.columns:
        return []
    front.lay(first, 0, 0)
    steps = Fit(second, front).steps
    best: tuple[float, int] | None = None
    for column in range(0, len(steps), PAIR_STRIDE):
        whole = _joined(first, second, column, int(steps[column]))
        pitch = int((whole.far.astype(np.int32) - whole.near).max())
        film = _film(whole.columns, pitch, across_mm)
        if best is None or film < best[0]:
            best = (film, column)
    if best is None:
        return []
    film, column = best
    step = int(steps[column])
    parts = (Part(0.0, 0.0, one[0]), Part(column * COLUMN_MM, step * STEP_MM, other[0]))
    return [(film, item_of(lot, parts, _joined(first, second, column, step)))]


def _joined(first: Profile, second: Profile, column: int, step: int) -> Profile:
    columns = max(first.columns, column + second.columns)
    near, far = np.full(columns, 65_535, np.uint16), np.zeros(columns, np.uint16)
    near[: first.columns], far[: first.columns] = first.near, first.far
    part = slice(column, column + second.columns)
    near[part] = np.minimum(near[part], second.near + np.uint16(step))
    far[part] = np.maximum(far[part], second.far + np.uint16(step))
    bare = far == 0
    near[bare] = far[bare] = far.max() // 2
    return Profile(near, far)


def _film(columns: int, along: int, across_mm: float) -> float:
    """What something takes of the film, laid again and again: what is left beside, if narrow, is lost."""
    rest_mm = across_mm % (columns * COLUMN_MM)
    beside = int(across_mm / (columns * COLUMN_MM))
    wide = across_mm / beside if rest_mm < A_SLOT_MM else columns
    return wide * along
