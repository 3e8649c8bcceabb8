"""What the artwork report and the message to the customer are made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from intake.facts import Finding, Level, Place, Verdict


@dataclass(frozen=True, slots=True)
class Writer:
    """The shop that writes, as its settings have it."""

    name: str
    email: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class ReportFacts:
    """What stands at the head of an artwork report. Garment colour as '#rrggbb', empty when none is named."""

    writer: Writer
    order: str
    customer: str
    artwork: str
    quantity: int
    item: int = 1
    items: int = 1
    page: int | None = None
    revision: int = 1
    placement: str = ""
    garment: str = ""
    garment_colour: str = ""
    service: str = "pressed"
    code: str = ""  # of the ticket; a refused item has none


@dataclass(frozen=True, slots=True)
class ItemReport:
    """One item in the message: what was found, and the report that is attached for it (its file name)."""

    item: int
    artwork: str
    quantity: int
    verdict: Verdict
    findings: tuple[Finding, ...]
    print_mm: tuple[float, float] | None = None
    placement: str = ""
    code: str = ""
    report_name: str = ""


@dataclass(frozen=True, slots=True)
class Message:
    """What the message to a customer is made of. `at` is aware; attachments: PDF files by name.

    items: those that there is something to say of. others_go_on: how many items of the order are clear.
    """

    writer: Writer
    order: str
    customer: str
    customer_email: str
    at: datetime
    items: tuple[ItemReport, ...]
    others_go_on: int = 0
    purchase_order: str = ""
    attachments: tuple[tuple[str, bytes], ...] = ()


def _place(box: Sequence[float], at: Sequence[float] | None) -> Place:
    x, y, width, height = map(float, box)
    return Place(x, y, width, height, (float(at[0]), float(at[1])) if at else None)


def finding_from_json(document: Mapping[str, Any]) -> Finding:
    """A finding as `check --json` and the books have it, back as a finding."""
    boxes = document.get("places_mm") or ()
    worst = document.get("worst_at_mm") or [None] * len(boxes)  # findings of older books have none
    places = tuple(_place(box, at) for box, at in zip(boxes, worst, strict=True))
    return Finding(
        check=str(document["check"]),
        level=Level(document["level"]),
        says=str(document["says"]),
        do=str(document.get("do") or ""),
        measured=document.get("measured"),
        limit=document.get("limit"),
        unit=document.get("unit"),
        places=places,
    )
