"""From whatever a decoder gives (grey, RGB, CMYK or Lab, 8 to 32 bits, with a profile) to 8-bit sRGB."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvips
from PIL import Image, ImageCms

_SPACES = {1: b"GRAY", 3: b"RGB ", 4: b"CMYK"}
_MODES = {1: "L", 3: "RGB", 4: "CMYK"}
_BROKEN = "The colour profile in the file is broken; it was ignored."
_LONGEST_NAME = 60
_NEVER_SEEN = 2  # of 255: an ICC profile that moves no colour further than this is sRGB under another name


@dataclass(frozen=True, slots=True)
class Profile:
    """What the embedded ICC profile is good for: convert with it, or leave the numbers alone, and why."""

    converts: bool
    notes: tuple[str, ...] = ()
    name: str = ""
    trouble: str = ""  # "broken", "wrong space", or "" when the profile fits


def judge_profile(icc: bytes, colours: int, is_embedded: bool) -> Profile:
    """Whether the profile fits the picture's colours and does anything to them (header: ICC.1:2022, 7.2)."""
    if not icc and not is_embedded:
        return Profile(False)
    if not icc:  # some decoders hand out none that they find fault with
        says = "The colour profile in the file is broken, or for another kind of colour; it was ignored."
        return Profile(False, (says,), trouble="broken")
    if len(icc) < 128 or icc[36:40] != b"acsp":
        return Profile(False, (_BROKEN,), trouble="broken")
    name = profile_name(icc)
    if icc[16:20] != _SPACES.get(colours):
        called = f" “{name}”" if name else ""
        says = (
            f"The colour profile{called} in the file is for another kind of colour than the picture; "
            "it was ignored."
        )
        return Profile(False, (says,), name, "wrong space")
    try:
        moved = _farthest_move(icc, colours)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return Profile(False, (_BROKEN,), name, "broken")
    return Profile(moved > _NEVER_SEEN, name=name)


def profile_name(icc: bytes) -> str:
    """What a profile calls itself; "" when it does not say or cannot be read."""
    try:
        told = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(icc)))
    except (ImageCms.PyCMSError, OSError, ValueError, UnicodeError):
        return ""
    return "".join(c for c in told if c.isprintable()).strip()[:_LONGEST_NAME]


def _farthest_move(icc: bytes, colours: int) -> int:
    """How far the profile moves any of a grid of colours on the way to sRGB, in steps of 255."""
    mode = _MODES[colours]
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(icc)),
        ImageCms.createProfile("sRGB"),
        mode,
        "RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    if transform is None:
        raise ValueError("no transform")
    if colours == 4:
        return 255
    steps = np.linspace(0, 255, 9).astype(np.uint8)
    grid = np.stack(np.meshgrid(*[steps] * colours, indexing="ij"), axis=-1).reshape(-1, 1, colours)
    moved = ImageCms.applyTransform(Image.fromarray(grid.squeeze(-1) if colours == 1 else grid), transform)
    if moved is None:
        raise ValueError("no colours")
    return int(np.abs(np.asarray(moved).astype(int) - grid.astype(int)).max())


def colour_bands(image: Any) -> int:
    """How many of a decoded picture's bands are colour; the rest are extra samples."""
    interpretation = str(image.interpretation)
    if interpretation == "cmyk":
        return min(4, int(image.bands))
    if interpretation in ("b-w", "grey16"):
        return 1
    if interpretation in ("srgb", "rgb", "rgb16", "scrgb", "lab", "labs", "xyz"):
        return min(3, int(image.bands))
    return 1 if int(image.bands) < 3 else 3


def to_srgb(colour: Any, profile: Profile) -> Any:
    """Three bands of 8 bits in sRGB, through the profile where it converts."""
    interpretation = str(colour.interpretation)
    if not profile.converts and "icc-profile-data" in colour.get_fields():
        colour = colour.copy()
        colour.remove("icc-profile-data")
    if interpretation == "cmyk":
        return _through_profile(_at_most_16(colour), profile, fallback="cmyk")
    if interpretation in ("lab", "labs", "xyz", "scrgb"):
        return colour.colourspace("srgb").cast("uchar")
    if profile.converts:
        return _through_profile(_at_most_16(colour), profile, fallback="srgb")
    eight = _to_8_bits(colour)
    return eight.bandjoin([eight, eight]) if eight.bands == 1 else eight


def alpha_to_8_bits(alpha: Any) -> Any:
    """One band of 8 bits; what is neither quite clear nor quite solid at its own depth stays so at 8 bits.

    So that counts of clear, solid and half-clear pixels are the same before and after.
    """
    if alpha.format == "uchar":
        return alpha
    if alpha.format == "ushort":
        levels = np.clip(np.rint(np.arange(65536) * 255 / 65535), 1, 254).astype(np.uint8)
        levels[0], levels[65535] = 0, 255
        return alpha.maplut(pyvips.Image.new_from_array(levels.reshape(1, -1)))
    whole = 4294967295.0 if alpha.format == "uint" else 1.0
    between = (alpha * (255.0 / whole)).rint()
    between = (between < 1).ifthenelse(1, (between > 254).ifthenelse(254, between))
    return (alpha >= whole).ifthenelse(255, (alpha <= 0).ifthenelse(0, between)).cast("uchar")


def _through_profile(colour: Any, profile: Profile, fallback: str) -> Any:
    converted = colour.icc_transform(
        "srgb",
        embedded=profile.converts,
        input_profile=fallback,
        intent="relative",
        black_point_compensation=True,
        depth=8,
    )
    return converted if converted.bands == 3 else converted.bandjoin([converted, converted])


def _at_most_16(colour: Any) -> Any:
    """Colour management takes 8 or 16 bits."""
    return colour if colour.format in ("uchar", "ushort") else _to_8_bits(colour)


def _to_8_bits(colour: Any) -> Any:
    if colour.format == "uchar":
        return colour
    if colour.format == "ushort":
        return (colour >> 8).cast("uchar")
    if colour.format == "uint":
        return (colour >> 24).cast("uchar")
    return (colour * 255.0).rint().cast("uchar")
