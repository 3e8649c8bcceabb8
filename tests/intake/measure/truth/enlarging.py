"""Pictures at their first size and enlarged, drawn from a seed: shapes, lettering, photos of no place."""

from __future__ import annotations

import io
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from intake.measure.detail import Sharpness, sharpness_of
from intake.measure.tiles import Tiles

KERNELS = {
    "nearest": Image.Resampling.NEAREST,
    "bilinear": Image.Resampling.BILINEAR,
    "bicubic": Image.Resampling.BICUBIC,
    "lanczos": Image.Resampling.LANCZOS,
}
FACTORS = (1.5, 2.0, 3.0, 4.17, 6.0)
_FINER = 4
# Programs make smooth edges in several ways; none of them is an enlargement.
_SMOOTHERS = (
    Image.Resampling.BOX,
    Image.Resampling.LANCZOS,
    Image.Resampling.BICUBIC,
    Image.Resampling.HAMMING,
)
Picture = Image.Image


def font_file() -> str:
    """A font that the project's papers use."""
    found = [p for p in files("fontpkg_noto_sans").iterdir() if p.name.endswith(".ttf")]
    if not found:
        found = [
            p
            for folder in files("fontpkg_noto_sans").iterdir()
            if folder.is_dir()
            for p in folder.iterdir()
            if p.name.endswith(".ttf")
        ]
    return str(sorted(found, key=str)[0])


def draw_logo(rng: np.random.Generator, side: int) -> Picture:
    """Flat shapes over each other on a white or coloured ground."""
    fine = side * _FINER
    picture = Image.new("RGB", (fine, fine), _colour(rng) if rng.random() < 0.3 else (255, 255, 255))
    draw = ImageDraw.Draw(picture)
    for _ in range(int(rng.integers(6, 36))):
        x, y = (int(v) for v in rng.integers(0, fine, 2))
        r = int(rng.integers(8, side // 4) * _FINER)
        kind = int(rng.integers(4))
        if kind == 0:
            draw.ellipse((x - r, y - r, x + r, y + int(r * rng.uniform(0.4, 1))), fill=_colour(rng))
        elif kind == 1:
            angles = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(3, 8))))
            draw.polygon([(x + r * np.cos(a), y + r * np.sin(a)) for a in angles], fill=_colour(rng))
        elif kind == 2:
            ends = [(int(a), int(b)) for a, b in rng.integers(0, fine, (3, 2))]
            draw.line(ends, fill=_colour(rng), width=int(rng.integers(2, 20) * _FINER))
        else:
            draw.rectangle((x - r, y - r, x + r, y + r), fill=_colour(rng))
    return _smoothed(rng, picture, side)


def draw_lettering(rng: np.random.Generator, side: int) -> Picture:
    """Lines of letters of one size each."""
    fine = side * _FINER
    picture = Image.new("RGB", (fine, fine), (255, 255, 255))
    draw = ImageDraw.Draw(picture)
    y = 0
    while y < fine:
        size = int(rng.integers(24, 110)) * _FINER
        font = ImageFont.truetype(font_file(), size)
        letters = "".join(chr(int(code)) for code in rng.integers(65, 122, 24))
        draw.text(
            (int(rng.integers(-40, 40)) * _FINER, y),
            letters,
            font=font,
            fill=_colour(rng) if rng.random() < 0.5 else 0,
        )
        y += int(size * rng.uniform(0.9, 1.6))
    return _smoothed(rng, picture, side)


def take_photo(rng: np.random.Generator, side: int) -> Picture:
    """Leaves that cover each other, with a texture, a lens's blur and a sensor's noise.

    Dead leaves are a known model of what photos are like (Lee, Mumford, Huang, "Occlusion models for natural
    images", 2001).
    """
    fine = side * 2
    scene: NDArray[Any] = np.zeros((fine, fine, 3), np.float32) + rng.uniform(0, 255, 3).astype(np.float32)
    radii = np.sort(1 / np.sqrt(rng.uniform(1 / (fine / 3) ** 2, 1 / 36, 1500)))[::-1]
    for radius in radii:
        at = tuple(int(v) for v in rng.integers(0, fine, 2))
        cv2.circle(scene, at, int(radius), tuple(float(v) for v in rng.uniform(10, 245, 3)), -1, cv2.LINE_AA)
    across, down = np.meshgrid(np.fft.fftfreq(fine), np.fft.fftfreq(fine))
    distance = np.hypot(across, down)
    distance[0, 0] = 1
    texture = np.fft.ifft2(np.fft.fft2(rng.normal(size=(fine, fine))) / distance**1.1).real
    scene += (texture * rng.uniform(5, 25) / texture.std()).astype(np.float32)[..., None]
    blurred = cv2.GaussianBlur(scene, (0, 0), float(rng.uniform(1.0, 2.0)))
    small = cv2.resize(blurred, (side, side), interpolation=cv2.INTER_AREA)
    scene = np.asarray(small, np.float64)
    scene = scene + rng.normal(size=scene.shape) * rng.uniform(0.5, 4)
    if rng.random() < 0.5:  # many cameras sharpen
        scene = scene + 0.6 * (scene - cv2.GaussianBlur(scene, (0, 0), 1.0))
    return Image.fromarray(np.clip(scene, 0, 255).astype(np.uint8))


KINDS: dict[str, Callable[[np.random.Generator, int], Picture]] = {
    "logo": draw_logo,
    "lettering": draw_lettering,
    "photo": take_photo,
}


def enlarged(kind: str, rng: np.random.Generator, side: int, factor: float, kernel: str) -> Picture:
    """A picture of that kind, made at side ÷ factor and brought to `side`."""
    small_side = int(side / factor)
    if kind == "photo":
        small = take_photo(rng, side).resize((small_side, small_side), Image.Resampling.LANCZOS)
    else:
        small = KINDS[kind](rng, small_side)
    return small.resize((side, side), KERNELS[kernel])


def as_jpeg(picture: Picture, quality: int = 85) -> Picture:
    """The picture after going through JPEG."""
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=quality)
    return Image.open(io.BytesIO(file.getvalue())).convert("RGB")


def look_at(picture: Picture, *, is_lossy: bool = False) -> Sharpness | None:
    """What the measure says of a picture that comes in bands."""
    rgba: NDArray[np.uint8] = np.asarray(picture.convert("RGBA"))
    tiles = Tiles()
    for top in range(0, rgba.shape[0], 256):
        tiles.add(np.ascontiguousarray(rgba[top : top + 256]))
    return sharpness_of(tiles.kept(), is_lossy=is_lossy)


def _colour(rng: np.random.Generator) -> tuple[int, int, int]:
    red, green, blue = (int(v) for v in rng.integers(0, 256, 3))
    return red, green, blue


def _smoothed(rng: np.random.Generator, picture: Picture, side: int) -> Picture:
    return picture.resize((side, side), _SMOOTHERS[int(rng.integers(len(_SMOOTHERS)))])
