"""The plain facts that pass between reading, measuring and judging an artwork: frozen and picklable."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:  # judges and the command line never need numpy itself
    import numpy as np
    from numpy.typing import NDArray


class Level(StrEnum):
    """How serious a finding is; the order of the members is the order of seriousness."""

    NOTE = "note"
    QUERY = "query"
    REFUSE = "refuse"


class Verdict(StrEnum):
    """What the shop may do with the artwork: the worst level of its findings; notes leave it clear."""

    CLEAR = "clear"
    QUERY = "query"
    REFUSE = "refuse"


class Alpha(StrEnum):
    """What the artwork's transparency is like.

    none: no alpha channel; opaque: a channel, but nothing transparent; hard: only 0 and full (plus
    anti-aliased rims); soft: truly semi-transparent areas.
    """

    NONE = "none"
    OPAQUE = "opaque"
    HARD = "hard"
    SOFT = "soft"


@dataclass(frozen=True, slots=True)
class Place:
    """A box on the print, in mm from its top left corner."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    at_mm: tuple[float, float] | None = field(default=None, compare=False)  # where it is worst, when measured

    def as_list(self) -> list[float]:
        """[x, y, width, height] rounded to 0.01 mm, as the JSON has it."""
        return [round(v, 2) for v in (self.x_mm, self.y_mm, self.width_mm, self.height_mm)]


@dataclass(frozen=True, slots=True)
class Spot:
    """One measured value with its place: a thin line, a narrow gap, an island. Lengths in mm."""

    value_mm: float
    uncertainty_mm: float
    place: Place
    length_mm: float = 0.0
    kind: str = ""  # "stroke", "neck", "gap", "island", "vector stroke", "vector fill" …


class Pixels(Protocol):
    """Upright pixels of one artwork that can be read more than once, in bands, without holding it all.

    `bands(rows)` yields C-contiguous uint8 arrays of shape (n ≤ rows, width, 4), straight (not premultiplied)
    RGBA in sRGB, top to bottom. `has_alpha` is False when the file declares no transparency (then A is 255
    throughout); `lossy` is True for pictures that went through JPEG-like compression.
    """

    width: int
    height: int
    has_alpha: bool
    lossy: bool

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]: ...


@dataclass(frozen=True, slots=True)
class Ask:
    """What the measuring should look for, in mm at print size: values above a limit need not be exact."""

    line_mm: float = 0.30
    gap_mm: float = 0.50
    island_mm: float = 0.50
    choke_mm: float = 0.15
    run_mm: float = 0.50  # a stroke must stay thin for at least so long: shorter is a tip, a serif, a corner
    places_at_most: int = 40
    speck_mm: float = 0.30


@dataclass(frozen=True, slots=True)
class Background:
    """The box or plain ground found behind the art. `colour` is '#rrggbb'; `share`: of the canvas."""

    colour: str
    share: float
    is_opaque_canvas: bool  # the whole canvas is opaque (no transparency used)
    places: tuple[Place, ...] = ()
    enclosed_share: float = (
        0.0  # share of the canvas: ground colour enclosed by ink (a question, not a verdict)
    )
    confidence: float = 1.0


@dataclass(frozen=True, slots=True)
class Detail:
    """The resolution that the picture's detail really supports, at print size; `error`: 0.2 = ±20 %.

    kind: "" (as sharp as its pixels), "soft" (unsharp or enlarged: they look alike), "enlarged" (a period
    proves it), "blocks" (each old pixel is a square). factor: pixels ÷ detail. is_photo: tones throughout.
    """

    ppi: float
    error: float
    factor: float
    kind: str
    is_photo: bool
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Specks:
    """Tiny stray dots far from other ink, smallest first; `solid_count` of them count as islands too."""

    count: int
    solid_count: int
    area_mm2: float
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class Fringe:
    """A rim of an old ground ("white" or "black") round cut-out art; `share`: of the rim looked at, 0–1."""

    ground: str
    share: float
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Vanishing:
    """Ink in about the garment's colour. `difference`: mean ΔE00; `alone`: away from other ink."""

    colour: str
    difference: float
    area_mm2: float
    alone_mm2: float
    ink_mm2: float
    places: tuple[Place, ...]
    alone_count: int = 0


