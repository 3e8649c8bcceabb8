"""Laying pieces on a run one after the other: of the open lots, always the piece that loses least film."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field

import numpy as np

from tickets.film.fronts import Fit, Front
from tickets.film.items import Catalogue, Item
from tickets.film.model import Placement
from tickets.film.profiles import COLUMN_MM, MOST_STEPS, STEP_MM

A_HUNDRED_MM = 100 / STEP_MM
A_BACK = 300 * 400 / COLUMN_MM / STEP_MM


@dataclass(frozen=True, slots=True)
class Taste:
    """What a try prefers: `window` lots open at once; `low` places to snug ones; `large` pieces to small."""

    window: int
    low: float = 0.3
    large: float = 0.3


@dataclass(slots=True)
class Draft:
    """One run as it grows: `counts` of each lot; `used`: the film that the pieces take for themselves."""

    placements: list[Placement]
    counts: dict[int, int]
    used: int = 0
    end: int = 0  # in steps, half a gap counted at either end

    @property
    def tightness(self) -> float:
        """Film that the pieces take ÷ film to where the run ends, in mm per mm across."""
        return self.used / self.end if self.end else 0.0


@dataclass(slots=True)
class _Choice:
    """An item with where it would be laid now, and how dear that is."""

    item: Item
    fit: Fit
    column: int = 0
    cost: float = 0.0


@dataclass(slots=True)
class Runner:
    """Lays one run after another from what is left of the lots."""

    catalogue: Catalogue
    left: list[int]
    taste: Taste
    banned: Collection[int] = ()
    front: Front = field(init=False)
    _choices: dict[int, list[_Choice]] = field(init=False, default_factory=dict)

    def lay_run(self, stop: Callable[[], bool]) -> Draft:
        """The next run, as full as it gets; `left` is what remains."""
        rules = self.catalogue.rules
        self.front = Front(rules.printable_mm + rules.gap_mm)
        self._choices = {}
        draft = Draft([], {})
        room = min(MOST_STEPS, int((rules.room_mm + rules.gap_mm) / STEP_MM + 1e-6))
        self._open()
        while not stop():
            best = self._cheapest(room)
            if best is None:
                break
            self._lay(best, draft)
        return draft

    def _open(self) -> None:
        for lot, left in enumerate(self.left):
            if len(self._choices) >= self.taste.window:
                return
            if left and lot not in self._choices and lot not in self.banned:
                self._choices[lot] = self._offered(lot)

    def _offered(self, lot: int) -> list[_Choice]:
        items = [i for i in self.catalogue.items(lot) if i.profile.columns <= self.front.columns]
        choices = [_Choice(item, Fit(item.profile, self.front)) for item in items]
        for choice in choices:
            self._price(choice)
        return choices

    def _price(self, choice: _Choice) -> None:
        area, fit = choice.item.area, choice.fit
        cost = fit.lost / area + fit.steps * (self.taste.low / A_HUNDRED_MM)
        choice.column = int(np.argmin(cost))
        choice.cost = float(cost[choice.column]) - self.taste.large * area / A_BACK

    def _cheapest(self, room: int) -> _Choice | None:
        best = None
        for lot, choices in self._choices.items():
            for choice in choices:
                fits = choice.item.copies <= self.left[lot] and self._end(choice) <= room
                if fits and (best is None or choice.cost < best.cost):
                    best = choice
        return best

    def _end(self, choice: _Choice) -> int:
        return int(choice.fit.steps[choice.column]) + choice.item.deepest

    def _lay(self, choice: _Choice, draft: Draft) -> None:
        item, column = choice.item, choice.column
        step = int(choice.fit.steps[column])
        self._place(item, column, step, draft)
        draft.end = max(draft.end, self._end(choice))
        self.front.lay(item.profile, column, step)
        self.left[item.lot] -= item.copies
        if not self.left[item.lot]:
            del self._choices[item.lot]
        for choices in self._choices.values():
            for other in choices:
                other.fit.renew(column, column + item.profile.columns)
                self._price(other)
        self._open()

    def _place(self, item: Item, column: int, step: int, draft: Draft) -> None:
        lot = self.catalogue.lots[item.lot]
        rules = self.catalogue.rules
        first = lot.copies - self.left[item.lot]
        for number, part in enumerate(item.parts):
            at = (column * COLUMN_MM + part.x_mm, rules.edge_mm + step * STEP_MM + part.y_mm)
            draft.placements.append(lot.placement(first + number, at, part.stance.turned))
        draft.counts[item.lot] = draft.counts.get(item.lot, 0) + item.copies
        draft.used += item.area
