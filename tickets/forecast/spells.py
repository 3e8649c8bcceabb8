"""From when work was done to how long it took: who was at what, as stations take their jobs."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from tickets.forecast.model import Urgency


@dataclass(frozen=True, slots=True)
class Spell:
    """One piece of work at a station. Times are working minutes; `usual`: what was configured for it."""

    at: float
    came: float | None  # None: not known, it was there all along
    usual: float
    kind: str
    urgency: Urgency
    minutes: float = 0.0


def spells(done: Sequence[Spell], hands: int) -> list[Spell]:
    """The same with `minutes`: the time since hands took it up, which they did as the line works.

    Scans tell when work was done, not when it was begun. Hands that fall free take what is most urgent of
    what waits; where the scans show that somebody took another job first, that one has the time instead.
    What was under way before the first scans is left out, for nobody knows since when.
    """
    if not done:
        return []
    return _Replay(sorted(done, key=lambda spell: spell.at), hands).told()


class _Replay:
    """`coming`: what nobody has taken up, by when it came; `here`: what of it was there when hands fell free.

    Both hold numbers that are gone as well: `waiting` says which are not.
    """

    def __init__(self, done: list[Spell], hands: int) -> None:
        self.done = done
        self.free = [spell.at for spell in done[:hands]]
        heapq.heapify(self.free)
        self.first = len(self.free)
        self.waiting = set(range(self.first, len(done)))
        self.coming = [(self._came(number), number) for number in self.waiting]
        heapq.heapify(self.coming)
        self.here: list[tuple[Urgency, int]] = []
        self.begun: dict[int, float] = {}

    def told(self) -> list[Spell]:
        found = []
        for number in range(self.first, len(self.done)):
            spell = self.done[number]
            self._take_up(spell.at)
            if number not in self.begun and not self._swap(number):
                continue
            minutes = spell.at - self.begun.pop(number)
            heapq.heappush(self.free, spell.at)
            found.append(replace(spell, minutes=minutes))
        return found

    def _take_up(self, until: float) -> None:
        """Hands that are free by then take up what waits."""
        while self.free and self.waiting and self.free[0] <= until:
            number, start = self._next(self.free[0])
            if start > until:
                return
            heapq.heappop(self.free)
            self.waiting.remove(number)
            self.begun[number] = start

    def _next(self, free: float) -> tuple[int, float]:
        """The most urgent of what is here when hands fall free, else what comes first."""
        self._drop_gone(self.coming)
        while self.coming and self.coming[0][0] <= free:
            _, number = heapq.heappop(self.coming)
            heapq.heappush(self.here, (self.done[number].urgency, number))
            self._drop_gone(self.coming)
        self._drop_gone(self.here)
        if self.here:
            return self.here[0][1], free
        came, number = self.coming[0]
        return number, came

    def _drop_gone(self, heap: list[tuple[Any, int]]) -> None:
        while heap and heap[0][1] not in self.waiting:
            heapq.heappop(heap)

    def _came(self, number: int) -> float:
        came = self.done[number].came
        return float("-inf") if came is None else min(came, self.done[number].at)

    def _swap(self, number: int) -> bool:
        """Give a job that was taken out of turn the start of another one, which then still waits."""
        if not self.begun:
            return False
        other = max(self.begun, key=lambda n: (self.begun[n] >= self._came(number), self.begun[n]))
        self.begun[number] = max(self.begun.pop(other), self._came(number))
        self.waiting.add(other)
        heapq.heappush(self.coming, (self._came(other), other))
        self.waiting.discard(number)
        return True