@dataclass(frozen=True, slots=True)
class InkMeasures:
    """What the pixels hold, at print size. Places are ranked, worst first. None: does not apply, or nothing.

    `thinnest_line` / `thinnest_gap` are the least values found anywhere up to a search limit somewhat above
    the asked limits (so that a value just over the limit is still told); the lists hold all places below it.
    """

    alpha: Alpha
    soft_share: float  # of the ink, truly semi-transparent (0–1)
    soft_places: tuple[Place, ...]
    ink_box: Place | None  # None: nothing inked at all
    ink_area_mm2: float
    white_area_mm2: float  # ink area pulled in by the choke
    lost_white_area_mm2: float  # colour that would have no white under it
    lost_white_places: tuple[Place, ...]
    thinnest_line: Spot | None
    thin_lines: tuple[Spot, ...]
    thinnest_gap: Spot | None
    thin_gaps: tuple[Spot, ...]
    islands: tuple[Spot, ...]
    island_count: int
    tapers: tuple[Spot, ...] = ()  # one-ended thinning: a note only
    screened: bool = False  # line screen, halftone or noise: measured on a sample only
    screened_places: tuple[Place, ...] = ()
    background: Background | None = None
    measured_against: str = "alpha"  # or the ground colour '#ffffff' for opaque art
    detail_ppi: float | None = None
    notes: tuple[str, ...] = ()
    detail: Detail | None = None
    specks: Specks | None = None
    fringe: Fringe | None = None
    vanishing: Vanishing | None = None


@dataclass(frozen=True, slots=True)
class PlacedImage:
    """One painted image of a PDF page: its effective ppi through the whole matrix at the file's own size."""

    pixels: tuple[int, int]
    ppi: tuple[float, float]
    kind: str  # "image", "inline", "stencil", "soft mask"
    place_pt: tuple[float, float, float, float]  # x, y, width, height from the page's top left, upright
    worst_ppi: float = 0.0  # in its worst direction: less than either of `ppi` when the matrix skews
    is_plain: bool = False  # one colour throughout: nothing in it can look coarse


@dataclass(frozen=True, slots=True)
class VectorStroke:
    """A painted stroke (or thin fill) of a vector artwork, in points of the page at the file's own size."""

    width_pt: float  # the thinner direction through the matrix; 0 = the device's thinnest line
    kind: str  # "stroke", "fill"
    place_pt: tuple[float, float, float, float]
    stands_alone: bool = True  # False: it borders on, or lies on, other ink, which carries it


@dataclass(frozen=True, slots=True)
class LiveText:
    """Live text of a page, in points at the file's own size. x_height_pt: 0 = the font does not say."""

    size_pt: float
    x_height_pt: float
    place_pt: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Gamut:
    """How much of the ink the shop's printer cannot make; `printed` is what comes of the colour `wanted`."""

    share: float
    wanted: str = ""
    printed: str = ""
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class Artwork:
    """What reading found in a file, whatever its kind; nothing here depends on the print size.

    pixels: upright size in px, None for pure vector art. size_mm: the size that a vector page states.
    stored_ppi: what the file says, upright, None when nothing usable; stored_ppi_from: "pHYs", "JFIF",
    "EXIF", "TIFF", "8BIM", …, or "conflict", or "" when none. shape: width ÷ height of the upright canvas.
    """

    kind: str  # "PNG", "JPEG", "TIFF", "WebP", "PDF", …
    shape: float
    pixels: tuple[int, int] | None
    pages: int
    frames: int = 1
    page: int = 1
    stored_ppi: tuple[float, float] | None = None
    stored_ppi_from: str = ""
    colour: str = "RGB"  # "RGB", "CMYK", "grey", "indexed" …
    bits: int = 8
    has_alpha: bool = False
    lossy: bool = False
    size_mm: tuple[float, float] | None = None
    drawn_mm: tuple[float, float] | None = None  # of `images` and `strokes`, where size_mm is None
    colour_profile: str = ""  # the name of the embedded ICC profile, "" when there is none
    profile_trouble: str = ""  # "broken" or "wrong space": why the embedded profile was not used
    gamut: Gamut | None = None  # against the shop's printer profile; None where the shop names none
    images: tuple[PlacedImage, ...] = ()
    strokes: tuple[VectorStroke, ...] = ()  # the thinnest ones, at most some hundreds, thinnest first
    texts: tuple[LiveText, ...] = ()  # the smallest, at most some hundreds
    notes: tuple[str, ...] = ()  # sentences on what could not be told, or was done on the way
    extra: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PrintSize:
    """The size of the canvas as it will be printed, and what was ordered. All in mm."""

    width_mm: float
    height_mm: float
    ordered_width_mm: float | None = None
    ordered_height_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Examined:
    """Everything that the judges may look at: the artwork, its print size, and what was measured on it."""

    artwork: Artwork
    size: PrintSize
    ink: InkMeasures | None  # None when only the header could be read
    garment: str | None = None  # '#rrggbb'
    mirrored: bool = False
    page_named: bool = False  # the order says which page of the file it means


