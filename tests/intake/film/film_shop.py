"""A shop with a run of a few artworks, without books: what the run's file is made of, for its tests."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from PIL import Image, ImageCms, ImageDraw

from config.settings import load_settings
from intake.film.making import KeptArts, keep_arts, look_of, plan_of
from intake.film.proof import ProofFault, prove
from intake.film.proof_plan import ProofPlan
from intake.inbox.claiming import original_path
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.film.model import RunPiece, StoredRun, Way
from tickets.paper.film.run_file import DrawnRun, draw_run
from tickets.paper.fonts import load_fonts

CODE = "R4K7X"
EDGE_MM, GAP_MM, WIDTH_MM = 18.0, 8.0, 590.0
INCH_MM = 25.4


@dataclass(frozen=True, slots=True)
class Kind:
    """An artwork of a test run: its bytes, its size on film in mm, and how many lie on it."""

    name: str
    content: bytes
    size_mm: tuple[float, float]
    copies: int = 2
    turned: bool = False
    mirrored: bool = False


def badge(size_mm: tuple[float, float], seed: int, ppi: float = 200.0) -> Image.Image:
    """Flat shapes on nothing, with soft rims, unlike in every direction; white under what is clear."""
    wide, high = (round(side / INCH_MM * ppi) for side in size_mm)
    dice = np.random.default_rng(seed)
    big = Image.new("RGBA", (2 * wide, 2 * high), (255, 255, 255, 0))
    draw = ImageDraw.Draw(big)
    first, second = (tuple(int(v) for v in dice.integers(0, 256, 3)) for _ in range(2))
    draw.ellipse((0, 0, 2 * wide - 1, 2 * high - 1), fill=(*first, 255))
    draw.polygon([(wide // 2, high // 3), (wide, high), (wide // 2, 3 * high // 2)], fill=(*second, 255))
    return big.resize((wide, high), Image.Resampling.BOX)


def as_bytes(picture: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    """A picture as a file."""
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()


def photo(size_mm: tuple[float, float], seed: int, ppi: float = 200.0) -> Image.Image:
    """Tones throughout, opaque, lighter to the right and redder below."""
    wide, high = (round(side / INCH_MM * ppi) for side in size_mm)
    across, down = np.meshgrid(np.linspace(0, 1, wide), np.linspace(0, 1, high))
    noise = np.random.default_rng(seed).normal(0, 6, (high, wide))
    tones = [60 + 150 * across + noise, 200 - 120 * down + noise, 90 + 60 * np.sin(9 * across) + noise]
    return Image.fromarray(np.clip(np.stack(tones, -1), 0, 255).astype(np.uint8), "RGB")


def srgb_profile() -> bytes:
    """The profile of sRGB."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def run_of(shop: Shop, kinds: Sequence[Kind], width_mm: float = WIDTH_MM) -> StoredRun:
    """These artworks in rows, each of its own; their originals kept in the shop."""
    pieces: list[RunPiece] = []
    top = EDGE_MM
    for item, kind in enumerate(kinds, start=1):
        sha256 = hashlib.sha256(kind.content).hexdigest()
        original = original_path(shop, sha256)
        original.parent.mkdir(parents=True, exist_ok=True)
        original.write_bytes(kind.content)
        wide, long = kind.size_mm[::-1] if kind.turned else kind.size_mm
        left = 0.0
        for copy in range(kind.copies):
            if left + wide > width_mm:
                left, top = 0.0, top + long + GAP_MM
            at = (left, top)
            code = f"ABC12{item}{item}"
            pieces.append(
                RunPiece(
                    number=len(pieces) + 1,
                    code=code,
                    order=f"OB-{item}",
                    item=1,
                    artwork=kind.name,
                    artwork_sha256=sha256,
                    x_mm=at[0],
                    y_mm=at[1],
                    width_mm=wide,
                    height_mm=long,
                    turned=kind.turned,
                    spare=copy == kind.copies - 1 and kind.copies > 2,
                    mirrored=kind.mirrored,
                )
            )
            left += wide + GAP_MM
        top += long + GAP_MM
    return StoredRun(CODE, "hot peel", width_mm, top - GAP_MM + EDGE_MM, tuple(pieces), way=Way.ROWS)


@dataclass(frozen=True, slots=True)
class Made:
    """A run's file that was drawn, what it was drawn of, and what it is to be proved by."""

    path: Path
    run: StoredRun
    arts: KeptArts
    drawn: DrawnRun
    plan: ProofPlan


def draw(shop: Shop, run: StoredRun, sandbox: Sandbox, path: Path, **look: object) -> Made:
    """Draw a run's file, unproved."""
    arts = keep_arts(shop, run, sandbox)
    looks = replace(look_of(shop, run), **look)  # type: ignore[arg-type]
    with path.open("wb") as out:
        drawn = draw_run(out, run, arts.paths, looks, load_fonts())
    return Made(path, run, arts, drawn, plan_of(path, run, drawn, arts, looks))


def proved(plan: ProofPlan) -> list[ProofFault]:
    """What is wrong with a file, with the shipped limits of what is read."""
    return prove(plan, load_settings(Path("nowhere")).limits.file)
