"""How pieces are laid on film, and how the file for the printer looks: `[film.laying]` and `[film.file]`."""

from __future__ import annotations

from pydantic import ConfigDict, Field

from config.section import Section


class Laying(Section):
    """Gaps, margins, runs, spares, and what film and cutting cost when ways of laying are compared."""

    model_config = ConfigDict(strict=True)

    gap_mm: float = Field(ge=0, le=50)
    edge_mm: float = Field(ge=0, le=500)
    run_mm: float = Field(ge=100, le=15_000)
    turning: bool
    window: int = Field(ge=1, le=50)
    whole_jobs: bool
    spares: int = Field(ge=0, le=100)
    spares_percent: float = Field(ge=0, le=50)
    cut_straight_mm_per_minute: float = Field(gt=0)
    cut_outline_mm_per_minute: float = Field(gt=0)
    minute_costs: float = Field(ge=0)
    metre_costs: float = Field(ge=0)
    finish_seconds: int = Field(ge=0, le=600)
    advise_percent: float = Field(ge=0, le=20)
    only_released: bool


class FilmFile(Section):
    """How the file of a run looks: whether it is mirrored already, and whether cut marks are drawn."""

    model_config = ConfigDict(strict=True)

    mirrored: bool
    cut_marks: bool
