"""What the workers are asked to do for a run's file, beside looking at artwork."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FilmTask(StrEnum):
    """What is to be done."""

    OUTLINE = "outline"  # where an artwork has ink
    ENCODE = "encode"  # an artwork, for PDF
    PROVE = "prove"  # a run's file, by what was planned
    RASTER = "raster"  # a run, as pixels


@dataclass(frozen=True, slots=True)
class FilmWork:
    """One task. `into`: the full path of what is to be written. `told`: of a JSON file that says more.

    `page`: of the file, from 0. `ppi`: of pixels.
    """

    task: FilmTask
    into: str = ""
    told: str = ""
    page: int = 0
    ppi: float = 0.0
