"""The asked lengths in pixels of one picture, and how far around a place the measuring must look."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log2

from intake.facts import Ask

TILE = 64  # px; windows start at multiples of it, so that tiles mean the same however the picture is cut
CELL_MM = 0.6
SEARCH_FACTOR = 1.25  # values up to so much over the asked limit are still told exactly
SEARCH_MORE_MM = 0.10
FLAT_SHARE = 0.12  # a run is flat while its width stays within this share of its thinnest part …
FLAT_PX = 0.25  # … and this much of sampling noise
CRISP_FLAT_SHARE, CRISP_FLAT_PX = 0.15, 0.8  # the noise without anti-aliasing: of the width, and at most
CRISP_RUNS = 1.15  # and a line must be so much longer to be told from a tip
LINE_ASPECT = 2.5  # a line is at least so many times as long as wide; what is shorter is a dot or a tip
NECK_RATIO = 1.8  # a neck joins parts at least so many times as wide as itself
NECK_PX = 18  # a neck is read so much further out than a walk goes
PIECE_ASPECT = 3.0  # a separate piece longer than so many island limits is judged as a line


@dataclass(frozen=True, slots=True)
class Side:
    """What is looked for in the ink or in the clear: widths in px, the run in px."""

    is_ink: bool
    limit_px: float  # the asked limit: places below it are listed
    search_px: float  # widths up to here are measured exactly
    run_px: float

    @property
    def reach_px(self) -> int:
        """How far a chord reaches to either side of a centre line."""
        return ceil(0.85 * self.search_px) + 4

    @property
    def margin_px(self) -> int:
        """How far from a place its distance field must be known to propose seeds there."""
        return ceil(0.71 * self.search_px) + 6

    @property
    def step_px(self) -> float:
        """The distance between two chords along a centre line."""
        return max(min(1.5, max(0.75, self.run_px / 4.0)), self.search_px / 8.0)

    @property
    def steps(self) -> int:
        """How many chords lie to either side of a seed: enough for a run and for a neck's wider parts."""
        return ceil(max(1.2 * self.run_px, 2.6 * self.search_px) / self.step_px) + 2


@dataclass(frozen=True, slots=True)
class Scale:
    """One picture's resolution and the asked lengths in its pixels."""

    mm_per_px: float
    ink: Side
    clear: Side
    island_px: float
    choke_px: float
    cell_px: int  # one seed a cell; a power of two, so that cells and windows agree

    @property
    def margin_px(self) -> int:
        """How far around a place its distance fields must be known."""
        return max(self.ink.margin_px, self.clear.margin_px, ceil(self.choke_px) + 3)

    @property
    def halo_px(self) -> int:
        """Rows that a window needs above and below its own, so that nothing it decides depends on the cut."""
        walk = max(s.steps * s.step_px + s.reach_px + NECK_PX for s in (self.ink, self.clear))
        piece = PIECE_ASPECT * max(self.island_px, self.clear.limit_px, 2.0 * self.choke_px) + 6
        return ceil(max(walk, piece, self.margin_px))


def scale_of(mm_per_px: float, ask: Ask) -> Scale:
    """The asked lengths at this resolution. ValueError when the resolution is no positive length."""
    if not mm_per_px > 0:
        raise ValueError("mm_per_px must be a positive length")

    def side(is_ink: bool, limit_mm: float, also_mm: float) -> Side:
        search = max(limit_mm * SEARCH_FACTOR, limit_mm + SEARCH_MORE_MM, also_mm)
        return Side(is_ink, limit_mm / mm_per_px, search / mm_per_px, ask.run_mm / mm_per_px)

    return Scale(
        mm_per_px=mm_per_px,
        ink=side(True, ask.line_mm, 2.0 * ask.choke_mm + 0.05),
        clear=side(False, ask.gap_mm, 0.0),
        island_px=ask.island_mm / mm_per_px,
        choke_px=ask.choke_mm / mm_per_px,
        cell_px=2 ** min(max(round(log2(CELL_MM / mm_per_px)), 1), 6),
    )
