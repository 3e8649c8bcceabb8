"""Repairs that are offered for artwork, never done silently: one a module, pure functions of pixels."""

from __future__ import annotations

from typing import Protocol

from intake.repairs import background, harden, specks, srgb, thicken, trim
from intake.repairs.canvas import Canvas, Keeps, Mended, Wishes, canvas_of

__all__ = [
    "ALIKE",
    "NAMES",
    "OFFERED",
    "REPAIRS",
    "Canvas",
    "Keeps",
    "Mended",
    "Repair",
    "Wishes",
    "canvas_of",
]


class Repair(Protocol):
    """One repair. `MENDS` is the check whose finding it answers."""

    NAME: str
    MENDS: str
    DOES: str

    def mend(self, canvas: Canvas, wishes: Wishes) -> Mended | None:
        """The repaired canvas with what was done; None when there is nothing to do."""
        ...


# In the order in which they are done: colours and ground first, what makes specks before what takes them, and
# lines last, at the size that trimming gives them.
REPAIRS: tuple[Repair, ...] = (background, harden, specks, trim, thicken)
NAMES = (srgb.NAME, *(repair.NAME for repair in REPAIRS))
# A stray dot far from the art is told by a check of its own, and is mended like any other dot.
ALIKE = {"specks": specks.MENDS}
OFFERED = {srgb.NAME: (srgb.MENDS, srgb.DOES)} | {r.NAME: (r.MENDS, r.DOES) for r in REPAIRS}
