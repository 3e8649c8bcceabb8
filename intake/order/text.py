"""From the bytes of an order file to plain JSON values: encodings, double keys, monstrous numbers, depths."""

from __future__ import annotations

import codecs
import json
import math
from dataclasses import dataclass
from typing import Any, NoReturn

from tickets.problems import OrderRefused

LARGEST_BYTES = 4_000_000
DEEPEST = 32
LONGEST_NUMBER = 40  # characters; more is no number of this trade, and Python refuses to read 5,000 digits
CUT_SHORT = "order-cut-short"
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16, whose little-endian mark this one begins with
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True, slots=True)
class _NoNumber:
    """Stands in the document where the file wrote a number that cannot be one; named with its place later."""

    written: str


class _Object(dict[str, Any]):
    """A JSON object that remembers which keys were written twice."""

    repeated: tuple[str, ...] = ()


def read_plain(data: bytes) -> dict[str, Any]:
    """The object in an order file, as plain values: RFC 8259, or with a byte order mark UTF-8, -16 or -32.

    Raises OrderRefused: `order-cut-short` when the file seems to end too early, `order-too-large`,
    `order-not-text`, `order-not-json`, `order-too-deep`, `order-not-object`, `order-duplicate-key`,
    `order-wrong-value`.
    """
    if len(data) > LARGEST_BYTES:
        _refuse(
            "order-too-large",
            f"The file has {len(data):,} bytes; an order file has at most {LARGEST_BYTES:,}.",
            "Split it into several orders.",
        )
    value = _parse(_decode(data))
    if not isinstance(value, dict):
        _refuse(
            "order-not-object",
            f"The file holds {_kind(value)}, not one JSON object.",
            "An order file begins with { and ends with }: one order a file.",
        )
    repeated: list[str] = []
    wrong: list[str] = []
    plain = _walk(value, "", repeated, wrong)
    if repeated or wrong:
        slug = "order-duplicate-key" if repeated else "order-wrong-value"
        raise OrderRefused(slug, repeated + wrong, "Mend what is named and drop the file again.")
    assert isinstance(plain, dict)
    return plain


def _decode(data: bytes) -> str:
    encoding = next((name for bom, name in _BOMS if data.startswith(bom)), "utf-8")
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        if "unexpected end" in error.reason or "truncated" in error.reason:
            _refuse(CUT_SHORT, "The file ends in the middle of a character.", "Copy it again.")
        _refuse(
            "order-not-text",
            f"The file is no UTF-8 text (byte {error.start + 1} cannot be read).",
            "Save it as UTF-8; UTF-16 is read too when it begins with a byte order mark.",
        )


def _parse(text: str) -> Any:
    if not text.strip():
        _refuse(CUT_SHORT, "The file holds nothing yet.", "Copy it again.")
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_whole,
            parse_float=_fraction,
            parse_constant=_NoNumber,
        )
    except RecursionError:
        _refuse(
            "order-too-deep", "The file nests brackets too deeply for an order.", "Drop a plain order file."
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        if _ends_too_early(text, error):
            _refuse(CUT_SHORT, f"The file ends too early, at {where}.", "Copy it again.")
        _refuse(
            "order-not-json",
            f"The file is not JSON: {_plainly(error.msg)} at {where}.",
            "Mend it there, or write it with a program that writes JSON.",
        )


def _ends_too_early(text: str, error: json.JSONDecodeError) -> bool:
    if not text.lstrip().startswith(("{", "[")):
        return False
    rest = text[error.pos :].strip()
    # What is left over may be the beginning of a word; a string without an end swallows the whole rest.
    return any(word.startswith(rest) for word in ("", "true", "false", "null", "-")) or (
        error.msg.startswith("Unterminated string") and "\n" not in rest
    )


def _plainly(message: str) -> str:
    return message[:1].lower() + message[1:].removesuffix(" at")


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    found = _Object(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        found.repeated = tuple(key for key in found if keys.count(key) > 1)
    return found


def _whole(text: str) -> int | _NoNumber:
    return int(text) if len(text) <= LONGEST_NUMBER else _NoNumber(text)


def _fraction(text: str) -> float | _NoNumber:
    value = float(text) if len(text) <= LONGEST_NUMBER else math.inf
    return value if math.isfinite(value) else _NoNumber(text)


def _walk(value: Any, path: str, repeated: list[str], wrong: list[str], depth: int = 0) -> Any:
    """A plain copy of `value`; what is wrong with it is added to the lists, with its JSON path."""
    if depth > DEEPEST:
        _refuse("order-too-deep", f"{path[:80]}… nests brackets too deeply.", "Drop a plain order file.")
    if isinstance(value, _NoNumber):
        wrong.append(f"{path}: {_number_shown(value.written)}.")
        return None
    if isinstance(value, str):
        if not _is_unicode(value):
            wrong.append(f"{path}: the text holds half a character (a lone surrogate).")
        return value
    if isinstance(value, list):
        return [_walk(v, f"{path}[{at}]", repeated, wrong, depth + 1) for at, v in enumerate(value)]
    if not isinstance(value, dict):
        return value
    for key in getattr(value, "repeated", ()):
        repeated.append(f"{path or 'the order'} has the key {_key_shown(key)} more than once.")
    plain = {}
    for key, inner in value.items():
        if not _is_unicode(key):
            wrong.append(f"{path or 'the order'}: the key {_key_shown(key)} holds half a character.")
            continue
        plain[key] = _walk(inner, f"{path}.{key}" if path else key, repeated, wrong, depth + 1)
    return plain


def _is_unicode(text: str) -> bool:
    return not any(0xD800 <= ord(c) <= 0xDFFF for c in text)


def _key_shown(key: str) -> str:
    return ascii(key) if not _is_unicode(key) else f'"{key[:60]}"'


def _number_shown(written: str) -> str:
    if len(written) > LONGEST_NUMBER:
        return f"a number of {len(written):,} characters is more than anybody can mean"
    return f"{written} is no number that can be used"


def _kind(value: Any) -> str:
    if isinstance(value, list):
        return "a list"
    return "a text" if isinstance(value, str) else f"only {str(value)[:40]}"


def _refuse(slug: str, says: str, do: str) -> NoReturn:
    raise OrderRefused(slug, [says], do)
