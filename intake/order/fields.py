"""What may stand in each field of an order: one rule for the reader and, as a pattern, the JSON Schema."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from intake.inbox.ignoring import TEMPORARY_BEGINNINGS, TEMPORARY_ENDINGS, is_temporary

LEAST_MM, MOST_MM = 1.0, 5000.0
MOST_PIECES = 100_000
MOST_PAGES = 1000

# Controls, line separators and the bidi overrides that make a line read as another one. Joiners are left
# alone: names in Persian and Indic scripts need them.
_HIDDEN = r"\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069"
_UNSEEN = _HIDDEN + r"\u00ad\u200b-\u200f\ufeff"
_LINE = rf"^[^{_HIDDEN}]*$"
_NAME = rf"^[^{_HIDDEN}]*[^\s{_HIDDEN}][^{_HIDDEN}]*$"
_NUMBER = rf"^[^\s{_UNSEEN}]([^{_UNSEEN}]*[^\s{_UNSEEN}])?$"
_COLOUR = r"^(#[0-9a-fA-F]{6})?$"
_EMAIL = rf"^([^@\s{_HIDDEN}]+@[^@\s{_HIDDEN}]+)?$"
_DAY = r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
_CLOCK = r"([01][0-9]|2[0-3]):[0-5][0-9]:([0-5][0-9]|60)(\.[0-9]+)?([Zz]|[+-]([01][0-9]|2[0-3]):[0-5][0-9])"
_DUE = rf"^({_DAY}([Tt]{_CLOCK})?)?$"
_PAGES = r"^([0-9]{1,4}(-[0-9]{1,4})?(,[0-9]{1,4}(-[0-9]{1,4})?)*)?$"


def _any_case(text: str) -> str:
    # Not re.escape: the patterns stand in the JSON Schema too, where only signs with a meaning may be
    # escaped.
    return "".join(f"[{c}{c.upper()}]" if c.isalpha() else f"\\{c}" if c in ".$" else c for c in text)


_FILE_NAME = (
    r"^(?!\.)(?![A-Za-z]:)(?!\s*$)"
    + "".join(rf"(?!{_any_case(b)})" for b in TEMPORARY_BEGINNINGS)
    + rf"(?!.*({'|'.join(_any_case(e) for e in TEMPORARY_ENDINGS)})$)"
    + r"[^/\\\u0000-\u001f\u007f]+$"
)


def _as_it_is(text: str) -> str:
    return text


@dataclass(frozen=True)
class Text:
    """A text field: its length in characters, its pattern with a sentence, and a further check."""

    at_most: int
    pattern: str = _LINE
    sentence: str = "must be one line without control characters"
    at_least: int = 0
    check: Callable[[str], str] = field(default=_as_it_is)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic reads the field: nothing but a string will do."""
        return core_schema.no_info_after_validator_function(self._fits, core_schema.str_schema(strict=True))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """How the JSON Schema tells the same."""
        rule: dict[str, Any] = {"type": "string", "maxLength": self.at_most, "pattern": self.pattern}
        return {**rule, "minLength": self.at_least} if self.at_least else rule

    def _fits(self, text: str) -> str:
        text = self.check(text)
        if len(text) > self.at_most:
            wrong(f"has {len(text):,} characters; at most {self.at_most:,} are allowed")
        if len(text) < self.at_least:
            wrong("must not be empty")
        if not re.search(self.pattern.removesuffix("$") + r"\Z", text):
            wrong(f"{self.sentence}, not {shown(text)}")
        return unicodedata.normalize("NFC", text)


def wrong(sentence: str, slug: str = "order-wrong-value") -> None:
    """Refuse the field that is being read."""
    raise PydanticCustomError(slug, "{says}", {"says": sentence})


def shown(value: Any) -> str:
    """A value as the order file writes it, cut where it is long."""
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}…"


def _stays_inside(name: str) -> str:
    """An artwork is a file in the order's own folder, never a path out of it (hot-folder notes, row 47)."""
    if any(c in name for c in "/\\") or name in (".", "..") or re.match(r"[A-Za-z]:", name):
        wrong(
            f"{shown(name)} is a path; name only the file, which lies beside the order file or in the zip "
            "with it",
            "artwork-leads-out",
        )
    if re.search(r"[\u0000-\u001f\u007f]", name):
        wrong(f"{shown(name)} holds control characters, which no file's name has", "artwork-leads-out")
    if name.startswith(".") or is_temporary(name):
        wrong(
            f"{shown(name)} is the name of a hidden or unfinished file, which is never taken in; "
            "give the artwork another name",
            "artwork-temporary-name",
        )
    return name


