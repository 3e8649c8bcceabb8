"""Convert to sRGB: what the reader did with the file's own colours, said aloud; the written file is sRGB."""

from __future__ import annotations

from intake.facts import Artwork
from intake.repairs import wording

NAME = "srgb"
MENDS = "colour"
DOES = "converts the colours to sRGB through the file's own profile"


def told(artwork: Artwork) -> str | None:
    """The sentence on what was converted; None for a file that is sRGB already."""
    if artwork.colour == "CMYK":
        return wording.converted_press(bool(artwork.extra.get("icc_used")))
    if artwork.extra.get("icc_used"):
        return wording.converted_profile()
    return None
