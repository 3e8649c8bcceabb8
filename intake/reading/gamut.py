"""How much of the art has colours that the shop's printer cannot make, by the printer's own ICC profile."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from tickets.problems import SetupProblem

SEEN_DELTA_E = 5.0  # CIE76; what littleCMS's own gamut check takes for out of gamut (cmsgmt.c, ERR_THRESHOLD)
_INKED = 128
_STEP_BITS = 3  # colours are told apart by their 5 upper bits: at most 32,768
_MODES = {"RGB": "RGB", "CMYK": "CMYK", "GRAY": "L"}
_MOST_BYTES = 64 << 20


def out_of_gamut_share(picture: NDArray[np.uint8], profile: Path) -> float:
    """Share of the ink (0–1) whose colour changes by more than SEEN_DELTA_E on the way through the printer.

    picture: straight RGBA in sRGB. Each colour goes to the printer's space and back, relative colorimetric;
    what comes back elsewhere cannot be printed. 0 when nothing is inked. Raises SetupProblem
    (`printer-profile-not-usable`) when the shop's profile cannot be used.
    """
    inked = picture[..., :3][picture[..., 3] >= _INKED]
    if len(inked) == 0:
        return 0.0
    coarse = (inked >> _STEP_BITS).astype(np.uint32)
    keys, counts = np.unique(coarse[:, 0] << 10 | coarse[:, 1] << 5 | coarse[:, 2], return_counts=True)
    colours = np.stack([keys >> 10, keys >> 5 & 31, keys & 31], axis=-1)
    rgb = (colours << _STEP_BITS | colours >> 2).astype(np.uint8)  # 31 is full colour again
    to_lab, to_printer, back = _transforms(
        str(profile), profile.stat().st_mtime_ns if profile.is_file() else 0
    )
    there = Image.fromarray(rgb[None])
    wanted = _lab(ImageCms.applyTransform(there, to_lab))
    printed = ImageCms.applyTransform(there, to_printer)
    assert printed is not None
    got = _lab(ImageCms.applyTransform(printed, back))
    apart = np.sqrt(((wanted - got) ** 2).sum(axis=-1))
    return float(counts[apart > SEEN_DELTA_E].sum() / counts.sum())


@lru_cache(maxsize=2)
def _transforms(path: str, _changed_ns: int) -> tuple[Any, Any, Any]:
    """sRGB to Lab, sRGB to the printer, the printer to Lab."""
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
