"""What is laid on film and where it lies: the values that the planner, the run's file and the costs share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

Ring = tuple[tuple[float, float], ...]


class Way(StrEnum):
    """How a stretch of film was laid."""

    ROWS = "rows"  # as a person would: rows of one job, straight cuts
    BOXES = "boxes"  # bounding boxes, straight-edged but not in rows
    OUTLINES = "outlines"  # by the outline of the ink
    FINISHED = "finished"  # an outline layout that the finisher made shorter


@dataclass(frozen=True, slots=True)
class Shape:
    """What one piece takes of the film, not turned, at print size.

    `rings`: closed outlines around the ink in mm from the top left of its box, simplified outwards only, so
    that no ink lies outside; empty: the whole box counts.
    """

    width_mm: float
    height_mm: float
    rings: tuple[Ring, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """The pieces of one ticket that are to be laid: `quantity` that are owed and `spares` printed over.

    `copies` (quantity + spares) pieces are laid. `pinned_run`: the run that a person put it into ("" none).
    """

    code: str  # of the ticket
    order: str
    quantity: int
    shape: Shape
    film: str  # its kind: kinds are never mixed on a run
    due_at: datetime | None = None
    rush: bool = False
    may_turn: bool = True
    spares: int = 0
    pinned_run: str = ""

    @property
    def copies(self) -> int:
        """How many pieces are laid."""
        return self.quantity + self.spares


@dataclass(frozen=True, slots=True)
class Placement:
    """One piece on a run: the top left of its box as it lies, in mm from the run's left edge and start.

    `turned`: by 90° clockwise, so that a box of w × h lies as h × w. `spare`: printed over.
    """

    code: str
    x_mm: float
    y_mm: float
    turned: bool = False
    spare: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """One run (or sheet) of film: what lies where. y runs along the roll from the run's start.

    `length_mm`: film that the run takes, its edge margins counted and its lead waste not. `inked_share`:
    area of the pieces' outlines ÷ film. `cutting_minutes`: by the way that it is to be cut. `run`: the one
    that a person pinned its jobs to ("" none).
    """

    film: str
    width_mm: float
    length_mm: float
    placements: tuple[Placement, ...]
    way: Way
    inked_share: float = 0.0
    cutting_minutes: float = 0.0
    is_straight_cut: bool = True
    run: str = ""
    is_sheet: bool = False

    def counts(self) -> Mapping[str, int]:
        """How many pieces of each ticket lie on it, spares too."""
        counted: dict[str, int] = {}
        for placement in self.placements:
            counted[placement.code] = counted.get(placement.code, 0) + 1
        return counted


@dataclass(frozen=True, slots=True)
class RunPiece:
    """One piece of a stored run: whose it is, its artwork, and the box that it takes as it lies.

    `number`: from 1 along the roll, as on the run sheet. `x_mm`, `y_mm`: the box's top left, from the run's
    left edge and start; `width_mm` × `height_mm`: as it lies, so changed about where it is `turned`.
    `mirrored`: the art came mirrored. `spare`: printed over. `lost`: spoiled on this film. `page`: of its
    artwork's file (None: the only one, or the first).
    """

    number: int
    code: str  # of the ticket
    order: str
    item: int
    artwork: str  # the customer's file name
    artwork_sha256: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool = False
    spare: bool = False
    mirrored: bool = False
    page: int | None = None
    lost: bool = False


@dataclass(frozen=True, slots=True)
class StoredRun:
    """A run as the books keep it: the layout that its file, its sheet, its map and its costs are made of.

    `standing`: planned, released, printed or dropped. `width_mm`: printable, across the roll; `length_mm`:
    edge margins counted, lead waste not. `way`: how it was laid. `is_pinned`: planning again leaves it alone.
    `revision` counts its layouts.
    """

    code: str
    film: str
    width_mm: float
    length_mm: float
    pieces: tuple[RunPiece, ...]
    standing: str = "planned"
    way: Way = Way.ROWS
    is_straight_cut: bool = True
    inked_share: float = 0.0
    cutting_minutes: float = 0.0
    is_pinned: bool = False
    revision: int = 1
    planned_at: datetime | None = None
    released_at: datetime | None = None
    released_by: str = ""
    is_sheet: bool = False  # not a stretch of roll: it stays so long, and has no lead

    def layout(self) -> Layout:
        """The same as the planner has it; pieces that were lost too."""
        placed = (Placement(p.code, p.x_mm, p.y_mm, p.turned, p.spare) for p in self.pieces)
        return Layout(
            self.film,
            self.width_mm,
            self.length_mm,
            tuple(placed),
            self.way,
            self.inked_share,
            self.cutting_minutes,
            self.is_straight_cut,
            self.code,
            self.is_sheet,
        )


@dataclass(frozen=True, slots=True)
class Rules:
    """How film is laid: all lengths in mm, from the shop's settings (`config/shop.toml`, film)."""

    printable_mm: float  # across the roll
    gap_mm: float  # clear film between any two pieces
    edge_mm: float  # clear film at either end of a run
    run_mm: float  # a run is at most so long (a sheet: exactly its length)
    turning: bool = True  # False: banding or feed stretch forbid it on this printer
    window: int = 8  # so many lots are open at once over due-date order
    whole_jobs: bool = False  # no ticket across two runs, save one longer than a run
    cut_straight_mm_per_minute: float = 3000.0
    cut_outline_mm_per_minute: float = 600.0
    minute_costs: float = 0.0  # of a cutter's minute, in the shop's money
    metre_costs: float = 0.0  # of film, in the shop's money
    is_sheet: bool = False  # every layout takes the whole `run_mm`

    @property
    def room_mm(self) -> float:
        """How long what lies on one run may be, the edges taken off."""
        return self.run_mm - 2 * self.edge_mm


@dataclass(frozen=True, slots=True)
class InkUse:
    """What the ink of one piece covers at print size, for costing. Areas in mm².

    `cmyk_mm2`: area × share of each of C, M, Y, K after the stated conversion; `white_mm2`: under the choke.
    """

    inked_mm2: float
    white_mm2: float
    cmyk_mm2: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