def parse_due(text: str) -> date | datetime:
    """A plain day, or an RFC 3339 time with its offset (a leap second counts as the second before it).

    Raises ValueError for anything else, days that no calendar has (2026-02-29) among it.
    """
    if not re.fullmatch(_DUE.strip("^$"), text) or not text:
        raise ValueError("no day and no time")
    if len(text) == len("2026-12-04"):
        return date.fromisoformat(text)
    # Python reads at most six digits of a second's fraction before 3.13; a due time has no use for any.
    whole = re.sub(r"\.[0-9]+", "", text.upper()).replace(":60", ":59", 1) if ":60" in text else text.upper()
    return datetime.fromisoformat(re.sub(r"\.[0-9]+", "", whole)).astimezone(UTC)


def _is_a_day(text: str) -> str:
    try:
        if text:
            parse_due(text)
    except (ValueError, OverflowError):
        wrong(
            f"{shown(text)} is no day or time; write a day such as 2026-12-04, or a time with its offset "
            "such as 2026-12-04T15:00:00Z"
        )
    return text


def expand_pages(text: str) -> tuple[int, ...]:
    """The pages that "1-4" or "1,3" name, in that order. Raises ValueError with what is wrong."""
    pages: list[int] = []
    for part in text.split(",") if text else []:
        first, _, last = part.partition("-")
        start, end = int(first), int(last or first)
        if start < 1 or end < start:
            raise ValueError("counts from 1 upwards")
        if end - start >= MOST_PAGES or len(pages) >= MOST_PAGES:
            raise ValueError(f"names more than {MOST_PAGES:,} pages")
        pages.extend(range(start, end + 1))
    if len(set(pages)) < len(pages):
        raise ValueError("names a page twice")
    return tuple(pages)


def _are_pages(text: str) -> str:
    if re.fullmatch(_PAGES.strip("^$"), text):
        try:
            expand_pages(text)
        except ValueError as error:
            wrong(f"{shown(text)} {error}; write pages such as “1-4” or “1,3”")
    return text


def _whole_number(value: Any) -> Any:
    # JSON knows no difference between 40 and 40.0, and neither does JSON Schema.
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _not_null(value: Any) -> Any:
    if value is None:
        wrong("must not be null; leave the key out instead")
    return value


NotNull = BeforeValidator(_not_null)  # for keys that may be left out: None inside, never in a file
Line40 = Annotated[str, Text(40, at_least=1)]
Line64 = Annotated[str, Text(64)]
Line100 = Annotated[str, Text(100)]
Line200 = Annotated[str, Text(200)]
Note = Annotated[
    str, Text(2000, r"^[^\u0000-\u0008\u000b\u000c\u000e-\u001f]*$", "must hold no control characters")
]
PersonName = Annotated[str, Text(200, _NAME, "must be a name on one line", 1)]
AddressLine = Annotated[str, Text(100, _NAME, "must be a line of an address", 1)]
Email = Annotated[str, Text(254, _EMAIL, "must be an e-mail address")]
Phone = Annotated[str, Text(60)]
Colour = Annotated[str, Text(7, _COLOUR, "must be a colour such as “#10213f”")]
OrderNumber = Annotated[
    str, Text(64, _NUMBER, "must be 1 to 64 printable characters without blanks at the ends", 1)
]
FileName = Annotated[str, Text(255, _FILE_NAME, "must be a file's name", 1, _stays_inside)]
Due = Annotated[str, Text(60, _DUE, "must be a day such as 2026-12-04", check=_is_a_day)]
Pages = Annotated[str, Text(200, _PAGES, "must be pages such as “1-4” or “1,3”", check=_are_pages)]
Millimetres = Annotated[float, Field(ge=LEAST_MM, le=MOST_MM)]
Pieces = Annotated[int, Field(ge=1, le=MOST_PIECES), BeforeValidator(_whole_number)]
PiecesOrNone = Annotated[int, Field(ge=0, le=MOST_PIECES), BeforeValidator(_whole_number)]
