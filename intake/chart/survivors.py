"""What survived of the test print, and the limits that it gives, laid into the text of a `limits.toml`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from intake.chart import wording
from tickets.problems import BadInput

# What the form asks for → the limit that it sets.
LIMIT_OF = {"line_mm": "line.query_mm", "gap_mm": "gap.query_mm", "dot_mm": "island.query_mm"}
LARGEST_MM = 10.0  # a limit beyond this is a typing slip, not a test
_HEADER = re.compile(r"\s*\[\s*([A-Za-z0-9_.\- ]+?)\s*\]\s*(#.*)?$")


def limits_of(form: Mapping[str, Any]) -> dict[str, float]:
    """The limits that a filled form gives, by their key.

    Each of line_mm, gap_mm and dot_mm is a length, nothing, or a length for each step: then the largest
    counts, for a size must survive them all. Raises BadInput `form-not-usable`.
    """
    unknown = [key for key in form if key not in LIMIT_OF and not key.startswith("x-")]
    if unknown:
        says = f"The form has {unknown[0]!r}, which is none of {', '.join(LIMIT_OF)}."
        raise BadInput("form-not-usable", says, "Take it out, or begin its name with x-.")
    found = {}
    for key, limit in LIMIT_OF.items():
        held = form.get(key)
        lengths = list(held.values()) if isinstance(held, Mapping) else [held]
        given = [_length(key, value) for value in lengths if value is not None]
        if given:
            found[limit] = max(given)
    if not found:
        raise BadInput("form-not-usable", *wording.no_survivors(list(LIMIT_OF)))
    return found


def _length(key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= LARGEST_MM:
        says = f"{key} is {value!r}: it must be a length over 0 and at most {LARGEST_MM:g} mm."
        raise BadInput("form-not-usable", says, "Write it as a number, such as 0.25.")
    return float(value)


def with_limits(text: str, limits: Mapping[str, float], remark: str, path: str = "limits.toml") -> str:
    """The text of a limits file with these limits and the remark beside each; all else stays as written.

    Raises BadInput `limits-not-edited` when the file is written in a way that cannot be kept (an inline
    table, say), or is no TOML.
    """
    wanted = _parsed(text, path)
    for key, value in limits.items():
        table, name = key.split(".")
        wanted.setdefault(table, {})[name] = value
    out = text
    for key, value in limits.items():
        table, name = key.split(".")
        out = _with_one(out, table, name, f"{value:g}  # {remark}")
    try:
        is_right = tomllib.loads(out) == wanted
    except tomllib.TOMLDecodeError:
        is_right = False
    if not is_right:
        lines = [f"{key} = {value:g}" for key, value in limits.items()]
        raise BadInput("limits-not-edited", *wording.not_edited(path, lines))
    return out


def _parsed(text: str, path: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        says = f"{path} cannot be read as TOML: {error}."
        raise BadInput("limits-not-edited", says, "Mend it or move it away, then run this again.") from error


def _with_one(text: str, table: str, name: str, value: str) -> str:
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.split(end)
    at = _line_of(lines, table, name)
    line = f"{name} = {value}"
    if at is not None:
        before = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
        is_dotted = lines[at].lstrip().startswith(table)
        lines[at] = f"{before}{table}.{line}" if is_dotted else f"{before}{line}"
        return end.join(lines)
    header = next((n for n, said in enumerate(lines) if _table_of(said) == table), None)
    if header is not None:
        lines.insert(header + 1, line)
        return end.join(lines)
    body = text if not text or text.endswith(end) else text + end
    gap = end if body.strip() else ""
    return f"{body}{gap}[{table}]{end}{line}{end}"


def _line_of(lines: list[str], table: str, name: str) -> int | None:
    """The line that sets a key, under its table or as a dotted key before any."""
    current = ""
    for number, said in enumerate(lines):
        header = _table_of(said)
        if header is not None:
            current = header
        own = rf"\s*{name}\s*=" if current == table else rf"\s*{table}\s*\.\s*{name}\s*="
        if current in (table, "") and re.match(own, said):
            return number
    return None


def _table_of(line: str) -> str | None:
    found = _HEADER.match(line)
    return found.group(1).replace(" ", "") if found else None
