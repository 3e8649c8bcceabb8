"""The small picture of an artwork laid on a checkered ground, as papers and reports show it."""

from __future__ import annotations

import io

from PIL import Image, ImageChops, ImageFilter

CHECKER_MM = 1.6
Rgb = tuple[int, int, int]
Tones = tuple[Rgb, Rgb]
PALE_TONES: Tones = ((222, 222, 220), (250, 250, 248))
GREY_TONES: Tones = (
    (138, 138, 140),
    (162, 162, 164),
)  # for art with a light rim
_LIGHT = 190  # luminance of 255
_LIGHT_RIM_SHARE = 0.25
_PRINTED_PPI = 300
_MOST_PIXELS = 1200  # a side


def open_picture(png: bytes) -> Image.Image | None:
    """The picture as RGBA; None when there is none or it can't be read."""
    if not png:
        return None
    try:
        with Image.open(io.BytesIO(png), formats=("PNG",)) as picture:
            return picture.convert("RGBA")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None


def on_checkers(picture: Image.Image, width_mm: float, height_mm: float) -> Image.Image:
    """The picture for a place of that size, no finer than print shows, over checkers of 1.6 mm."""
    scale = _PRINTED_PPI / 25.4
    wanted = (round(width_mm * scale), round(height_mm * scale))
    if picture.width > wanted[0] and picture.height > wanted[1]:
        shrunk = picture.convert("RGBa").resize(
            _at_least_one(wanted), Image.Resampling.HAMMING, reducing_gap=2.0
        )
        picture = shrunk.convert("RGBA")
    elif max(picture.size) < _MOST_PIXELS / 3:  # enlarged by whole pixels: viewers would blur them
        times = max(1, min(8, round(wanted[0] / max(1, picture.width))))
        picture = picture.resize((picture.width * times, picture.height * times), Image.Resampling.NEAREST)
    square = CHECKER_MM * picture.width / width_mm
    ground = checkers(picture.size, square, tones_for(picture))
    return Image.alpha_composite(ground, picture).convert("RGB")


def tones_for(picture: Image.Image) -> Tones:
    """The ground on which the art is seen: grey when much of the rim between art and nothing is light."""
    small = picture.copy()
    small.thumbnail((240, 240))
    solid = small.getchannel("A").point([255 * (alpha > 127) for alpha in range(256)])
    rim = ImageChops.subtract(solid, solid.filter(ImageFilter.MinFilter(3)))
    counts = small.convert("RGB").convert("L").histogram(rim)
    return GREY_TONES if sum(counts[_LIGHT:]) > _LIGHT_RIM_SHARE * sum(counts) else PALE_TONES


def on_colour(picture: Image.Image, colour: Rgb) -> Image.Image:
    """The picture over a plain colour: how it will look on the garment, as far as a screen can tell."""
    ground = Image.new("RGBA", picture.size, (*colour, 255))
    return Image.alpha_composite(ground, picture).convert("RGB")


def checkers(size: tuple[int, int], square: float, tones: Tones = PALE_TONES) -> Image.Image:
    """A checkered ground, each square so many pixels a side."""
    square = max(1.0, square)
    across, down = int(size[0] / square) + 1, int(size[1] / square) + 1
    tile = Image.new("P", (across, down))
    tile.putpalette([*tones[0], *tones[1]])
    tile.putdata([(column + row) % 2 for row in range(down) for column in range(across)])
    spread = tile.transform(
        size, Image.Transform.AFFINE, (1 / square, 0, 0, 0, 1 / square, 0), Image.Resampling.NEAREST
    )
    return spread.convert("RGBA")


def colour_of(text: str) -> Rgb | None:
    """'#rrggbb' as three numbers; None for anything else."""
    if len(text) != 7 or text[0] != "#" or any(c not in "0123456789abcdefABCDEF" for c in text[1:]):
        return None
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def _at_least_one(size: tuple[int, int]) -> tuple[int, int]:
    return max(1, size[0]), max(1, size[1])
