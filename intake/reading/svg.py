"""SVG and SVGZ → Artwork: what a drawing paints, and its picture at print size."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import Element

from config.settings import FileLimits
from intake.facts import Artwork, Pixels, PrintSize, VectorStroke
from intake.reading import refusals
from intake.reading.pdf_backing import ink_map, stands_alone
from intake.reading.pdf_matrix import Box
from intake.reading.svg_clean import Cleaned, clean
from intake.reading.svg_page import SvgPage, page_of, page_round, whole_plane
from intake.reading.svg_render import DrawingPicture, families
from intake.reading.svg_state import State
from intake.reading.svg_tree import SvgTree, read_bytes, read_tree
from intake.reading.svg_walk import Drawn, SvgWalk
from intake.reading.unfinished import looks_unfinished
from tickets.problems import ArtworkRefused

_MM = 25.4 / 72
_MOST_STROKES = 300
_LOOK_LONGER_SIDE_PX = 1600
_MOST_NAMES = 20
_GENERIC = {"", "serif", "sans-serif", "monospace", "cursive", "fantasy", "system-ui"}
_UNBOUNDED = Box(-1e9, -1e9, 1e9, 1e9)


class OpenSvg:
    """One opened drawing (intake.reading.opened.OpenArtwork)."""

    def __init__(self, root: Element, page: SvgPage, artwork: Artwork, limits: FileLimits) -> None:
        self.artwork = artwork
        self._root = root
        self._page = page
        self._limits = limits

    def pixels_at(self, size: PrintSize) -> Pixels:
        """The drawing painted on nothing at `limits.render_ppi` at print size.

        Coarser where that would be more than `limits.largest_megapixels`.
        """
        wide = size.width_mm / 25.4 * self._limits.render_ppi
        high = size.height_mm / 25.4 * self._limits.render_ppi
        too_many = wide * high / (self._limits.largest_megapixels * 1e6)
        if too_many > 1:
            wide, high = wide / too_many**0.5, high / too_many**0.5
        pixels = max(1, round(wide)), max(1, round(high))
        has_text = bool(self.artwork.extra["has_text"])
        return DrawingPicture(self._root, self._page, pixels, lossy=self.artwork.lossy, has_text=has_text)

    def close(self) -> None:
        """Nothing is kept open between calls."""


def open_svg(path: Path, page: int, limits: FileLimits) -> OpenSvg:
    """Open a drawing; runs inside a sandboxed worker. `page` can only be 1.

    Nothing outside the file is read, nothing in it is run. `Artwork.size_mm` is None unless the file says how
    large it is on paper. Raises ArtworkRefused: `file-damaged`, `file-cut-short`, `no-picture`,
    `drawing-too-involved`, `too-many-pixels`, `page-not-there`.
    """
    try:
        tree = read_tree(read_bytes(path))
    except ArtworkRefused as refusal:
        reason = looks_unfinished(path) if refusal.slug == "file-damaged" else None
        raise refusals.cut_short(reason) if reason else refusal from None
    if page != 1:
        raise refusals.page_not_there(page, 1)
    cleaned = clean(tree, limits)
    canvas = page_of(tree.root) or _page_by_content(tree.root, cleaned)
    walk = SvgWalk(tree.root, cleaned, max(canvas.size_pt))
    view = canvas.view
    walk.children(
        tree.root,
        State(canvas.to_points, canvas.frame, (view.x1 - view.x0, view.y1 - view.y0)).inside(tree.root),
    )
    return OpenSvg(tree.root, canvas, _artwork(tree, cleaned, canvas, walk), limits)


def _page_by_content(root: Element, cleaned: Cleaned) -> SvgPage:
    """The canvas of a drawing without any size: the box round what it paints."""
    walk = SvgWalk(root, cleaned, 1000.0)
    walk.children(root, State(whole_plane(), _UNBOUNDED, (100.0, 100.0)).inside(root))
    box = walk.drawn.box
    if box is None or box.x1 <= box.x0 or box.y1 <= box.y0:
        raise refusals.no_picture("SVG")
    return page_round(box)


def _artwork(tree: SvgTree, cleaned: Cleaned, page: SvgPage, walk: SvgWalk) -> Artwork:
    drawn, painted = walk.drawn, walk.drawn.painted
    wide, high = page.size_pt
    size_mm = (wide * _MM, high * _MM)
    lossy = painted.lossy_area >= 0.5 * page.frame.area
    return Artwork(
        kind="SVG",
        shape=wide / high,
        pixels=None,
        pages=1,
        has_alpha=True,
        lossy=lossy,
        size_mm=size_mm if page.is_physical else None,
        drawn_mm=size_mm,
        images=painted.placed_images(),
        strokes=_ranked(tree.root, page, drawn),
        notes=tuple(_notes(tree, cleaned, page, walk)),
        extra={
            "image_count": painted.image_count,
            "stroke_count": painted.stroke_count,
            "thin_fill_count": painted.fill_count,
            "fonts_not_embedded": _fonts(drawn)[:_MOST_NAMES],
            "missing_files": sorted(cleaned.missing)[:_MOST_NAMES],
            "left_out": sorted(tree.left_out),
            "has_text": painted.has_text,
            "least_text_pt": drawn.least_text_pt,
        },
    )


def _ranked(root: Element, page: SvgPage, drawn: Drawn) -> tuple[VectorStroke, ...]:
    """The thinnest lines, thinnest first; standing alone goes before being carried by other ink."""
    lines = drawn.painted.thinnest()
    if not lines:
        return ()
    wide, high = page.size_pt
    scale = _LOOK_LONGER_SIDE_PX / max(wide, high)
    pixels = max(1, round(wide * scale)), max(1, round(high * scale))
    picture = DrawingPicture(root, page, pixels, lossy=False, has_text=drawn.painted.has_text)
    ink = ink_map(next(picture.bands(pixels[1])), wide, high)
    alone = [(line, stands_alone(line, ink)) for line in lines]
    kept = sorted(alone, key=lambda pair: (not pair[1], pair[0].width_pt))[:_MOST_STROKES]
    kept.sort(key=lambda pair: pair[0].width_pt)
    return tuple(
        VectorStroke(line.width_pt, line.kind, line.box.as_place(), stands_alone=is_alone)
        for line, is_alone in kept
    )


def _fonts(drawn: Drawn) -> list[str]:
    ours = families() | _GENERIC
    return sorted(name for name in drawn.fonts if name.lower() not in ours)


def _notes(tree: SvgTree, cleaned: Cleaned, page: SvgPage, walk: SvgWalk) -> list[str]:
    notes = sorted(cleaned.pictures)
    if cleaned.missing:
        notes.append(
            "The drawing wants files that it does not hold, and that were not looked for: "
            f"{_names(cleaned.missing)}. Embed them and export it again."
        )
    if tree.left_out:
        notes.append(f"Left out of the drawing, as it cannot be printed: {_names(tree.left_out)}.")
    if fonts := _fonts(walk.drawn):
        notes.append(
            f"The drawing does not carry its fonts {_names(set(fonts))}: others take their place, and the "
            "letters may look different. Turn the text into paths."
        )
    if not page.is_physical:
        notes.append("The drawing does not say how large it is in print; the order's size decides.")
    if walk.drawn.bent_lines:
        notes.append(
            "Lines that keep their width while the drawing is stretched are drawn as near as can be."
        )
    if walk.budget.is_spent:
        notes.append("The drawing is so involved that only its first part was searched for lines and images.")
    return notes


def _names(names: set[str]) -> str:
    told = sorted(names)
    more = f" and {len(told) - _MOST_NAMES} more" if len(told) > _MOST_NAMES else ""
    return ", ".join(told[:_MOST_NAMES]) + more
