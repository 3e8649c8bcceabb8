"""Names that a print shop wants told: colour spaces, spot colours, and fonts that a PDF does not carry."""

from __future__ import annotations

from typing import Any

import pikepdf

from intake.reading.pdf_values import number, plain_name

_PROCESS = {"All", "None", "Cyan", "Magenta", "Yellow", "Black"}
_FAMILIES = {
    "DeviceGray": "grey",
    "G": "grey",
    "CalGray": "grey",
    "DeviceRGB": "RGB",
    "RGB": "RGB",
    "CalRGB": "RGB",
    "Lab": "Lab",
    "DeviceCMYK": "CMYK",
    "CMYK": "CMYK",
}
_ICC_FAMILIES = {1: "grey", 3: "RGB", 4: "CMYK"}
_DEEPEST = 8


def inks_of(space: Any, depth: int = 0) -> tuple[set[str], set[str]]:
    """({"grey", "RGB", "CMYK", "Lab"}, {spot colour names}) of a colour space (ISO 32000-1 8.6)."""
    if isinstance(space, pikepdf.Name):
        family = _FAMILIES.get(plain_name(space))
        return ({family} if family else set()), set()
    if not isinstance(space, pikepdf.Array) or len(space) == 0 or depth > _DEEPEST:
        return set(), set()
    kind = plain_name(space[0])
    if kind == "ICCBased" and len(space) > 1:
        family = _ICC_FAMILIES.get(int(space[1].get("/N", 0)))
        return ({family} if family else set()), set()
    if kind in ("Indexed", "I", "Pattern") and len(space) > 1:
        return inks_of(space[1], depth + 1)
    if kind == "Separation" and len(space) > 1:
        return set(), {plain_name(space[1])} - _PROCESS
    if kind == "DeviceN" and len(space) > 1:
        return set(), {plain_name(name) for name in list(space[1])} - _PROCESS
    family = _FAMILIES.get(kind)
    return ({family} if family else set()), set()


def x_height_of(font: Any) -> float:
    """The height of a font's lower-case letters as a share of its size; 0 when it does not say (9.8.1)."""
    descends = font.get("/DescendantFonts")
    if isinstance(descends, pikepdf.Array) and len(descends) > 0:
        font = descends[0]
    descriptor = font.get("/FontDescriptor")
    told = descriptor.get("/XHeight") if isinstance(descriptor, pikepdf.Dictionary) else None
    share = number(told, 0.0) / 1000
    return share if 0.2 <= share <= 0.9 else 0.0


def font_left_out(font: Any) -> str:
    """The name of a font that the file does not carry with it; "" when it does (ISO 32000-1 9.9)."""
    if plain_name(font.get("/Subtype")) == "Type3":
        return ""
    name = plain_name(font.get("/BaseFont"))
    descends = font.get("/DescendantFonts")
    if isinstance(descends, pikepdf.Array) and len(descends) > 0:
        font = descends[0]
    descriptor = font.get("/FontDescriptor")
    if isinstance(descriptor, pikepdf.Dictionary) and any(
        key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3")
    ):
        return ""
    start, plus, rest = name.partition("+")
    return (rest if plus and len(start) == 6 else name) or "a font without a name"
