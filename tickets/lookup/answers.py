"""What the books answer, for every door alike: plain frozen values, their JSON, and their lines of text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from tickets.order_facts import Finding, LastScan
from tickets.standing import Standing


def utc_text(at: datetime | None) -> str | None:
    """A time as the JSON has it: 2026-12-02T10:42:07Z."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ") if at else None


@dataclass(frozen=True, slots=True)
class TicketAnswer:
    """One ticket as `where --json` has it; `says` tells where its pieces are."""

    code: str
    order: str
    item: int
    reprint_of: str | None
    artwork: str
    artwork_sha256: str
    quantity: int
    standing: Standing
    waiting: Mapping[str, int]  # every station of the shop, in the order of its line
    dispatched: int
    spoiled: int
    cancelled: int
    last: LastScan | None
    held: str | None
    runs: tuple[str, ...]
    garment: str
    placement: str
    says: str

    def as_json(self) -> dict[str, Any]:
        """The contract's keys, and what else the doors show."""
        last = self.last
        return {
            "code": self.code,
            "order": self.order,
            "item": self.item,
            "reprint_of": self.reprint_of,
            "artwork": self.artwork,
            "artwork_sha256": self.artwork_sha256,
            "quantity": self.quantity,
            "standing": str(self.standing),
            "waiting": dict(self.waiting),
            "dispatched": self.dispatched,
            "spoiled": self.spoiled,
            "cancelled": self.cancelled,
            "last": last
            and {
                "at": utc_text(last.at),
                "station": last.station,
                "good": last.good,
                "spoiled": last.spoiled,
                "by": last.by,
            },
            "held": self.held,
            "runs": list(self.runs),
            "garment": self.garment,
            "placement": self.placement,
        }


@dataclass(frozen=True, slots=True)
class ItemAnswer:
    """An item that has no ticket to show, or a question: refused, queried or being checked."""

    item: int
    artwork: str
    artwork_sha256: str
    quantity: int
    findings: tuple[Finding, ...]
    slug: str = ""

    def as_json(self) -> dict[str, Any]:
        """The item with its findings, as `check --json` has them."""
        return {
            "item": self.item,
            "artwork": self.artwork,
            "artwork_sha256": self.artwork_sha256,
            "quantity": self.quantity,
            "slug": self.slug or None,
            "findings": list(self.findings),
        }


@dataclass(frozen=True, slots=True)
class HelpAnswer:
    """The one change that helps an order at risk most: rush, hands (at `station`), split, or part."""

    change: str
    station: str | None
    latest: datetime | None
    holds: bool
    pieces: int | None
    says: str
    pushes: int = 0  # other orders that it would make late

    def as_json(self) -> dict[str, Any]:
        """Plain values, time in UTC."""
        return {
            "change": self.change,
            "station": self.station,
            "latest": utc_text(self.latest),
            "holds": self.holds,
            "pieces": self.pieces,
            "makes_late": self.pushes,
            "says": self.says,
        }


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """One order as `where --json` has it; `says` is the sentence for a caller."""

    order: str
    customer: str
    email: str
    phone: str
    purchase_order: str
    due: str
    due_says: str
    standing: Standing
    says: str
    held: str | None
    rush: bool
    taken_at: datetime
    tickets: tuple[TicketAnswer, ...]
    refused_items: tuple[ItemAnswer, ...]
    queried_items: tuple[ItemAnswer, ...]
    unchecked_items: tuple[ItemAnswer, ...]
    ready: Mapping[str, str | None] | None = None  # "likely" and "latest", in UTC
    limited_by: str | None = None  # the station that it waits for longest
    is_at_risk: bool = False  # it may well be ready only after it is due
    told_day: str = ""  # that its customer was told, while anything is in the house
    told_says: str = ""
    shelf: str = ""  # where what is ready lies, while anything is in the house
    consignments: tuple[str, ...] = ()  # numbers of parcels that have left
    collected_by: tuple[str, ...] = ()
    helps: HelpAnswer | None = None

    def as_json(self) -> dict[str, Any]:
        """The contract's keys, and what else the doors show."""
        return {
            "order": self.order,
            "customer": self.customer,
            "due": self.due or None,
            "standing": str(self.standing),
            "says": self.says,
            "ready": self.ready,
            "limited_by": self.limited_by,
            "at_risk": self.is_at_risk,
            "told_day": self.told_day or None,
            "shelf": self.shelf or None,
            "consignments": list(self.consignments),
            "collected_by": list(self.collected_by),
            "helps": self.helps.as_json() if self.helps else None,
            "tickets": [ticket.as_json() for ticket in self.tickets],
            "refused_items": [item.as_json() for item in self.refused_items],
            "queried_items": [item.as_json() for item in self.queried_items],
            "unchecked_items": [item.as_json() for item in self.unchecked_items],
            "purchase_order": self.purchase_order or None,
            "email": self.email or None,
            "phone": self.phone or None,
            "held": self.held,
            "rush": self.rush,
            "taken": utc_text(self.taken_at),
        }

    def as_line(self) -> str:
        """The order in one line of the order book."""
        return f"{self.order}  {self.customer}  [{self.standing}]  {self.says}"

    def as_lines(self) -> list[str]:
        """The order for a caller: what is said, then its tickets."""
        rush = "  rush" if self.rush else ""
        due = f"  due {self.due_says}" if self.due_says else ""
        tickets = [
            f"  {t.code}  item {t.item}  {t.artwork}"
            + (f"  (reprint of {t.reprint_of})" if t.reprint_of else "")
            + f"  {t.quantity}: {t.says}"
            for t in self.tickets
        ]
        told = [f"  {self.told_says}"] if self.told_says else []
        shelf = [f"  on shelf {self.shelf}"] if self.shelf else []
        helps = [f"  What helps most: {self.helps.says}"] if self.helps else []
        head = f"{self.order}  {self.customer}{due}{rush}  [{self.standing}]"
        return [head, f"  {self.says}", *told, *shelf, *helps, *tickets]


@dataclass(frozen=True, slots=True)
class NearAnswer:
    """Something in the books that comes near: a `ticket`, a `number` or a `word` of an order."""

    kind: str
    text: str
    order: str
    customer: str

    def as_json(self) -> dict[str, str]:
        """What it is, and the order that it belongs to."""
        return {"kind": self.kind, "text": self.text, "order": self.order, "customer": self.customer}

    def __str__(self) -> str:
        if self.kind == "word":
            return f"{self.customer} ({self.order})"
        return (
            f"{self.text} ({self.customer})"
            if self.text == self.order
            else f"{self.text} ({self.order}, {self.customer})"
        )


@dataclass(frozen=True, slots=True)
class WhereAnswer:
    """What was asked, the orders that fit, best first, and what comes near when none does."""

    asked: str
    orders: tuple[OrderAnswer, ...]
    near: tuple[NearAnswer, ...]
    says: str  # about the search itself: nothing found, or a slip mended; else ""

    def as_json(self) -> dict[str, Any]:
        """The document that `where --json` prints."""
        return {
            "asked": self.asked,
            "orders": [order.as_json() for order in self.orders],
            "near": [near.as_json() for near in self.near],
            "says": self.says,
        }

    def as_lines(self) -> list[str]:
        """The same for people."""
        lines = [self.says] if self.says else []
        for order in self.orders:
            lines += [*([""] if lines else []), *order.as_lines()]
        return lines
