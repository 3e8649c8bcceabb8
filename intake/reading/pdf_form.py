"""A page of a PDF as a form that another PDF can place: its own lines, letters and images."""

from __future__ import annotations

import zlib
from collections import deque
from dataclasses import dataclass, field
from typing import Any, BinaryIO

import pikepdf

from intake.facts import Artwork
from intake.reading.pdf_sheet import Sheet
from intake.reading.pdf_values import inherited, plain_name
from tickets.paper.film.art import REFERENCE, ArtObject

_MOST_OBJECTS = 50_000
_DEEPEST = 60
_FLATE = 6
# What leads out of the page's content: to the document's tree, to other files, to what a viewer would do.
_LEFT_OUT = {
    *("/Parent", "/StructParent", "/StructParents", "/Metadata", "/PieceInfo", "/AA", "/A", "/OPI", "/Thumb"),
    *("/LastModified", "/Length", "/OC", "/Ref", "/Measure", "/PtData"),
}
# Dictionaries whose keys are names that somebody chose: everything in them stays.
_OF_NAMES = {
    *("/XObject", "/Font", "/ExtGState", "/ColorSpace", "/Pattern", "/Shading", "/Properties"),
    *("/CharProcs", "/Colorants"),
}
_OF_OTHER_FILES = {"/F", "/FFilter", "/FDecodeParms", "/DL"}  # in the dictionary of a stream
_PLAIN_NAME = frozenset(b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-.+*")


class NoForm(Exception):
    """The page cannot be taken over; the sentence says why."""


@dataclass
class _Taken:
    """Objects that are taken over: by the number that they have in the document, and those still to write."""

    first: int
    numbers: dict[tuple[int, int], int] = field(default_factory=dict)
    waiting: deque[Any] = field(default_factory=deque)

    def number_of(self, value: Any) -> int:
        """The number of an indirect object among the artwork's objects."""
        key = value.objgen
        if key not in self.numbers:
            if len(self.numbers) >= _MOST_OBJECTS:
                raise NoForm("it is too involved")
            self.numbers[key] = self.first + len(self.numbers)
            self.waiting.append(value)
        return self.numbers[key]


def why_no_form(document: pikepdf.Pdf, artwork: Artwork) -> str:
    """Why a page cannot be taken over as it is; "" when it can."""
    if artwork.extra.get("fonts_not_embedded"):
        return "it does not carry its fonts"
    if artwork.extra.get("is_form") or _has_notes(document.pages[artwork.page - 1]):
        return "it has notes or fields on it"
    if _may_hide_layers(document.Root):
        return "it has layers that may be switched off"
    return ""


def _has_notes(page: pikepdf.Page) -> bool:
    """Whether anything but links lies on the page."""
    notes = page.obj.get("/Annots")
    if not isinstance(notes, pikepdf.Array):
        return False
    kinds = {plain_name(n.get("/Subtype")) for n in notes if isinstance(n, pikepdf.Dictionary)}
    return bool(kinds - {"Link", "Popup"})


def _may_hide_layers(root: Any) -> bool:
    layers = root.get("/OCProperties")
    if not isinstance(layers, pikepdf.Dictionary):
        return False
    setting, groups = layers.get("/D"), layers.get("/OCGs")
    if isinstance(setting, pikepdf.Dictionary):
        off = setting.get("/OFF")
        if plain_name(setting.get("/BaseState")) == "OFF" or (isinstance(off, pikepdf.Array) and len(off)):
            return True
    each = list(groups) if isinstance(groups, pikepdf.Array) else []
    return any(isinstance(group, pikepdf.Dictionary) and group.get("/Usage") is not None for group in each)


def write_form(page: pikepdf.Page, sheet: Sheet, out: BinaryIO) -> tuple[ArtObject, ...]:
    """Write a page as objects, the first of which fills the unit square with it; packed bytes go to `out`.

    Raises NoForm, and what pikepdf raises on a broken document.
    """
    taken = _Taken(first=2)
    box = sheet.box
    corners = " ".join(f"{v:.8g}" for v in (box.x0, box.y0, box.x1, box.y1))
    group = page.obj.get("/Group")
    entries = f"/Type /XObject /Subtype /Form /BBox [{corners}] /Filter /FlateDecode"
    resources = inherited(page.obj, "/Resources")
    entries += f" /Resources {_text(resources, taken) if resources is not None else '<< >>'}"
    if isinstance(group, pikepdf.Dictionary):
        entries += f" /Group {_text(group, taken)}"
    placing = f"q {_to_unit_square(sheet)} cm /P Do Q".encode("ascii")
    outer = (
        "/Type /XObject /Subtype /Form /BBox [0 0 1 1] "
        f"/Resources << /XObject << /P {REFERENCE}1{REFERENCE} >> >>"
    )
    content = zlib.compress(_content(page), _FLATE)
    out.write(placing)
    out.write(content)
    objects = [ArtObject(outer, len(placing)), ArtObject(entries, len(content))]
    while taken.waiting:
        objects.append(_write_object(taken.waiting.popleft(), taken, out))
    return tuple(objects)


def _write_object(value: Any, taken: _Taken, out: BinaryIO) -> ArtObject:
    if not isinstance(value, pikepdf.Stream):
        return ArtObject(_text(value, taken, is_top=True), is_stream=False)
    raw = value.read_raw_bytes()
    out.write(raw)
    inner = {key: one for key, one in value.items() if key not in _OF_OTHER_FILES}
    return ArtObject(" ".join(_entries(inner, taken, 0)), len(raw))


def _content(page: pikepdf.Page) -> bytes:
    """The page's streams as one: each ends where a word does (ISO 32000-1 7.8.2)."""
    contents = page.obj.get("/Contents")
    if contents is None:
        return b""
    streams = list(contents) if isinstance(contents, pikepdf.Array) else [contents]
    return b"\n".join(one.read_bytes() for one in streams if isinstance(one, pikepdf.Stream))


def _to_unit_square(sheet: Sheet) -> str:
    """From user space to a square of one by one, y upwards."""
    m, wide, high = sheet.to_points, sheet.width_pt, sheet.height_pt
    values = (m.a / wide, -m.b / high, m.c / wide, -m.d / high, m.e / wide, 1 - m.f / high)
    return " ".join(f"{v:.12f}" for v in values)


def _text(value: Any, taken: _Taken, depth: int = 0, *, is_top: bool = False) -> str:
    """A value as PDF writes it: strings in hexadecimal, unusual characters of names as #xx."""
    if depth > _DEEPEST:
        raise NoForm("it is too involved")
    if not isinstance(value, pikepdf.Object):
        return _plain(value)
    if value.is_indirect and not is_top:
        return f"{REFERENCE}{taken.number_of(value)}{REFERENCE}"
    if isinstance(value, pikepdf.Name):
        return _name(str(value))
    if isinstance(value, pikepdf.String):
        return f"<{bytes(value).hex()}>"
    if isinstance(value, pikepdf.Array):
        return f"[{' '.join(_text(one, taken, depth + 1) for one in value)}]"
    if isinstance(value, pikepdf.Dictionary):
        inner = dict(value.items())
        return f"<< {' '.join(_entries(inner, taken, depth))} >>"
    raise NoForm("it holds something unusual")


def _entries(values: dict[str, Any], taken: _Taken, depth: int) -> list[str]:
    parts = []
    for key, value in values.items():
        if key in _OF_NAMES and isinstance(value, pikepdf.Dictionary):
            named = (f"{_name(name)} {_text(one, taken, depth + 1)}" for name, one in value.items())
            parts.append(f"{_name(key)} << {' '.join(named)} >>")
        elif key not in _LEFT_OUT:
            parts.append(f"{_name(key)} {_text(value, taken, depth + 1)}")
    return parts


def _plain(value: Any) -> str:
    """What pikepdf gives as a value of Python's own."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    return f"{value:f}"


def _name(name: str) -> str:
    body = name[1:].encode("utf-8", "surrogateescape")
    return "/" + "".join(chr(c) if c in _PLAIN_NAME else f"#{c:02x}" for c in body)