@dataclass(frozen=True, slots=True)
class Finding:
    """One answer about an artwork. `says` and `do` are plain sentences that a customer can read."""

    check: str
    level: Level
    says: str
    do: str
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None
    places: tuple[Place, ...] = ()

    def as_json(self) -> dict[str, object]:
        """The finding as `check --json` and the database have it."""
        return {
            "check": self.check,
            "level": str(self.level),
            "measured": self.measured,
            "limit": self.limit,
            "unit": self.unit,
            "places_mm": [p.as_list() for p in self.places],
            "worst_at_mm": [[round(v, 2) for v in p.at_mm] if p.at_mm else None for p in self.places],
            "says": self.says,
            "do": self.do,
        }


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Verdict:
    """The verdict that a set of findings adds up to; notes leave it clear."""
    levels = {f.level for f in findings}
    if Level.REFUSE in levels:
        return Verdict.REFUSE
    return Verdict.QUERY if Level.QUERY in levels else Verdict.CLEAR


@dataclass(frozen=True, slots=True)
class RepairOrder:
    """What is to be repaired on the way. `names` empty: whatever answers a query that the check has found.

    `into`: where the repaired PNG is written; `changes_into`: the picture of before and after; `views_into`:
    a folder for those pictures one by one, of each repair that applies alone, or of those named together.
    `level` (0–255): soft ink is solid from here on. `takes_enclosed`: ground that ink encloses goes too.
    """

    names: tuple[str, ...] = ()
    into: str = ""
    changes_into: str = ""
    level: int = 128
    takes_enclosed: bool = False
    views_into: str = ""


@dataclass(frozen=True, slots=True)
class RepairTold:
    """What a repair did, or would do. `applies`: it has something to do. Places in mm of the print."""

    repair: str
    mends: str  # the check whose finding it answers
    applies: bool
    done: bool
    says: str
    places: tuple[Place, ...] = ()

    def as_json(self) -> dict[str, object]:
        """The entry under "repairs" of `check --json`."""
        return {
            "repair": self.repair,
            "mends": self.mends,
            "applies": self.applies,
            "done": self.done,
            "says": self.says,
            "places_mm": [p.as_list() for p in self.places],
        }


@dataclass(frozen=True, slots=True)
class Preflight:
    """The whole answer about one artwork at one print size: what `check --json` says, and a picture."""

    file: str
    verdict: Verdict
    print_mm: tuple[float, float] | None
    measures: dict[str, object]
    findings: tuple[Finding, ...]
    picture_png: bytes = b""  # straight RGBA, at most 1,000 px on its longer side; empty: it can't be read
    slug: str = ""  # of the refusal, when the file was refused as a file
    repairs: tuple[RepairTold, ...] = ()  # when repairs were asked for
    outline: tuple[tuple[tuple[float, float], ...], ...] | None = (
        None  # round all ink, in mm from the top left; None: nobody asked
    )
    repaired: Preflight | None = None  # the answer about the repaired file, when one was written

    def as_json(self) -> dict[str, object]:
        """The document that `check --json` prints (the picture is not part of it)."""
        document: dict[str, object] = {
            "file": self.file,
            "verdict": str(self.verdict),
            "print_mm": list(self.print_mm) if self.print_mm else None,
            "measures": self.measures,
            "findings": [f.as_json() for f in self.findings],
        }
        if self.repairs:
            document["repairs"] = [r.as_json() for r in self.repairs]
            document["repaired"] = self.repaired.as_json() if self.repaired else None
        return document
