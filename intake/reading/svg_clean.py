"""What a drawing must not reach: files, addresses and pictures too large are taken out, and told by name."""

from __future__ import annotations

import base64
import binascii
import io
import urllib.parse
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from config.settings import FileLimits
from intake.reading import refusals, svg_tree
from intake.reading.gif import read_gif
from intake.reading.header import BrokenHeader
from intake.reading.jpeg import read_jpeg
from intake.reading.png import read_png
from intake.reading.sniff import HEAD_BYTES, Kind, sniff
from intake.reading.svg_cost import refuse_explosions
from intake.reading.svg_css import bake_styles
from intake.reading.svg_values import references
from intake.reading.webp import read_webp
from tickets.problems import ArtworkRefused

_HEADERS = {Kind.PNG: read_png, Kind.JPEG: read_jpeg, Kind.GIF: read_gif, Kind.WEBP: read_webp}
_LONGEST_NAME = 60
_DEEPEST_DRAWING = 2
_PICTURES = ("image", "feImage")


@dataclass(slots=True)
class Cleaned:
    """What was taken out of a drawing: names of missing files, and sentences about pictures."""

    missing: set[str] = field(default_factory=set)
    pictures: set[str] = field(default_factory=set)
    sizes: dict[int, tuple[tuple[int, int], bool]] = field(default_factory=dict)  # by id() of the element


def clean(tree: svg_tree.SvgTree, limits: FileLimits, depth: int = 0) -> Cleaned:
    """Take out of the tree whatever would read, fetch or explode. Raises ArtworkRefused for bombs."""
    found = Cleaned()
    found.missing |= {_short(name) for name in tree.entities}
    found.missing |= {_short(name) for name in bake_styles(tree.root)}
    for element in tree.root.iter():
        _clean_links(element, found)
        if element.tag in _PICTURES and element.get("href", "").startswith("data:"):
            _judge_picture(element, found, limits, depth)
    refuse_explosions(tree.root)
    return found


def _clean_links(element: Element, found: Cleaned) -> None:
    href = element.get("href", "").strip()
    is_picture = element.tag in _PICTURES and href.startswith("data:")
    if href and not href.startswith("#") and not is_picture:
        del element.attrib["href"]
        if element.tag != "a":  # a link that a reader could follow is no part of the picture
            found.missing.add(_short(href))
    for name in [name for name, value in element.attrib.items() if "url(" in value]:
        outside = [one for one in references(element.attrib[name]) if not one.startswith("#")]
        if outside:
            del element.attrib[name]
            found.missing |= {_short(one) for one in outside}


def _short(name: str) -> str:
    """A file's name without its folders, fit for a sentence."""
    last = name.split("?")[0].split("#")[0].rstrip("/").replace("\\", "/").rsplit("/", 1)[-1]
    kept = "".join(c for c in (last or name) if c.isprintable())
    return kept[:_LONGEST_NAME] or "?"


def _judge_picture(element: Element, found: Cleaned, limits: FileLimits, depth: int) -> None:
    """Keep an embedded picture that can be drawn, with its size; take out and tell any other."""
    data = unpack_data(element.attrib["href"])
    if data is None:
        _drop(element, found, "A picture in the drawing is broken and was left out.")
        return
    if data.startswith(svg_tree.GZIP) or b"<svg" in data[:HEAD_BYTES]:
        _judge_drawing(element, data, found, limits, depth)
        return
    try:
        kind = sniff(data[:HEAD_BYTES])
        header = _HEADERS[kind](io.BytesIO(data))
    except (ArtworkRefused, BrokenHeader, KeyError):
        _drop(
            element,
            found,
            "A picture in the drawing is broken, or of a kind that is not drawn; it was left out.",
        )
        return
    if header.width * header.height > limits.largest_megapixels * 1e6:
        raise refusals.too_many_pixels(header.width, header.height, limits.largest_megapixels)
    if header.orientation != 1:
        found.pictures.add("A photo in the drawing states how it is to be turned; it is printed as stored.")
    element.set("href", _as_data(f"image/{str(kind).lower()}", data))
    found.sizes[id(element)] = ((header.width, header.height), header.lossy)


def _judge_drawing(element: Element, data: bytes, found: Cleaned, limits: FileLimits, depth: int) -> None:
    """A drawing inside the drawing is cleaned like the whole."""
    if depth >= _DEEPEST_DRAWING:
        _drop(element, found, "A drawing inside a drawing inside the drawing was left out.")
        return
    try:
        inner = svg_tree.read_tree(svg_tree.unpack(data) if data.startswith(svg_tree.GZIP) else data)
    except ArtworkRefused as refusal:
        if refusal.slug == "drawing-too-involved":
            raise
        _drop(element, found, "A drawing inside the drawing is broken and was left out.")
        return
    inside = clean(inner, limits, depth + 1)
    found.missing |= inside.missing
    found.pictures |= inside.pictures
    element.set("href", _as_data("image/svg+xml", svg_tree.as_text(inner.root).encode()))


def _drop(element: Element, found: Cleaned, sentence: str) -> None:
    del element.attrib["href"]
    found.pictures.add(sentence)


def unpack_data(address: str) -> bytes | None:
    """The bytes of a `data:` address (RFC 2397); None when they cannot be had."""
    head, comma, body = address.partition(",")
    if not comma:
        return None
    if not head.rstrip().lower().endswith(";base64"):
        return urllib.parse.unquote_to_bytes(body)
    packed = "".join(urllib.parse.unquote(body).split()) if "%" in body else "".join(body.split())
    try:
        return base64.b64decode(packed + "=" * (-len(packed) % 4))
    except (binascii.Error, ValueError):
        return None


def _as_data(mime: str, data: bytes) -> str:
    return f"data:{mime};base64,{base64.b64encode(data).decode('ascii')}"
