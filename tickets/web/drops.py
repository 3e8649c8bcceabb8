"""What the drop page and the shop's folders tell each other: an order that somebody is still writing."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

ORDER_FIELDS = (
    *("order", "customer", "email", "phone", "purchase_order", "due", "service", "rush"),
    *("handing", "ship_to", "part"),
)
SHIPPED = "ship"  # of `handing`: it is sent to the lines of `ship_to`; anything else: it is collected
ITEM_FIELDS = (
    *("width_mm", "quantity", "placement", "garment", "colour", "fabric", "sizes", "film", "note"),
    *("pages", "mirrored"),
)
CHECKED_BY = ("width_mm", "colour", "mirrored", "pages")  # what the check's answer hangs on


_COLOUR = re.compile(r"#?([0-9a-fA-F]{6})", re.ASCII)


@dataclass(frozen=True, slots=True)
class DraftItem:
    """One artwork of an order that is being written. `fields` are as typed.

    source: "sent" (uploaded to the page), "lying" (lies in the inbox at `ref`) or "earlier" (of the order
    `ref`). `findings` are as `check --json` has them; `checked_for` is what they were found for.
    """

    key: str
    artwork: str
    source: str
    ref: str = ""
    sha256: str = ""  # of an earlier order's artwork
    fields: dict[str, str] = field(default_factory=dict)
    verdict: str = ""
    print_mm: tuple[float, float] | None = None
    findings: tuple[dict[str, Any], ...] = ()
    checked_for: str = ""

    @property
    def wanted(self) -> str:
        """What is to be checked, as one word."""
        return "|".join(self.fields.get(name, "") for name in CHECKED_BY)

    @property
    def colour(self) -> str:
        """The garment's colour as an order has it; "" when none was typed, or what is none."""
        found = _COLOUR.fullmatch(self.fields.get("colour", ""))
        return f"#{found[1].lower()}" if found else ""

    @property
    def has_wrong_colour(self) -> bool:
        """Whether something was typed that is no colour."""
        return bool(self.fields.get("colour")) and not self.colour

    def typed(self, **fields: str) -> DraftItem:
        """The same with other fields."""
        return replace(self, fields={**self.fields, **fields})


@dataclass(frozen=True, slots=True)
class Draft:
    """An order that is being written. `fields` are as typed."""

    id: str
    fields: dict[str, str] = field(default_factory=dict)
    items: tuple[DraftItem, ...] = ()

    def item(self, key: str) -> DraftItem | None:
        """The item of that key."""
        return next((item for item in self.items if item.key == key), None)


class Drops(Protocol):
    """Orders that are being written on the page, and their way into the inbox."""

    @property
    def largest_bytes(self) -> int:
        """A larger file is not taken."""
        ...

    def lying(self) -> list[str]:
        """Artwork that lies in the inbox without an order: its paths there."""
        ...

    def begin(self) -> Draft:
        """An empty draft."""
        ...

    def read(self, draft_id: str) -> Draft:
        """A draft. Raises NotFound `draft-not-known`."""
        ...

    def save(self, draft: Draft) -> None:
        """Keep a draft."""
        ...

    def receive(self, draft_id: str, name: str) -> AbstractContextManager[Callable[[bytes], object]]:
        """Take a file piece by piece; it becomes an item of the draft when all of it is there.

        Raises BadInput `file-too-large`, `file-empty`; SetupProblem `disk-full`.
        """
        ...

    def add_lying(self, draft_id: str, path: str) -> None:
        """Make artwork that lies in the inbox an item of the draft. Raises NotFound `file-gone`."""
        ...

    def add_earlier(self, draft_id: str, order: str) -> None:
        """Lay the items of an earlier order into the draft. Raises NotFound `order-not-known`."""
        ...

    def check(self, draft_id: str) -> Draft:
        """Check what was not checked as it is now."""
        ...

    def picture(self, draft_id: str, key: str) -> bytes:
        """The check's picture with its places marked (PNG); b"" when there is none."""
        ...

    def send(self, draft_id: str) -> str:
        """Lay the order into the inbox; returns its number.

        Raises BadInput `drop-incomplete` and what reading an order raises; SetupProblem `inbox-gone`.
        """
        ...

    def forget(self, draft_id: str) -> None:
        """Throw a draft away."""
        ...
