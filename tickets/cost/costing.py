"""From a stretch of film to its cost, and from that to each job's share; shares sum to it exactly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from config.settings_cost import Cost
from tickets.cost.money import share_out, to_minor
from tickets.cost.stretch import Laid, Stretch

M2_MM2 = 1e6
CHANNELS = ("cyan", "magenta", "yellow", "black")


class Part(StrEnum):
    """What a cost is made of."""

    FILM = "film"
    COLOUR = "colour"
    WHITE = "white"
    POWDER = "powder"
    MACHINE = "machine"
    LABOUR = "labour"


Parts = Mapping[Part, int]  # in minor units


@dataclass(frozen=True, slots=True)
class Use:
    """What a stretch takes: mm of film, ml of each ink (purge too), g of powder, hours."""

    film_mm: float
    colour_ml: tuple[float, float, float, float]
    white_ml: float
    powder_g: float
    machine_hours: float
    hand_hours: float


@dataclass(frozen=True, slots=True)
class StretchCost:
    """What a stretch costs in minor units: by part, and each job's share by part."""

    parts: Parts
    by_job: Mapping[str, Parts]
    use: Use

    @property
    def total(self) -> int:
        """All of it."""
        return sum(self.parts.values())


def use_of(stretch: Stretch, cost: Cost) -> Use:
    """What printing, curing and cutting a stretch takes, after the model of `config/shop.toml`, cost.

    Ink = area × share covered × ml/m² + hours × purge, purge shared alike by the four colours; powder =
    inked area × g/m².
    """
    hours = stretch.film_mm / 1000 / cost.metres_per_hour
    purge_ml = hours * cost.colour_purge_ml_per_hour / len(CHANNELS)
    covered = [sum(job.pieces * job.ink.cmyk_mm2[at] for job in stretch.jobs) for at in range(len(CHANNELS))]
    cyan, magenta, yellow, black = (c / M2_MM2 * cost.colour_ml_per_m2 + purge_ml for c in covered)
    white_m2 = sum(job.pieces * job.ink.white_mm2 for job in stretch.jobs) / M2_MM2
    inked_m2 = sum(job.pieces * job.ink.inked_mm2 for job in stretch.jobs) / M2_MM2
    return Use(
        film_mm=stretch.film_mm,
        colour_ml=(cyan, magenta, yellow, black),
        white_ml=white_m2 * cost.white_ml_per_m2 + hours * cost.white_purge_ml_per_hour,
        powder_g=inked_m2 * cost.powder_g_per_m2,
        machine_hours=hours,
        hand_hours=(stretch.run_minutes + stretch.cutting_minutes) / 60,
    )


def price_of(use: Use, cost: Cost) -> dict[Part, Decimal]:
    """What that comes to, unrounded."""
    return {
        Part.FILM: _times(use.film_mm / 1000, cost.film_per_metre),
        Part.COLOUR: _times(sum(use.colour_ml) / 1000, cost.colour_per_litre),
        Part.WHITE: _times(use.white_ml / 1000, cost.white_per_litre),
        Part.POWDER: _times(use.powder_g / 1000, cost.powder_per_kg),
        Part.MACHINE: _times(use.machine_hours, cost.machine_per_hour),
        Part.LABOUR: _times(use.hand_hours, cost.labour_per_hour),
    }


def cost_stretch(stretch: Stretch, cost: Cost, currency: str) -> StretchCost:
    """A stretch costed: the sum is rounded once, halves up; parts and jobs share it out to the minor unit.

    Film, machine and hands go to jobs by the area of their pieces with half the gap; colour, white and
    powder by what they cover.
    """
    use = use_of(stretch, cost)
    exact = price_of(use, cost)
    total = to_minor(sum(exact.values(), Decimal(0)), currency)
    parts = dict(zip(exact, share_out(total, list(exact.values())), strict=True))
    shares: dict[str, dict[Part, int]] = {job.code: {} for job in stretch.jobs}
    for part, minor in parts.items():
        weights = [job.pieces * _weight(job, part) for job in stretch.jobs]
        for job, share in zip(stretch.jobs, share_out(minor, weights), strict=True):
            shares[job.code][part] = share
    return StretchCost(parts, shares, use)


def hands_cost(seconds: float, cost: Cost, currency: str) -> int:
    """A person's seconds in minor units."""
    return to_minor(_times(seconds / 3600, cost.labour_per_hour), currency)


def add_parts(several: Iterable[Parts]) -> dict[Part, int]:
    """The sum of several, part by part, each part named."""
    total = dict.fromkeys(Part, 0)
    for parts in several:
        for part, minor in parts.items():
            total[part] += minor
    return total


def _weight(job: Laid, part: Part) -> float:
    if part is Part.COLOUR:
        return sum(job.ink.cmyk_mm2)
    if part is Part.WHITE:
        return job.ink.white_mm2
    return job.ink.inked_mm2 if part is Part.POWDER else job.area_mm2


def _times(amount: float, price: Decimal) -> Decimal:
    return Decimal(repr(round(amount, 9))) * price
