"""The order document as customers write it: one JSON object a file; every refusal names the key."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from config.settings import Settings
from intake.order.errors import Wrong, explain, refusal
from intake.order.fields import (
    AddressLine,
    Colour,
    Due,
    Email,
    FileName,
    Line40,
    Line64,
    Line100,
    Line200,
    Millimetres,
    Note,
    NotNull,
    OrderNumber,
    Pages,
    PersonName,
    Phone,
    Pieces,
    PiecesOrNone,
    parse_due,
)
from intake.order.text import read_plain

MOST_ITEMS = 500
FARTHEST_DUE = timedelta(days=36600)  # further away is a slip of the pen, not an order

ServiceName = Literal["pressed", "transfers"]


class _Part(BaseModel):
    """An object of the document: unknown keys are refused, those that begin with `x-` kept unread."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    @model_validator(mode="before")
    @classmethod
    def _leave_unread(cls, value: Any) -> Any:
        return (
            {k: v for k, v in value.items() if not k.startswith("x-")} if isinstance(value, dict) else value
        )


class Customer(_Part):
    """Who orders. The phone number is kept as written and matched on its digits."""

    name: PersonName
    email: Email = ""
    phone: Phone = ""


class Garment(_Part):
    """What it goes on; `sizes` says how many pieces of each size."""

    description: Line200 = ""
    colour: Colour = ""
    fabric: Line100 = ""
    sizes: Annotated[dict[Line40, PiecesOrNone], Field(max_length=100)] = Field(default_factory=dict)


class ItemDocument(_Part):
    """One artwork at one print size in one quantity. Lengths in mm, of the artwork's whole canvas."""

    artwork: FileName
    artwork_of: Annotated[OrderNumber | None, NotNull] = None
    width_mm: Annotated[Millimetres | None, NotNull] = None
    height_mm: Annotated[Millimetres | None, NotNull] = None
    quantity: Pieces
    placement: Line100 = ""
    garment: Garment = Field(default_factory=Garment)
    garment_set: Line64 = ""
    service: Annotated[ServiceName | None, NotNull] = None
    film: Line64 = ""
    note: Note = ""
    mirrored: bool = False
    may_turn: bool = True
    pages: Pages = ""


class OrderDocument(_Part):
    """One order as its file says it."""

    order: OrderNumber
    customer: Customer
    purchase_order: Line100 = ""
    # As it stands on a label, the name first.
    ship_to: Annotated[list[AddressLine], Field(max_length=8)] = Field(default_factory=list)
    due: Due = ""
    service: ServiceName = "pressed"
    allow_part_dispatch: bool = False
    rush: bool = False
    items: Annotated[list[ItemDocument], Field(min_length=1, max_length=MOST_ITEMS)]

    def canonical(self) -> str:
        """The order's meaning as JSON in one fixed form, for the books.

        Two files that say the same have the same form: the order of keys, white space, `x-` keys, 90 or 90.0,
        composed or decomposed letters, and a default written out or left out make no difference.
        """
        plain = self.model_dump(mode="json", exclude_defaults=True)
        return json.dumps(plain, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    def sha256(self) -> str:
        """The hash by which a repeated order is told from one with the same number and other content."""
        return hashlib.sha256(self.canonical().encode()).hexdigest()

    def due_at(self, settings: Settings) -> datetime | None:
        """The due time, aware; a plain day means the shop's closing time in its own time zone."""
        if not self.due:
            return None
        due = parse_due(self.due)
        if isinstance(due, datetime):
            return due
        return datetime.combine(due, settings.shop.closing_time, settings.shop.zone)


def read_order(data: bytes, settings: Settings, now: datetime) -> OrderDocument:
    """The order in a file's bytes.

    Raises OrderRefused with every error of the file, each naming its key (`items[0].widht_mm`) and the
    nearest known one; the slug is that of the most telling error.
    """
    return order_of(read_plain(data), settings, now)


def order_of(plain: dict[str, Any], settings: Settings, now: datetime) -> OrderDocument:
    """The order in plain values. Raises OrderRefused as `read_order` does."""
    errors: list[Wrong] = []
    document: OrderDocument | None = None
    try:
        document = OrderDocument.model_validate(plain)
    except ValidationError as error:
        errors = explain(error, OrderDocument)
    errors += _sizes_missing(plain)
    if document is not None and not errors:
        errors = _due_far_away(document, settings, now)
    if errors or document is None:
        raise refusal(errors)
    return document


def _sizes_missing(plain: dict[str, Any]) -> list[Wrong]:
    # Asked of the plain values, so that it is said together with whatever else is wrong with the item.
    items = plain.get("items")
    return [
        Wrong(
            "order-missing-key",
            f"items[{at}] needs width_mm or height_mm (the other follows from the artwork).",
        )
        for at, item in enumerate(items if isinstance(items, list) else [])
        if isinstance(item, dict) and "width_mm" not in item and "height_mm" not in item
    ]


def _due_far_away(document: OrderDocument, settings: Settings, now: datetime) -> list[Wrong]:
    try:
        due = document.due_at(settings)
        if due is None or abs(due - now) <= FARTHEST_DUE:
            return []
    except OverflowError:  # the first and the last day that a calendar holds
        pass
    return [
        Wrong("order-wrong-value", f"due: {document.due} is more than a hundred years away; mend the year.")
    ]
