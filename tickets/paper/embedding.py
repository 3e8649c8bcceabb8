"""Puts the used glyphs into the document: one subset a face and style, and what each glyph means."""

from __future__ import annotations

import hashlib
import string
from collections.abc import Iterator
from typing import Any

import uharfbuzz as hb
from reportlab.pdfbase import pdfdoc

from tickets.paper.fonts import Face, Style
from tickets.paper.shaping import Glyph, Run

_MOST_CODES = 0xFFFF  # two bytes a code
_SYMBOLIC = 4  # font descriptor flag (ISO 32000-1 table 123)
# Tables of a font that a viewer doesn't need: the glyphs are chosen and placed already.
_NOT_NEEDED = (b"GSUB", b"GPOS", b"GDEF", b"STAT", b"name", b"cmap", b"OS/2", b"post", b"DSIG")
_MOST_MAPPINGS = 100  # in one block of a ToUnicode map (Adobe Technical Note 5411)


class EmbeddedFont:
    """One face in one style in one document: a Type 0 font whose codes are glyph numbers where it can be.

    reportlab asks `addObjects` of every font when the document is finished.
    """

    def __init__(self, face: Face, style: Style, number: int) -> None:
        self.face = face
        self.style = style
        self.fontName = f"glyphs{number}"  # reportlab's own spelling
        self.internal_name = f"G{number}"
        self._codes: dict[tuple[int, str], int] = {}
        self._meanings: dict[int, tuple[int, str]] = {}  # code → glyph number, text

    def code_of(self, glyph: Glyph) -> int:
        """The code that shows a glyph: its number, or a spare one where that means another text."""
        key = (glyph.gid, glyph.text)
        if key not in self._codes:
            spare = self.face.hb_face.glyph_count + len(self._codes)
            has_spare = self.face.outlines == "glyf" and spare <= _MOST_CODES
            code = spare if glyph.gid in self._meanings and has_spare else glyph.gid
            self._meanings.setdefault(code, key)
            self._codes[key] = code
        return self._codes[key]

    def tells(self, run: Run) -> bool:
        """Whether the run's glyphs tell its text; marks of a line from right to left are drawn, not read."""
        codes = {self.code_of(glyph): glyph.text for glyph in run.glyphs}
        told = all(self._meanings[code][1] == text for code, text in codes.items())
        return told and (run.is_rtl or all(codes.values()))

    def addObjects(self, doc: Any) -> None:
        """Write the font into the document (reportlab's name for it)."""
        program = self._program()
        tag = _subset_tag(program)
        plain_name = self.face.hb_face.get_name(hb.OTNameIdPredefined.POSTSCRIPT_NAME) or "Face"
        ascii_name = "".join(c for c in plain_name if c.isascii() and (c.isalnum() or c == "-")) or "Face"
        name = f"{tag}+{ascii_name}{'-Heavy' * self.style.bold}{'-Narrow' * self.style.narrow}"
        descendant = self._descendant(doc, name, self._descriptor(doc, name, program))
        to_unicode = doc.Reference(_stream(self._to_unicode().encode("ascii")))
        font = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Font"),
                "Subtype": pdfdoc.PDFName("Type0"),
                "BaseFont": pdfdoc.PDFName(name),
                "Encoding": pdfdoc.PDFName("Identity-H"),
                "DescendantFonts": pdfdoc.PDFArray([descendant]),
                "ToUnicode": to_unicode,
            }
        )
        doc.idToObject["BasicFonts"].dict[self.internal_name] = doc.Reference(font)

    def _descendant(self, doc: Any, name: str, descriptor: Any) -> Any:
        is_truetype = self.face.outlines == "glyf"
        entries = {
            "Type": pdfdoc.PDFName("Font"),
            "Subtype": pdfdoc.PDFName("CIDFontType2" if is_truetype else "CIDFontType0"),
            "BaseFont": pdfdoc.PDFName(name),
            "CIDSystemInfo": pdfdoc.PDFDictionary(
                {
                    "Registry": pdfdoc.PDFString("Adobe"),
                    "Ordering": pdfdoc.PDFString("Identity"),
                    "Supplement": 0,
                }
            ),
            "FontDescriptor": descriptor,
            "DW": 1000,
            "W": pdfdoc.PDFArray([part for code in sorted(self._meanings) for part in self._width(code)]),
        }
        if is_truetype:
            entries["CIDToGIDMap"] = doc.Reference(_stream(self._glyphs_of_codes()))
        return doc.Reference(pdfdoc.PDFDictionary(entries))

    def _width(self, code: int) -> tuple[int, Any]:
        return code, pdfdoc.PDFArray([round(self.natural_width(self._meanings[code][0]) * 1000, 2)])

    def _glyphs_of_codes(self) -> bytes:
        """Which glyph each code shows, two bytes a code (ISO 32000-1 table 117)."""
        numbers = bytearray(2 * (max(self._meanings, default=0) + 1))
        for code, (gid, _) in self._meanings.items():
            numbers[2 * code : 2 * code + 2] = gid.to_bytes(2, "big")
        return bytes(numbers)

    def natural_width(self, gid: int) -> float:
        """How far a glyph moves the pen by itself, in ems."""
        advance: int = self.face.font(self.style).get_glyph_h_advance(gid)
        return advance / float(self.face.hb_face.upem)

    def _descriptor(self, doc: Any, name: str, program: bytes) -> Any:
        font, em = self.face.font(self.style), self.face.hb_face.upem
        extents = font.get_font_extents("ltr")
        ascent, descent = (round(v * 1000 / em) for v in (extents.ascender, extents.descender))
        stream = _stream(program)
        if self.face.outlines == "glyf":
            stream.dictionary["Length1"] = len(program)
        else:
            stream.dictionary["Subtype"] = pdfdoc.PDFName("CIDFontType0C")
        entries = {
            "Type": pdfdoc.PDFName("FontDescriptor"),
            "FontName": pdfdoc.PDFName(name),
            "Flags": _SYMBOLIC,
            "FontBBox": pdfdoc.PDFArray([-1000, descent, 2000, ascent]),
            "ItalicAngle": 0,
            "Ascent": ascent,
            "Descent": descent,
            "CapHeight": 714,
            "StemV": 140 if self.style.bold else 80,
            "FontFile2" if self.face.outlines == "glyf" else "FontFile3": doc.Reference(stream),
        }
        return doc.Reference(pdfdoc.PDFDictionary(entries))

    def _program(self) -> bytes:
        """The font program with the used glyphs alone, fixed at the style, glyph numbers kept."""
        face = self.face.hb_face
        asked = hb.SubsetInput()
        asked.glyph_set.update(gid for gid, _ in self._meanings.values())
        asked.flags = hb.SubsetFlags.RETAIN_GIDS | hb.SubsetFlags.NO_LAYOUT_CLOSURE
        if self.face.outlines != "glyf":
            asked.flags |= hb.SubsetFlags.CFF_IDENTITY_CHARSET | hb.SubsetFlags.DOWNGRADE_CFF2
        asked.drop_table_tag_set.update(int.from_bytes(tag, "big") for tag in _NOT_NEEDED)
        for tag, at in self.face.axes(self.style).items():
            asked.pin_axis_location(face, tag, at)
        for tag in {axis.tag for axis in face.axis_infos} - set(self.face.axes(self.style)):
            asked.pin_axis_to_default(face, tag)
        subset = hb.subset(face, asked)
        blob = subset.blob if self.face.outlines == "glyf" else subset.reference_table("CFF ")
        return bytes(blob.data)

    def _to_unicode(self) -> str:
        """What each glyph means, for searching and copying (ISO 32000-1 9.10.3)."""
        lines = [
            f"<{code:04X}> <{text.encode('utf-16-be', 'replace').hex().upper()}>"
            for code, (_, text) in sorted(self._meanings.items())
            if text
        ]
        return "\n".join(
            [
                "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
                "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
                "/CMapName /Adobe-Identity-UCS def /CMapType 2 def",
                "1 begincodespacerange <0000> <FFFF> endcodespacerange",
                *_blocks(lines),
                "endcmap CMapName currentdict /CMap defineresource pop end end",
            ]
        )


def _blocks(lines: list[str]) -> Iterator[str]:
    for first in range(0, len(lines), _MOST_MAPPINGS):
        block = lines[first : first + _MOST_MAPPINGS]
        yield "\n".join([f"{len(block)} beginbfchar", *block, "endbfchar"])


def _stream(content: bytes) -> Any:
    stream = pdfdoc.PDFStream(content=content)
    stream.filters = [pdfdoc.PDFZCompress]
    return stream


def _subset_tag(program: bytes) -> str:
    """Six capitals before the name of a subset, the same for the same subset (ISO 32000-1 9.6.4)."""
    digest = hashlib.sha256(program).digest()
    return "".join(string.ascii_uppercase[byte % 26] for byte in digest[:6])
