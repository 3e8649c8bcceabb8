"""Makes a font of one letter, a square, with PostScript outlines: no font file need be kept for the tests.

The tables are those of the OpenType specification, the outlines a CFF font (Adobe Technical Note 5176).
"""

from __future__ import annotations

import struct

EM = 1000
FAMILY = "Invented Test Face"


def make_font(letter: str, *, by_character_number: bool = False, fs_type: int = 0) -> bytes:
    """An OpenType font whose one letter is a solid square of half an em; `by_character_number`: CID-keyed."""
    tables = {
        b"CFF ": _cff(by_character_number),
        b"OS/2": _os2(fs_type),
        b"cmap": _cmap(letter),
        b"head": struct.pack(
            ">IIIIHHQQhhhhHHhhh",
            *(0x00010000, 0x00010000, 0, 0x5F0F3CF5, 3, EM, 0, 0, 0, 0, 600, 500, 0, 8, 2, 0, 0),
        ),
        b"hhea": struct.pack(">IhhhHhhhhhhhhhhhH", 0x00010000, 800, -200, 0, 600, *(0,) * 11, 2),
        b"hmtx": struct.pack(">HhHh", 600, 0, 600, 50),
        b"maxp": struct.pack(">IH", 0x00005000, 2),
        b"name": _name(),
        b"post": struct.pack(">IIhhIIIII", 0x00030000, *(0,) * 8),
    }
    head = struct.pack(">4sHHHH", b"OTTO", len(tables), 128, 3, len(tables) * 16 - 128)
    directory, body = b"", b""
    at = len(head) + 16 * len(tables)
    for tag, content in sorted(tables.items()):
        directory += struct.pack(">4sIII", tag, 0, at + len(body), len(content))
        body += content + b"\0" * (-len(content) % 4)
    return head + directory + body


def _os2(fs_type: int) -> bytes:
    return struct.pack(">HhHHH", 4, 600, 400, 5, fs_type) + b"\0" * 86


def _cmap(letter: str) -> bytes:
    code = ord(letter)
    groups = struct.pack(">HHIIIIII", 12, 0, 28, 0, 1, code, code, 1)
    return struct.pack(">HHHHI", 0, 1, 3, 10, 12) + groups


def _name() -> bytes:
    entries = [(1, FAMILY), (6, "InventedTestFace")]
    records, strings = b"", b""
    for number, text in entries:
        encoded = text.encode("utf-16-be")
        records += struct.pack(">HHHHHH", 3, 1, 0x409, number, len(encoded), len(strings))
        strings += encoded
    return struct.pack(">HHH", 0, len(entries), 6 + len(records)) + records + strings


def _index(*items: bytes) -> bytes:
    if not items:
        return b"\0\0"
    offsets = [1]
    for item in items:
        offsets.append(offsets[-1] + len(item))
    return (
        struct.pack(">HB", len(items), 2) + b"".join(struct.pack(">H", o) for o in offsets) + b"".join(items)
    )


def _number(value: int) -> bytes:
    """A number of a dictionary, always five bytes, so that offsets don't move when they are filled in."""
    return struct.pack(">Bi", 29, value)


def _charstring_number(value: int) -> bytes:
    return struct.pack(">Bh", 28, value)


def _cff(by_character_number: bool) -> bytes:
    width = _charstring_number(600)
    square = [width, *map(_charstring_number, (50, 0)), b"\x15"]  # 50 0 rmoveto, the width before it
    for x, y in ((500, 0), (0, 500), (-500, 0)):
        square += [_charstring_number(x), _charstring_number(y), b"\x05"]  # rlineto
    charstrings = _index(width + b"\x0e", b"".join(square) + b"\x0e")
    private = b""
    header = b"\x01\x00\x04\x02" + _index(b"InventedTestFace")
    strings = _index(b"Adobe", b"Identity") if by_character_number else _index(b"square")
    rest = strings + _index()
    charset = b"\0" + struct.pack(">H", 4321 if by_character_number else 391)
    select = b"\0\0\0"  # format 0: both glyphs are in the first font of the family
    start = len(header) + len(_index(_top(by_character_number, (0,) * 4))) + len(rest)
    at_charset, at_charstrings = start, start + len(charset)
    at_select = at_charstrings + len(charstrings)
    at_fonts = at_select + len(select)
    font = _number(0) + _number(0) + b"\x12"  # an empty private dictionary
    fonts = _index(font)
    top = _index(_top(by_character_number, (at_charset, at_charstrings, at_select, at_fonts)))
    body = header + top + rest + charset + charstrings
    return body + (select + fonts + private if by_character_number else private)


def _top(by_character_number: bool, offsets: tuple[int, ...]) -> bytes:
    charset, charstrings, select, fonts = offsets
    ends = _number(charset) + b"\x0f" + _number(charstrings) + b"\x11"
    if not by_character_number:
        return ends + _number(0) + _number(0) + b"\x12"
    order = _number(391) + _number(392) + _number(0) + b"\x0c\x1e"  # ROS comes first
    count = _number(5000) + b"\x0c\x22"
    return order + count + ends + _number(fonts) + b"\x0c\x24" + _number(select) + b"\x0c\x25"
