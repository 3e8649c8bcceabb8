"""A PDF content stream as operations: operator and operands, tolerant of damage, never endless."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

_WHITE = rb"\x00\t\n\f\r "
_WHITE_BYTES = b"\x00\t\n\f\r "
_DELIMIT = rb"\x00\t\n\f\r \[\]<>()/%{}"
_TOKEN = re.compile(
    rb"(?:[" + _WHITE + rb"]+|%[^\r\n]*)*"
    rb"(?:(?P<number>[+-]?(?:\d+\.?\d*|\.\d+)(?=[" + _DELIMIT + rb"]|\Z))"
    rb"|(?P<name>/[^" + _DELIMIT + rb"]*)"
    rb"|(?P<word>[^" + _DELIMIT + rb"]+)"
    rb"|(?P<text>\()"
    rb"|(?P<opendict><<)|(?P<closedict>>>)"
    rb"|(?P<hex><[^>]*>?)"
    rb"|(?P<open>\[)|(?P<close>\])"
    rb"|(?P<junk>.))",
    re.DOTALL,
)
_HEX_NAME = re.compile(rb"#([0-9A-Fa-f]{2})")
_LOOSE_NUMBER = re.compile(rb"[+-]*(\d+\.?\d*|\.\d+)")
_STRING_MARK = re.compile(rb"\\.|[()]", re.DOTALL)
_ESCAPE = re.compile(rb"\\(?:([0-7]{1,3})|\r\n|(.))", re.DOTALL)
_END_OF_IMAGE = re.compile(rb"[" + _WHITE + rb"]EI(?=[" + _WHITE + rb"]|\Z)")
_MOST_OPERANDS = 2000
_DEEPEST = 60
_WORDS: dict[bytes, object] = {b"true": True, b"false": False, b"null": None}
_ESCAPED = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\n": b"", b"\r": b""}


class Name(str):
    """A PDF name, without its slash."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class InlineImage:
    """An image between BI and EI: its keys as written, and the length of its data in bytes."""

    keys: dict[str, object] = field(default_factory=dict)
    length: int = 0

    def get(self, short: str, long: str) -> object:
        """The value under the short or the long key (ISO 32000-1 Table 93)."""
        return self.keys.get(short, self.keys.get(long))


def operations(content: bytes) -> Iterator[tuple[str, list[object]]]:
    """Yield (operator, operands) in order; an inline image comes as ("BI", [InlineImage]).

    Numbers come as float, names as Name, strings as bytes, arrays as list, dictionaries as dict. Damage is
    stepped over as viewers do: what cannot be read is dropped, the stream goes on behind it.
    """
    at, end = 0, len(content)
    operands: list[object] = []
    match = _TOKEN.match
    while at < end:
        token = match(content, at)
        if token is None:
            return
        kind, at = token.lastgroup, token.end()
        if kind == "number":
            operands.append(float(token["number"]))
        elif kind == "word" and (value := _word_value(token["word"])) is _NOT_A_VALUE:
            operator = token["word"].decode("latin-1")
            if operator == "BI":
                image, at = _inline_image(content, at)
                operands = [image]
            yield operator, operands
            operands = []
        elif kind == "word":
            operands.append(value)
        elif kind not in ("junk", "close", "closedict"):
            value, at = _value(content, token, 0)
            operands.append(value)
        if len(operands) > _MOST_OPERANDS:
            del operands[:-_MOST_OPERANDS]


_NOT_A_VALUE = object()


def _word_value(word: bytes) -> object:
    if word in _WORDS:
        return _WORDS[word]
    if word[:1] in b"+-.0123456789" and (loose := _LOOSE_NUMBER.match(word)):
        # "--5", "1.2.3", "0.5-3": what begins like a number is read as far as it is one
        sign = -1.0 if word.startswith(b"-") else 1.0
        return sign * float(loose[1])
    return _NOT_A_VALUE


def _value(content: bytes, token: re.Match[bytes], depth: int) -> tuple[object, int]:
    """The value that begins with `token`, and where it ends."""
    kind, at = token.lastgroup, token.end()
    if kind == "number":
        return float(token["number"]), at
    if kind == "name":
        return _name(token["name"]), at
    if kind == "hex":
        return _hex(token["hex"]), at
    if kind == "text":
        return _string(content, at)
    if kind == "word":
        value = _word_value(token["word"])
        return (Name(token["word"].decode("latin-1")) if value is _NOT_A_VALUE else value), at
    if kind in ("open", "opendict") and depth < _DEEPEST:
        items, at = _items(content, at, "close" if kind == "open" else "closedict", depth + 1)
        return (items, at) if kind == "open" else (_dictionary(items), at)
    return None, at


