"""Pieces are conserved: the lots that a ticket's pieces lie in, and the steps from one lot to another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from tickets.places import ENDS, NEW


class Spot(NamedTuple):
    """A place of the line, or an end of it, and the film run that the pieces there are in ('' for none)."""

    place: str
    run: str = ""


Lots = Mapping[Spot, int]  # how many pieces of one ticket are at each spot; never a count of 0 or less


class PiecesLost(RuntimeError):
    """Pieces would come from nowhere or go to nowhere: a fault in the program, never a person's doing."""


@dataclass(frozen=True, slots=True)
class Step:
    """So many pieces of one ticket from one spot to the next; `inferred` when a catch-up booked it unseen."""

    ticket: str
    count: int
    source: Spot
    to: Spot
    inferred: bool = False

    def back(self) -> Step:
        """The step that takes this one back."""
        return Step(self.ticket, self.count, self.to, self.source, self.inferred)


@dataclass(frozen=True, slots=True)
class TicketNow:
    """One ticket as it stands when something is asked of it. `standing` is that of its item."""

    code: str
    service: str
    lots: Lots
    standing: str = "accepted"
    held_why: str | None = None
    order: str = ""
    order_held_why: str | None = None

    @property
    def waiting(self) -> int:
        """Pieces that are still on the line."""
        return sum(count for spot, count in self.lots.items() if spot.place not in ENDS)

    @property
    def is_stopped(self) -> bool:
        """Whether its pieces may not be worked on: a question is open, or it is held."""
        return self.standing != "accepted" or self.held_why is not None or self.order_held_why is not None

    def at(self, place: str) -> int:
        """Pieces at one place, in runs and loose."""
        return sum(count for spot, count in self.lots.items() if spot.place == place)


def fold(steps: Iterable[Step]) -> dict[Spot, int]:
    """Where the pieces of one ticket are after all its steps, from the first. Raises PiecesLost."""
    return move({}, steps)


def move(lots: Lots, steps: Iterable[Step]) -> dict[Spot, int]:
    """The lots of one ticket after some steps. Raises PiecesLost when a step takes more than is there."""
    after = dict(lots)
    for step in steps:
        for spot, change in ((step.source, -step.count), (step.to, step.count)):
            if spot.place == NEW:
                continue
            left = after.get(spot, 0) + change
            if left < 0:
                raise PiecesLost(f"{step} takes more of {step.ticket} than the {after.get(spot, 0)} there")
            after[spot] = left
    return {spot: count for spot, count in after.items() if count}
