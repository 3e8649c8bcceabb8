"""What is answered about a cost: plain values, as JSON and as lines to be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from tickets.cost.costing import CHANNELS, Part, Parts, Use, add_parts
from tickets.cost.money import each_text, from_minor, money_text
from tickets.wording_cost import BASES


class Basis(StrEnum):
    """What a cost rests on."""

    ESTIMATE = "estimated"
    RUN = "run"
    PARTLY = "partly estimated"


@dataclass(frozen=True, slots=True)
class CostLine:
    """One item, ticket, run or station: so many pieces, and what they cost in minor units by part."""

    what: str
    pieces: int
    parts: Parts
    basis: Basis

    @property
    def total(self) -> int:
        """All of it, in minor units."""
        return sum(self.parts.values())


@dataclass(frozen=True, slots=True)
class CostAnswer:
    """The cost of an item, order, run or day, a line for each thing in it."""

    kind: str
    asked: str
    currency: str
    basis: Basis
    lines: Sequence[CostLine]
    notes: Sequence[str] = field(default_factory=tuple)
    use: Use | None = None

    @property
    def total(self) -> int:
        """The sum of its lines, in minor units."""
        return sum(line.total for line in self.lines)

    def as_json(self) -> dict[str, Any]:
        """Amounts as decimal strings in the currency's digits, and the total in minor units too."""
        document: dict[str, Any] = {
            self.kind: self.asked,
            "currency": self.currency,
            "total": self._amount(self.total),
            "total_minor": self.total,
            "basis": str(self.basis),
            "parts": self._parts(add_parts(line.parts for line in self.lines)),
            "lines": [
                {
                    "what": line.what,
                    "pieces": line.pieces,
                    "total": self._amount(line.total),
                    "each": each_text(line.total, line.pieces, self.currency).split()[1],
                    "basis": str(line.basis),
                    "parts": self._parts(add_parts([line.parts])),
                }
                for line in self.lines
            ],
            "notes": list(self.notes),
        }
        return document | ({"takes": _takes(self.use)} if self.use else {})

    def as_lines(self) -> list[str]:
        """A line each, the sum with its parts, and what it rests on."""
        if not self.lines:
            return [f"{self.asked}: nothing was printed, pressed or packed."]
        said = [
            f"{line.what}: {line.pieces} × {each_text(line.total, line.pieces, self.currency)}"
            f" = {money_text(line.total, self.currency)}"
            for line in self.lines
        ]
        parts = add_parts(line.parts for line in self.lines)
        told = " · ".join(f"{p} {from_minor(m, self.currency):f}" for p, m in parts.items() if m)
        said.append(f"{self.asked} costs {money_text(self.total, self.currency)}: {told}")
        if self.use:
            said.append(_takes_text(self.use))
        if self.kind != "day":
            said.append(BASES[self.basis])
        return [*said, *self.notes]

    def _amount(self, minor: int) -> str:
        return f"{from_minor(minor, self.currency):f}"

    def _parts(self, parts: Parts) -> dict[str, str]:
        return {str(part): self._amount(parts[part]) for part in Part}


def _takes(use: Use) -> dict[str, float]:
    colours = {f"{name}_ml": round(ml, 2) for name, ml in zip(CHANNELS, use.colour_ml, strict=True)}
    return {
        "film_mm": round(use.film_mm, 1),
        **colours,
        "white_ml": round(use.white_ml, 2),
        "powder_g": round(use.powder_g, 1),
        "machine_hours": round(use.machine_hours, 3),
        "hand_hours": round(use.hand_hours, 3),
    }


def _takes_text(use: Use) -> str:
    inks = ", ".join(f"{name} {ml:.1f}" for name, ml in zip(CHANNELS, use.colour_ml, strict=True))
    return (
        f"It takes {use.film_mm / 1000:.2f} m of film, {inks} and white {use.white_ml:.1f} ml, "
        f"{use.powder_g:.0f} g of powder, {use.machine_hours * 60:.0f} machine minutes."
    )
