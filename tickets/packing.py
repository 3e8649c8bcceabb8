"""What a packing slip lists: garments where prints share them, transfers by the print, and what follows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

PRESSED = "pressed"


@dataclass(frozen=True, slots=True)
class Counts:
    """How many pieces of one item went with a dispatch, before it, still follow, and were cancelled."""

    sent: int = 0
    before: int = 0
    follows: int = 0
    cancelled: int = 0
    ordered: int = 0

    def as_json(self) -> dict[str, int]:
        """As the books keep it."""
        return {
            "sent": self.sent,
            "before": self.before,
            "follows": self.follows,
            "cancelled": self.cancelled,
            "ordered": self.ordered,
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Counts:
        """As the books kept it; what an older program did not count is 0."""
        return cls(
            *(int(kept.get(name, 0)) for name in ("sent", "before", "follows", "cancelled", "ordered"))
        )


@dataclass(frozen=True, slots=True)
class PackedItem:
    """One item as far as packing goes."""

    number: int
    artwork: str
    service: str
    placement: str = ""
    garment: str = ""
    garment_set: str = ""
    sizes: tuple[tuple[str, int], ...] = ()
    counts: Counts = Counts()


@dataclass(frozen=True, slots=True)
class Print:
    """One print of a line: which item it is, and how many of it there are."""

    item: int
    artwork: str
    placement: str
    count: int


@dataclass(frozen=True, slots=True)
class PackLine:
    """One line of a slip: so many garments with these prints on them, or so many transfers.

    `ordered` and `cancelled` are of the same garments or transfers. `sizes` only where all that was ordered
    is in the line: which sizes a part holds is not known. `is_uneven`: prints of one garment differ in
    number, so that a person has to count.
    """

    count: int
    is_garments: bool
    name: str
    prints: tuple[Print, ...]
    ordered: int
    cancelled: int
    sizes: tuple[tuple[str, int], ...] = ()
    is_uneven: bool = False

    @property
    def unit(self) -> str:
        """What is counted."""
        what = "garment" if self.is_garments else "transfer"
        return what if self.count == 1 else f"{what}s"

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "count": self.count,
            "unit": "garments" if self.is_garments else "transfers",
            "name": self.name,
            "ordered": self.ordered,
            "cancelled": self.cancelled,
            "sizes": dict(self.sizes),
            "uneven": self.is_uneven,
            "prints": [
                {"item": p.item, "artwork": p.artwork, "placement": p.placement, "count": p.count}
                for p in self.prints
            ],
        }


@dataclass(frozen=True, slots=True)
class Packed:
    """All that a slip lists: in this dispatch, still to follow, and gone before."""

    here: tuple[PackLine, ...]
    follows: tuple[PackLine, ...]
    before: tuple[PackLine, ...]

    @property
    def garments(self) -> int:
        """In this dispatch."""
        return sum(line.count for line in self.here if line.is_garments)

    @property
    def transfers(self) -> int:
        """In this dispatch."""
        return sum(line.count for line in self.here if not line.is_garments)

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        return {
            "garments": self.garments,
            "transfers": self.transfers,
            "lines": [line.as_json() for line in self.here],
            "follows": [line.as_json() for line in self.follows],
            "before": [line.as_json() for line in self.before],
        }


def pack_items(items: Sequence[PackedItem]) -> Packed:
    """The lines of a slip, in the order of the order's items."""
    return Packed(
        _lines(items, lambda counts: counts.sent),
        _lines(items, lambda counts: counts.follows),
        _lines(items, lambda counts: counts.before),
    )


def _lines(items: Sequence[PackedItem], count: Callable[[Counts], int]) -> tuple[PackLine, ...]:
    lines = (_line(group, count) for group in _groups(items))
    return tuple(line for line in lines if line.count)


def _groups(items: Iterable[PackedItem]) -> list[list[PackedItem]]:
    """Items that are counted together: prints that are pressed on the same garments."""
    groups: dict[str | int, list[PackedItem]] = {}
    for item in items:
        shares = item.service == PRESSED and item.garment_set
        groups.setdefault(item.garment_set if shares else item.number, []).append(item)
    return list(groups.values())


def _line(group: Sequence[PackedItem], count: Callable[[Counts], int]) -> PackLine:
    """One line. A garment bears each print once, so the most frequent print tells how many garments go."""
    first = group[0]
    prints = tuple(Print(i.number, i.artwork, i.placement, count(i.counts)) for i in group)
    most = max(print_.count for print_ in prints)
    ordered = max(item.counts.ordered for item in group)
    sizes = next((item.sizes for item in group if item.sizes), ())
    garments = list(dict.fromkeys(item.garment for item in group if item.garment))
    return PackLine(
        count=most,
        is_garments=first.service == PRESSED,
        name=" / ".join(garments),
        prints=tuple(print_ for print_ in prints if print_.count),
        ordered=ordered,
        cancelled=min(item.counts.cancelled for item in group),
        sizes=sizes if sum(n for _, n in sizes) == most == ordered else (),
        is_uneven=len({print_.count for print_ in prints}) > 1,
    )
