"""What an artwork's numbers become at print size: resolutions, lines and places, in ppi and mm."""

from __future__ import annotations

from dataclasses import dataclass

from intake.facts import Examined, InkMeasures, Place, PlacedImage, Spot

MM_PER_POINT = 25.4 / 72
_TOUCHING_MM = 0.3  # places so near each other are the same spot, seen twice


@dataclass(frozen=True, slots=True)
class ImageAtSize:
    """One painted image of a page, at print size; `worst_ppi` in whatever direction it is worst."""

    pixels: tuple[int, int]
    ppi: tuple[float, float]
    worst_ppi: float
    kind: str
    place: Place


def page_scale(examined: Examined) -> tuple[float, float] | None:
    """(across, down): printed length ÷ length on the page; None for a file that is no page."""
    page = examined.artwork.size_mm or examined.artwork.drawn_mm
    if page is None or page[0] <= 0 or page[1] <= 0:
        return None
    return examined.size.width_mm / page[0], examined.size.height_mm / page[1]


def images_at_size(examined: Examined, *, plain_too: bool = False) -> tuple[ImageAtSize, ...]:
    """The painted images of a page that hold detail, worst first; one of one colour holds none."""
    scale = page_scale(examined)
    if scale is None:
        return ()
    held = [_image(image, scale) for image in examined.artwork.images if plain_too or not image.is_plain]
    return tuple(sorted(held, key=lambda image: image.worst_ppi))


def _image(image: PlacedImage, scale: tuple[float, float]) -> ImageAtSize:
    larger = max(scale)
    worst = image.worst_ppi or min(image.ppi)
    ppi = image.ppi[0] / larger, image.ppi[1] / larger
    return ImageAtSize(image.pixels, ppi, worst / larger, image.kind, to_place(image.place_pt, scale))


def to_place(box_pt: tuple[float, float, float, float], scale: tuple[float, float]) -> Place:
    """A box in points of the page as a place on the print."""
    x, y, wide, high = box_pt
    across, down = scale[0] * MM_PER_POINT, scale[1] * MM_PER_POINT
    return Place(x * across, y * down, wide * across, high * down)


def effective_ppi(examined: Examined, *, plain_too: bool = False) -> tuple[float, float] | None:
    """Pixels an inch at print size, across and down; for a page its worst painted image; None without images.

    Never from the stored tag: pixels ÷ printed inches. With skew both figures are the worst direction's. The
    number that is told counts images of one colour (`plain_too`); what is asked about does not.
    """
    if examined.artwork.pixels is not None:
        wide, high = examined.artwork.pixels
        return wide * 25.4 / examined.size.width_mm, high * 25.4 / examined.size.height_mm
    images = images_at_size(examined, plain_too=plain_too)
    if not images:
        return None
    worst = images[0]
    return worst.ppi if worst.worst_ppi >= min(worst.ppi) - 1e-6 else (worst.worst_ppi, worst.worst_ppi)


def drawn_lines(examined: Examined) -> tuple[Spot, ...]:
    """The strokes and line-like fills of a drawing that stand alone, thinnest first, in mm at print size."""
    scale = page_scale(examined)
    if scale is None:
        return ()
    thinner = min(scale) * MM_PER_POINT
    return tuple(
        Spot(
            value_mm=stroke.width_pt * thinner,
            uncertainty_mm=0.0,
            place=to_place(stroke.place_pt, scale),
            length_mm=max(stroke.place_pt[2] * scale[0], stroke.place_pt[3] * scale[1]) * MM_PER_POINT,
            kind=f"vector {stroke.kind}",
        )
        for stroke in examined.artwork.strokes
        if stroke.stands_alone
    )


def touches(one: Place, other: Place, within_mm: float = _TOUCHING_MM) -> bool:
    """Whether two places overlap or lie as near to each other as `within_mm`."""
    return (
        one.x_mm - within_mm <= other.x_mm + other.width_mm
        and other.x_mm - within_mm <= one.x_mm + one.width_mm
        and one.y_mm - within_mm <= other.y_mm + other.height_mm
        and other.y_mm - within_mm <= one.y_mm + one.height_mm
    )


def outside_screen(spots: tuple[Spot, ...], ink: InkMeasures) -> tuple[Spot, ...]:
    """Spots that are no part of a screen: the dots and gaps of a halftone are one finding, not thousands."""
    if not ink.screened:
        return spots
    if not ink.screened_places:
        return ()
    return tuple(spot for spot in spots if not any(touches(spot.place, part) for part in ink.screened_places))


def is_under(value_mm: float, limit_mm: float) -> bool:
    """Whether a length, as it is told (to 0.01 mm), is under the limit: 0.30 is never called under 0.30."""
    return round(value_mm, 2) < round(limit_mm, 2)