def _items(content: bytes, at: int, closing: str, depth: int) -> tuple[list[object], int]:
    items: list[object] = []
    while (token := _TOKEN.match(content, at)) is not None:
        at = token.end()
        if token.lastgroup == closing:
            break
        if token.lastgroup not in ("junk", "close", "closedict"):
            value, at = _value(content, token, depth)
            items.append(value)
    return items, at


def _dictionary(items: list[object]) -> dict[str, object]:
    pairs = zip(items[::2], items[1::2], strict=False)
    return {str(key): value for key, value in pairs if isinstance(key, Name)}


def _name(raw: bytes) -> Name:
    plain = _HEX_NAME.sub(lambda m: bytes([int(m[1], 16)]), raw[1:]) if b"#" in raw else raw[1:]
    return Name(plain.decode("utf-8", "replace"))


def _hex(raw: bytes) -> bytes:
    digits = bytes(c for c in raw if c in b"0123456789abcdefABCDEF")
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())


def _string(content: bytes, at: int) -> tuple[bytes, int]:
    depth, start = 1, at
    for mark in _STRING_MARK.finditer(content, at):
        depth += {b"(": 1, b")": -1}.get(mark[0], 0)
        if depth == 0:
            return _unescape(content[start : mark.start()]), mark.end()
    return _unescape(content[start:]), len(content)


def _unescape(raw: bytes) -> bytes:
    if b"\\" not in raw:
        return raw

    def plain(mark: re.Match[bytes]) -> bytes:
        if mark[1]:
            return bytes([int(mark[1], 8) & 255])
        return _ESCAPED.get(mark[2], mark[2]) if mark[2] else b""

    return _ESCAPE.sub(plain, raw)


def _inline_image(content: bytes, at: int) -> tuple[InlineImage, int]:
    items: list[object] = []
    while (token := _TOKEN.match(content, at)) is not None:
        at = token.end()
        if token.lastgroup == "word" and token["word"] == b"ID":
            break
        value, at = _value(content, token, 0)
        items.append(value)
    else:
        return InlineImage(_dictionary(items)), len(content)
    image = InlineImage(_dictionary(items))
    start = at + 1  # one white-space character after ID belongs to neither (ISO 32000-1 8.9.7)
    end = _end_of_data(content, start, _plain_length(image))
    found = _END_OF_IMAGE.match(content, end) or _END_OF_IMAGE.search(content, end)
    after = found.end() if found else len(content)
    return InlineImage(image.keys, max(0, (found.start() if found else after) - start)), after


def _plain_length(image: InlineImage) -> int | None:
    """The bytes of an uncompressed image, so that 'EI' among its pixels cannot end it; None when unknown."""
    if image.get("F", "Filter"):
        return None
    wide, high, bits = image.get("W", "Width"), image.get("H", "Height"), image.get("BPC", "BitsPerComponent")
    space = image.get("CS", "ColorSpace")
    if image.get("IM", "ImageMask") is True:
        parts, bits = 1, 1.0
    else:
        known = {
            "G": 1,
            "DeviceGray": 1,
            "RGB": 3,
            "DeviceRGB": 3,
            "CMYK": 4,
            "DeviceCMYK": 4,
            "I": 1,
            "Indexed": 1,
        }
        name = space[0] if isinstance(space, list) and space else space
        parts = known.get(str(name), 0)
    if not (parts and isinstance(wide, float) and isinstance(high, float) and isinstance(bits, float)):
        return None
    return int((wide * parts * bits + 7) // 8 * high)


def _end_of_data(content: bytes, start: int, length: int | None) -> int:
    """Where to look for EI: behind the known length if it stands there, else from the start of the data."""
    if length is None:
        return max(start - 1, 0)
    behind = content[start + length : start + length + 6]
    if behind.startswith(b"EI"):  # without the white space that belongs before it
        return start + length - 1 if content[start + length - 1 : start + length].isspace() else start
    return start + length if behind.strip(_WHITE_BYTES).startswith(b"EI") else max(start - 1, 0)
