"""What a caller asks for who has not ordered yet: plain values, as far as they are known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class AskedItem:
    """One item that is asked for. Lengths in mm, None where nobody said; `film`: as the shop spells it."""

    number: int
    quantity: int
    service: str
    film: str
    width_mm: float | None
    height_mm: float | None
    artwork: str = ""
    artwork_of: str = ""  # the earlier order that has this artwork, whose shape is known then


@dataclass(frozen=True, slots=True)
class AskedOrder:
    """An order that is not placed yet. `number`: "" where it has none; `questions`: what intake would ask."""

    number: str
    items: tuple[AskedItem, ...]
    rush: bool = False
    due_at: datetime | None = None
    questions: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        """All of them."""
        return sum(item.quantity for item in self.items)
