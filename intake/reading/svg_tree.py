"""The elements of an SVG file, by a parser that fetches nothing, expands within bounds and runs nothing."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element, TreeBuilder, tostring
from xml.parsers import expat

from intake.reading import refusals
from tickets.problems import ArtworkRefused

SVG_SPACE = "http://www.w3.org/2000/svg"
_XLINK_HREF = "http://www.w3.org/1999/xlink}href"
_XML_SPACE = "http://www.w3.org/XML/1998/namespace}"
GZIP = b"\x1f\x8b"
MOST_BYTES = 64 << 20
MOST_ELEMENTS = 300_000
DEEPEST = 150  # drawing programs stay under 50
_STEP = 1 << 20
_BUFFER = 1 << 16
# Elements that other programs show something for, and that are left out here, in words.
_LEFT_OUT = {
    "foreignObject": "a web page inside the drawing",
    "script": "a script",
    "iframe": "a web page inside the drawing",
    "video": "a film",
    "audio": "a sound",
    "canvas": "a script's picture",
    "animate": "movement",
    "animateTransform": "movement",
    "animateMotion": "movement",
    "animateColor": "movement",
    "set": "movement",
}


@dataclass(slots=True)
class SvgTree:
    """A drawing: its root without namespaces, and what was left out while reading, in words."""

    root: Element
    left_out: set[str] = field(default_factory=set)
    entities: set[str] = field(default_factory=set)  # outside files that an entity wanted to bring in


def too_involved(reason: str) -> ArtworkRefused:
    """The refusal of a drawing that would grow beyond all bounds when it is drawn."""
    return ArtworkRefused(
        "drawing-too-involved",
        f"The drawing is too involved to be drawn here: {reason}.",
        "Please simplify it or flatten it to paths, or send a PNG with transparency at print size.",
    )


def read_bytes(path: Path) -> bytes:
    """The bytes of an SVG, unpacked when gzip-compressed. Raises ArtworkRefused, OSError."""
    with path.open("rb") as stream:
        data = stream.read(MOST_BYTES + 1)
    if data.startswith(GZIP):
        data = unpack(data)
    if len(data) > MOST_BYTES:
        raise too_involved(f"it has more than {MOST_BYTES >> 20} MB")
    return data


def unpack(packed: bytes) -> bytes:
    """What a gzip stream holds, at most a little more than MOST_BYTES of it. Raises ArtworkRefused."""
    unpacker = zlib.decompressobj(31)
    try:
        data = unpacker.decompress(packed, MOST_BYTES + 1)
    except zlib.error as error:
        raise refusals.damaged("SVGZ") from error
    if len(data) <= MOST_BYTES and not unpacker.eof:
        raise refusals.cut_short("the compressed drawing stops before its end.")
    return data


def read_tree(data: bytes) -> SvgTree:
    """The elements of an SVG file. Raises ArtworkRefused when it is no SVG, broken, or a bomb."""
    reading = _Reading()
    try:
        for at in range(0, len(data), _STEP):
            reading.parser.Parse(data[at : at + _STEP], False)
        reading.parser.Parse(b"", True)
    except expat.ExpatError as error:
        if error.code == _AMPLIFIED:
            raise too_involved("its entities grow without end") from error
        raise refusals.damaged("SVG") from error
    except (ValueError, LookupError) as error:  # an encoding that Python does not know
        raise refusals.damaged("SVG") from error
    return SvgTree(reading.builder.close(), reading.left_out, reading.entities)


_AMPLIFIED = 43  # XML_ERROR_AMPLIFICATION_LIMIT_BREACH of expat 2.4 and later


class _Reading:
    """Builds elements from the parser's events; what is not SVG is stepped over."""

    def __init__(self) -> None:
        self.builder = TreeBuilder()
        self.left_out: set[str] = set()
        self.entities: set[str] = set()
        self._depth = 0
        self._elements = 0
        self._skipping = 0
        self.parser = expat.ParserCreate(namespace_separator="}")
        self.parser.buffer_text = True
        self.parser.buffer_size = _BUFFER
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.ExternalEntityRefHandler = self._outside
        self.parser.SkippedEntityHandler = self._unknown

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._elements += 1
        if self._depth > DEEPEST:
            raise too_involved(f"its groups are nested more than {DEEPEST} deep")
        if self._elements > MOST_ELEMENTS:
            raise too_involved(f"it has more than {MOST_ELEMENTS:,} elements")
        space, _, local = name.rpartition("}")
        if self._depth == 1 and (local != "svg" or space not in ("", SVG_SPACE)):
            raise refusals.damaged("SVG")
        if not self._skipping and local in _LEFT_OUT:
            self.left_out.add(_LEFT_OUT[local])
        if self._skipping or space not in ("", SVG_SPACE) or local in _LEFT_OUT:
            self._skipping += 1
            return
        self.builder.start(local, dict(self._kept(attributes)))

    def _kept(self, attributes: dict[str, str]) -> Iterator[tuple[str, str]]:
        """Plain attributes, and links under their short name; what would run is left out."""
        if _XLINK_HREF in attributes and "href" not in attributes:
            yield "href", attributes[_XLINK_HREF]
        for name, value in attributes.items():
            if name.startswith("on"):
                self.left_out.add("a script")
            elif name.startswith(_XML_SPACE):
                yield f"{{{_XML_SPACE[:-1]}}}{name[len(_XML_SPACE) :]}", value
            elif "}" not in name:
                yield name, value

    def _end(self, _name: str) -> None:
        self._depth -= 1
        if self._skipping:
            self._skipping -= 1
        else:
            self.builder.end(_name.rpartition("}")[2])

    def _text(self, text: str) -> None:
        if not self._skipping:
            self.builder.data(text)

    def _outside(self, _context: str, _base: str | None, system: str | None, public: str | None) -> int:
        self.entities.add(system or public or "?")
        return 1

    def _unknown(self, name: str, _is_parameter: bool) -> None:
        self.entities.add(f"&{name};")


def as_text(root: Element) -> str:
    """The drawing as text again, for a renderer: nothing but SVG, no document type, no entities."""
    root.set("xmlns", SVG_SPACE)
    try:
        return tostring(root, encoding="unicode")
    finally:
        del root.attrib["xmlns"]
