"""How large a drawing says that it is: width, height and view box, in upright points."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from intake.reading.pdf_matrix import Box, Matrix
from intake.reading.svg_values import PX_TO_POINTS, Length, fit_view, read_length, read_view_box
from tickets.problems import ArtworkRefused

_SMALLEST_PX, _LARGEST_PX = 1e-3, 1e7


@dataclass(frozen=True, slots=True)
class SvgPage:
    """The canvas: px as the drawing states it, or of its view box where it states no size.

    view: what of the drawing's own coordinates is shown. to_points: from these to points from the top left.
    is_physical: the file itself says how large it is on paper.
    """

    wide_px: float
    high_px: float
    view: Box
    to_points: Matrix
    is_physical: bool
    aspect: str | None = None

    @property
    def size_pt(self) -> tuple[float, float]:
        """Width and height in points, at 96 px an inch."""
        return self.wide_px * PX_TO_POINTS, self.high_px * PX_TO_POINTS

    @property
    def frame(self) -> Box:
        """The canvas in points."""
        return Box(0.0, 0.0, *self.size_pt)


def page_of(root: Element) -> SvgPage | None:
    """The canvas of a drawing; None when it states neither a size nor a view box.

    Raises ArtworkRefused (`no-picture`) for sizes that leave nothing to be drawn.
    """
    view = read_view_box(root.get("viewBox"))
    if view is not None and (view.x1 <= view.x0 or view.y1 <= view.y0):
        raise _nothing_drawn("its view box has no extent")
    across, down = _stated(root, "width"), _stated(root, "height")
    if view is None:
        if across is None or down is None:
            return None
        return _page(across.px(0), down.px(0), None, across.is_physical and down.is_physical, root)
    wide, high = view.x1 - view.x0, view.y1 - view.y0
    if across is None and down is None:
        return _page(wide, high, view, False, root)
    if across is None or down is None:
        known = across or down
        assert known is not None
        px = known.px(0)
        size = (px, px * high / wide) if across else (px * wide / high, px)
        return _page(*size, view, known.is_physical and not _is_share(root), root)
    return _page(across.px(0), down.px(0), view, across.is_physical and down.is_physical, root)


def page_round(box: Box) -> SvgPage:
    """The canvas of a drawing that states no size at all: what is painted, `box` in points."""
    view = Box(*(value / PX_TO_POINTS for value in box))
    return _sized(view.x1 - view.x0, view.y1 - view.y0, view, False, None)


def whole_plane() -> Matrix:
    """From user units to points where nothing else is known."""
    return Matrix(a=PX_TO_POINTS, d=PX_TO_POINTS)


def _is_share(root: Element) -> bool:
    return any("%" in root.get(name, "") for name in ("width", "height"))


def _stated(root: Element, name: str) -> Length | None:
    """The length of a side; None where it is missing, "auto" or a share of something unknown."""
    length = read_length(root.get(name))
    if length is None or length.unit == "%":
        return None
    if length.value <= 0:
        raise _nothing_drawn(f"its {name} is {root.get(name)}")
    return length


def _page(wide: float, high: float, view: Box | None, is_physical: bool, root: Element) -> SvgPage:
    return _sized(wide, high, view or Box(0, 0, wide, high), is_physical, root.get("preserveAspectRatio"))


def _sized(wide: float, high: float, view: Box, is_physical: bool, aspect: str | None) -> SvgPage:
    if not (_SMALLEST_PX <= wide <= _LARGEST_PX and _SMALLEST_PX <= high <= _LARGEST_PX):
        raise _nothing_drawn(f"it says that it is {wide:g} × {high:g} px large")
    to_points = fit_view(view, Box(0, 0, wide * PX_TO_POINTS, high * PX_TO_POINTS), aspect)
    return SvgPage(wide, high, view, to_points, is_physical, aspect)


def _nothing_drawn(reason: str) -> ArtworkRefused:
    return ArtworkRefused(
        "no-picture",
        f"Nothing of the SVG drawing can be shown: {reason}.",
        "Please export the artwork again and look at the file before sending it.",
    )
