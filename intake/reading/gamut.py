"""How much of the art has colours that the shop's printer cannot make, by the printer's own ICC profile."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from intake.facts import Gamut, Place
from intake.measure.regions import Region
from tickets.problems import SetupProblem

SEEN_DELTA_E = 5.0  # CIE76; what littleCMS's own gamut check takes for out of gamut (cmsgmt.c, ERR_THRESHOLD)
_INKED = 128
_STEP_BITS = 3  # colours are told apart by their 5 upper bits: at most 32,768
_MODES = {"RGB": "RGB", "CMYK": "CMYK", "GRAY": "L"}
_MOST_BYTES = 64 << 20
_MOST_PLACES = 40


def gamut_of(picture: NDArray[np.uint8], profile: Path, width_mm: float) -> Gamut:
    """How much of the ink changes by more than SEEN_DELTA_E on the way through the printer, and where.

    picture: straight RGBA in sRGB, printed `width_mm` wide. Each colour goes to the printer's space and back,
    relative colorimetric; what comes back elsewhere cannot be printed. A share of 0 when nothing is inked.
    Raises SetupProblem (`printer-profile-not-usable`) when the shop's profile cannot be used.
    """
    inked = picture[..., 3] >= _INKED
    if not inked.any():
        return Gamut(0.0)
    coarse = (picture[..., :3] >> _STEP_BITS).astype(np.uint32)
    of_pixel = coarse[..., 0] << 10 | coarse[..., 1] << 5 | coarse[..., 2]
    keys, counts = np.unique(of_pixel[inked], return_counts=True)
    colours = np.stack([keys >> 10, keys >> 5 & 31, keys & 31], axis=-1)
    rgb = (colours << _STEP_BITS | colours >> 2).astype(np.uint8)  # 31 is full colour again
    apart, printed = _through_printer(rgb, profile)
    is_beyond = apart > SEEN_DELTA_E
    if not is_beyond.any():
        return Gamut(0.0)
    worst = int(np.argmax(np.where(is_beyond, counts * apart, 0)))
    return Gamut(
        share=float(counts[is_beyond].sum() / counts.sum()),
        wanted=_hex(np.rint(picture[..., :3][inked & (of_pixel == keys[worst])].mean(axis=0))),
        printed=_hex(printed[worst]),
        places=_places(inked & np.isin(of_pixel, keys[is_beyond]), width_mm),
    )


def _through_printer(rgb: NDArray[np.uint8], profile: Path) -> tuple[NDArray[np.float64], NDArray[np.uint8]]:
    """How far each colour comes back from where it was (CIE76), and as what (sRGB)."""
    to_lab, to_printer, back, to_screen = _transforms(
        str(profile), profile.stat().st_mtime_ns if profile.is_file() else 0
    )
    there = Image.fromarray(rgb[None])
    wanted = _lab(ImageCms.applyTransform(there, to_lab))
    printed = ImageCms.applyTransform(there, to_printer)
    assert printed is not None
    got = _lab(ImageCms.applyTransform(printed, back))
    shown = ImageCms.applyTransform(printed, to_screen)
    assert shown is not None
    return np.sqrt(((wanted - got) ** 2).sum(axis=-1)), np.asarray(shown)[0]


def _places(beyond: NDArray[np.bool_], width_mm: float) -> tuple[Place, ...]:
    """Boxes in mm round the parts that cannot be printed as they are, the largest first."""
    height, width = beyond.shape
    region = Region(width, height)
    region.mark(beyond.astype(np.uint8), 0, 0)
    mm = width_mm / width
    return tuple(
        Place(left * mm, top * mm, (min(right, width) - left) * mm, (min(bottom, height) - top) * mm)
        for left, top, right, bottom in region.boxes()[:_MOST_PLACES]
    )


def _hex(rgb: NDArray[Any]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*(int(v) for v in rgb))


@lru_cache(maxsize=2)
def _transforms(path: str, _changed_ns: int) -> tuple[Any, Any, Any, Any]:
    """sRGB to Lab, sRGB to the printer, the printer to Lab, the printer to sRGB."""
    try:
        with Path(path).open("rb") as stream:
            icc = stream.read(_MOST_BYTES)
        printer = ImageCms.ImageCmsProfile(io.BytesIO(icc))
        mode = _MODES[printer.profile.xcolor_space.strip()]
        srgb, lab = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB")
        intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
        return (
            ImageCms.buildTransform(srgb, lab, "RGB", "LAB", intent),
            ImageCms.buildTransform(srgb, printer, "RGB", mode, intent),
            ImageCms.buildTransform(printer, lab, mode, "LAB", intent),
            ImageCms.buildTransform(printer, srgb, mode, "RGB", intent),
        )
    except (OSError, KeyError, ValueError, ImageCms.PyCMSError) as error:
        raise SetupProblem(
            "printer-profile-not-usable",
            f"The printer profile {path} cannot be used: {error}.",
            "Set `film.printer_profile` in shop.toml to your printer's ICC profile, or to nothing.",
        ) from error


def _lab(picture: Image.Image | None) -> NDArray[np.float64]:
    """L*, a*, b* of an 8-bit Lab picture (L* in 255ths of 100, a* and b* with 128 added)."""
    assert picture is not None
    stored = np.frombuffer(picture.tobytes(), np.uint8).reshape(-1, 3).astype(np.float64)
    return np.stack([stored[:, 0] * 100 / 255, stored[:, 1] - 128, stored[:, 2] - 128], axis=-1)
