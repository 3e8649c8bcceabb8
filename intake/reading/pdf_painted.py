"""What was seen painted on a page while its content was walked, kept small however much there is."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from intake.facts import LiveText, PlacedImage
from intake.reading.pdf_lines import ThinLine
from intake.reading.pdf_matrix import Box, Matrix, image_ppi

MOST_LINES = 600
MOST_IMAGES = 300
MOST_TEXTS = 200
MOST_ALIKE = 20  # placements of the same size and resolution: a thousand tiles tell no more
MOST_KINDS = 20_000


@dataclass(slots=True)
class Budget:
    """How much of a page is walked: a stranger's file may call its forms a million times over.

    `forms` counts forms, glyphs and pattern cells painted. `is_spent` turns true when operations or
    processor seconds have run out; what was seen until then counts.
    """

    operations: int = 1_500_000
    forms: int = 50_000
    cpu_seconds: float = 8.0
    content_bytes: int = 96 * 1024 * 1024
    is_spent: bool = False
    _until: float = field(default=0.0)

    def __post_init__(self) -> None:
        self._until = time.process_time() + self.cpu_seconds

    def take_operation(self) -> bool:
        """Count one operation; False when there is nothing left to spend."""
        self.operations -= 1
        if self.operations <= 0 or (self.operations % 4096 == 0 and time.process_time() > self._until):
            self.is_spent = True
        return not self.is_spent


@dataclass(frozen=True, slots=True)
class ImageSource:
    """What an image is by itself: size, names of its packings, and whether it is one colour throughout."""

    pixels: tuple[int, int]
    filters: tuple[str, ...] = ()
    is_plain: bool = False


@dataclass(frozen=True, slots=True)
class SeenImage:
    """One painted image with its matrix: the unit square to points of the page."""

    placed: PlacedImage
    ctm: Matrix
    filters: tuple[str, ...]


@dataclass(slots=True)
class Painted:
    """The collected facts of one page."""

    images: list[SeenImage] = field(default_factory=list)
    image_count: int = 0
    image_area: float = 0.0
    lossy_area: float = 0.0
    lines: list[ThinLine] = field(default_factory=list)
    stroke_count: int = 0
    zero_width_count: int = 0
    fill_count: int = 0
    inks: set[str] = field(default_factory=set)
    spots: set[str] = field(default_factory=set)
    fonts_left_out: set[str] = field(default_factory=set)
    overprints: bool = False
    has_text: bool = False
    texts: list[LiveText] = field(default_factory=list)
    has_other_paint: bool = False  # anything but images: text, strokes, fills, shadings
    unread: set[str] = field(default_factory=set)  # parts that could not be unpacked
    thickest_kept: float = float("inf")
    _alike: dict[tuple[tuple[int, int], str, float], int] = field(default_factory=dict)

    def add_image(self, source: ImageSource, ctm: Matrix, kind: str, shown: Box) -> None:
        """Note one painted placement; its masks come as placements of their own."""
        pixels, filters = source.pixels, source.filters
        ppi_x, ppi_y, worst = image_ppi(pixels, ctm)
        if worst <= 0:
            return
        self.image_count += 1
        placed = PlacedImage(pixels, (ppi_x, ppi_y), kind, shown.as_place(), worst, source.is_plain)
        alike = (pixels, kind, round(worst, 1))
        self._alike[alike] = self._alike.get(alike, 0) + 1
        if self._alike[alike] <= MOST_ALIKE and len(self._alike) <= MOST_KINDS:
            self.images.append(SeenImage(placed, ctm, filters))
        if kind in ("image", "inline"):
            self.image_area += shown.area
            self.lossy_area += shown.area if {"DCTDecode", "DCT", "JPXDecode"} & set(filters) else 0.0
        if len(self.images) >= 2 * MOST_IMAGES:
            self.images = sorted(self.images, key=lambda seen: seen.placed.worst_ppi)[:MOST_IMAGES]

    def add_text(self, size_pt: float, x_height: float, box: Box, seen_in: Box) -> None:
        """Note a piece of live text; `x_height` is a share of its size, 0 = not told."""
        shown = box.cut(seen_in)
        if shown.is_empty() or not size_pt > 0:
            return
        self.texts.append(LiveText(size_pt, x_height * size_pt, shown.as_place()))
        if len(self.texts) >= 4 * MOST_TEXTS:
            self.texts = self.smallest_texts()

    def smallest_texts(self) -> list[LiveText]:
        """The smallest pieces of text, smallest first."""
        return sorted(self.texts, key=lambda text: text.size_pt)[:MOST_TEXTS]

    def add_line(self, line: ThinLine, seen_in: Box) -> None:
        """Note a line if any of it lies within `seen_in` and it is among the thinnest."""
        if line.box.cut(seen_in).is_empty():
            return
        if line.kind == "stroke":
            self.stroke_count += 1
            self.zero_width_count += line.width_pt == 0
        else:
            self.fill_count += 1
        if line.width_pt < self.thickest_kept:
            cut = ThinLine(line.width_pt, line.kind, line.box.cut(seen_in), line.samples)
            self.lines.append(cut)
        if len(self.lines) >= 4 * MOST_LINES:
            self.lines = self.thinnest()
            self.thickest_kept = self.lines[-1].width_pt

    def thinnest(self) -> list[ThinLine]:
        """The thinnest lines, thinnest first."""
        return sorted(self.lines, key=lambda line: line.width_pt)[:MOST_LINES]

    def placed_images(self) -> tuple[PlacedImage, ...]:
        """The painted images, worst resolution first."""
        ranked = sorted(self.images, key=lambda seen: seen.placed.worst_ppi)
        return tuple(seen.placed for seen in ranked[:MOST_IMAGES])
