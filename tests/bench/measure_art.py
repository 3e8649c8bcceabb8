"""Pages that the measuring is timed on: logos, dense art, photographs and hostile screens, as RGBA PNG."""

from __future__ import annotations

from pathlib import Path

import cv2
import fontpkg_noto_sans  # type: ignore[import-untyped]
import numpy as np
import skia  # type: ignore[import-not-found]
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
A3 = (4961, 3508)
PAGES = {
    "logo 17": ("art", *A3, 0.35),
    "art 17": ("art", *A3, 1.0),
    "dense 17": ("art", *A3, 4.0),
    "photo 17": ("photo", *A3, 0.0),
    "logo 70": ("art", 9921, 7016, 0.35),
    "logo 140": ("art", 9933, 14043, 0.35),
    "line screen 17": ("lines", *A3, 0.0),
    "dot screen 17": ("dots", *A3, 0.0),
    "noise 17": ("noise", *A3, 0.0),
}


def make_page(folder: Path, name: str) -> Path:
    """The page as a file, drawn once."""
    path = folder / f"{name.replace(' ', '-')}.png"
    if not path.exists():
        kind, width, height, density = PAGES[name]
        if kind == "art":
            rgba = _art(width, height, density)
        elif kind == "photo":
            rgba = _photo(width, height)
        else:
            rgba = np.zeros((height, width, 4), np.uint8)
            rgba[..., 3] = _screen(kind, width, height)
        cv2.imwrite(str(path), cv2.cvtColor(rgba, cv2.COLOR_RGBA2BGRA))
    return path


def make_logo(folder: Path, number: int, side: int, density: float) -> Path:
    """A small logo as a file, another for every number."""
    path = folder / f"logo-{number:04}.png"
    cv2.imwrite(str(path), cv2.cvtColor(_art(side, side, density, 100 + number), cv2.COLOR_RGBA2BGRA))
    return path


def _art(width: int, height: int, density: float, seed: int = 5) -> Bytes:
    """Discs, arcs, lines and words; at density 1 there are 6 shapes and 8 words a megapixel."""
    rng = np.random.default_rng(seed)
    surface = skia.Surface(width, height)
    canvas = surface.getCanvas()
    canvas.clear(0)
    files = Path(fontpkg_noto_sans.__file__).parent / "files"
    face = skia.Typeface.MakeFromFile(str(next(files.glob("NotoSans[[]*.ttf"))))

    def paint(stroke: float = 0.0) -> skia.Paint:
        colour = skia.Color(*(int(v) for v in rng.integers(0, 256, 3)))
        made = skia.Paint(AntiAlias=True, Color=colour)
        if stroke:
            made.setStyle(skia.Paint.kStroke_Style)
            made.setStrokeWidth(stroke)
        return made

    size = 1.0 if density <= 1 else 0.4
    for k in range(int(width * height / 1e6 * 6 * density)):
        x, y = float(rng.integers(0, width)), float(rng.integers(0, height))
        if k % 3 == 0:
            canvas.drawCircle(x, y, float(rng.uniform(20, 300 * size)), paint())
        elif k % 3 == 1:
            box = skia.Rect.MakeXYWH(x, y, *(float(v) for v in rng.uniform(60, 500, 2)))
            start, sweep = float(rng.uniform(0, 180)), float(rng.uniform(60, 360))
            canvas.drawArc(box, start, sweep, False, paint(float(rng.uniform(3, 30 * size))))
        else:
            dx, dy = (float(v) for v in rng.uniform(-400, 400, 2))
            canvas.drawLine(x, y, x + dx, y + dy, paint(float(rng.uniform(3, 24 * size))))
    for _ in range(int(width * height / 1e6 * 8 * density)):
        font = skia.Font(face, float(rng.uniform(40, 200)) * size)
        font.setSubpixel(True)
        x, y = float(rng.integers(-100, width)), float(rng.integers(0, height))
        canvas.drawString("Otter Bank Rowing", x, y, font, paint())
    return np.asarray(surface.toarray(colorType=skia.kRGBA_8888_ColorType)).copy()


def _photo(width: int, height: int) -> Bytes:
    """Clouds of colour with grain, cut out as an ellipse."""
    rng = np.random.default_rng(5)
    rgb = np.zeros((height, width, 3), np.int16)
    for cell, depth in ((64, 127), (4, 40)):
        coarse = rng.integers(-depth, depth, (height // cell + 2, width // cell + 2, 3)).astype(np.int16)
        rgb += np.asarray(cv2.resize(coarse, (width, height), interpolation=cv2.INTER_LINEAR), np.int16)
    rgb += rng.integers(-3, 4, rgb.shape).astype(np.int16)
    mask = np.zeros((height, width), np.uint8)
    cv2.ellipse(
        mask,
        (width // 2, height // 2),
        (width * 42 // 100, height * 42 // 100),
        0,
        0,
        360,
        255,
        -1,
        cv2.LINE_AA,
    )
    return np.dstack([np.clip(rgb + 127, 0, 255).astype(np.uint8), mask])


def _screen(kind: str, width: int, height: int) -> Bytes:
    if kind == "lines":
        rows = np.where(np.arange(height) // 2 % 2, 255, 0).astype(np.uint8)
        return np.repeat(rows[:, None], width, axis=1)
    if kind == "dots":
        y, x = np.cos(np.arange(height) * np.pi / 4), np.cos(np.arange(width) * np.pi / 4)
        return np.asarray(np.clip((x[None, :] + y[:, None]) * 200 + 80, 0, 255), np.uint8)
    return np.random.default_rng(1).choice(np.array([0, 255], np.uint8), (height, width))
