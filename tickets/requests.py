"""What the ledger may be asked to book, and what it answers: frozen values, from intake, desk and floor."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class ItemDraft:
    """One item as ordered. Lengths in mm; `artwork_sha256` is that of the original already kept."""

    artwork: str
    artwork_sha256: str
    quantity: int
    service: str
    width_mm: float | None = None
    height_mm: float | None = None
    page: int | None = None
    placement: str = ""
    garment: str = ""
    garment_colour: str = ""
    fabric: str = ""
    sizes: dict[str, int] = field(default_factory=dict)
    garment_set: str = ""
    film: str = ""
    note: str = ""
    mirrored: bool = False
    may_turn: bool = True
    order_queries: tuple[dict[str, Any], ...] = ()  # findings about the order itself, as JSON


@dataclass(frozen=True, slots=True)
class OrderDraft:
    """One order as read from its file; `document` is the canonical JSON, `due_at` its due day in UTC."""

    number: str
    customer_name: str
    document: str
    document_sha256: str
    items: tuple[ItemDraft, ...]
    customer_email: str = ""
    customer_phone: str = ""
    purchase_order: str = ""
    due: str = ""
    due_at: datetime | None = None
    service: str = "pressed"
    allow_part_dispatch: bool = False
    rush: bool = False
    source_folder: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The preflight's answer about one item's artwork. Findings and measures as in `check --json`."""

    item_id: int
    revision: int  # that was checked: an answer about an older revision is ignored
    verdict: str  # clear, query, refuse
    print_width_mm: float | None
    print_height_mm: float | None
    findings: tuple[dict[str, Any], ...]
    measures: dict[str, Any]
    slug: str = ""


@dataclass(frozen=True, slots=True)
class RepairedArtwork:
    """Artwork that the shop has repaired: the original it was made from, the new one, and what was done."""

    was_sha256: str
    sha256: str
    size: int
    repairs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScanRequest:
    """One scan at a station. `code` as read by `codes.read_code`, or an order number at dispatch.

    good None and spoiled 0: all that wait there. spoiled alone moves none on. `device_at` and
    `device_sequence` are the scanning device's own clock and count.
    """

    code: str
    station: str
    good: int | None = None
    spoiled: int = 0
    why: str = ""
    by: str = ""
    key: str = ""
    catch_up: bool = False
    part: bool = False  # part dispatch, with `why`
    collected_by: str = ""  # at dispatch: who came for it
    device_at: datetime | None = None
    device_sequence: int | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """What a scan moved, as `scan --json` has it under "moved". `spares`: that took a spoiled one's place."""

    from_place: str
    to_place: str
    good: int
    spoiled: int
    spares: int = 0

    def as_json(self) -> dict[str, Any]:
        """The keys of the contract; and how many spares stood in, where any did."""
        told = {"from": self.from_place, "to": self.to_place, "good": self.good, "spoiled": self.spoiled}
        return told | ({"spares": self.spares} if self.spares else {})


@dataclass(frozen=True, slots=True)
class RunSpoilage:
    """What is spoiled on a film run: a ticket's pieces (None: all of them), a length of it, or all of it.

    `from_mm`, `to_mm`: from the run's start; None: its start, its end.
    """

    run: str
    ticket: str = ""
    pieces: int | None = None
    from_mm: float | None = None
    to_mm: float | None = None
    why: str = ""
    by: str = ""
    key: str = ""  # sent twice under one key, it counts once


@dataclass(frozen=True, slots=True)
class RunSpoiled:
    """What became of it. By ticket code: `again`, how many start again; `spares`, how many stood in."""

    run: str
    station: str
    lost: int
    again: dict[str, int]
    spares: dict[str, int]
    reprints: dict[str, str]  # ticket → the code of its reprint
    says: str
    repeated: bool = False  # the same key came before: counted once, this is the answer given then

    def as_json(self) -> dict[str, Any]:
        """The keys of `film spoil --json`."""
        return {
            "run": self.run,
            "at": self.station,
            "lost": self.lost,
            "again": self.again,
            "spares_used": self.spares,
            "reprints": self.reprints,
            "says": self.says,
            "repeated": self.repeated,
        }

    @classmethod
    def given_before(cls, answer: dict[str, Any]) -> RunSpoiled:
        """The answer that was kept with an idempotency key, as the repeated one."""
        numbers = (answer["lost"], answer["again"], answer["spares_used"], answer["reprints"])
        return cls(answer["run"], answer["at"], *numbers, answer["says"], repeated=True)


@dataclass(frozen=True, slots=True)
class ScanAnswer:
    """What a scan or undo did: `says` is the sentence for the station, `reprint` the code of its reprint."""

    code: str
    order: str
    says: str
    moved: Moved | None
    reprint: str | None = None
    repeated: bool = False  # the same key came before: counted once, this is the answer given then
    packing: int | None = None  # the number of the packing slip that it was dispatched with

    def as_json(self) -> dict[str, Any]:
        """Plain values, to be kept with an idempotency key."""
        moved = self.moved
        return {
            "code": self.code,
            "order": self.order,
            "says": self.says,
            "moved": moved and moved.as_json(),
            "reprint": self.reprint,
            "packing": self.packing,
        }

    @classmethod
    def given_before(cls, answer: dict[str, Any]) -> ScanAnswer:
        """The answer that was kept with an idempotency key, as the repeated one."""
        moved = answer["moved"]
        return cls(
            code=answer["code"],
            order=answer["order"],
            says=answer["says"],
            moved=moved
            and Moved(moved["from"], moved["to"], moved["good"], moved["spoiled"], moved.get("spares", 0)),
            reprint=answer["reprint"],
            repeated=True,
            packing=answer.get("packing"),
        )


@dataclass(frozen=True, slots=True)
class ParcelChange:
    """A parcel's weight and consignment number; None: not said, or as it was."""

    weight_g: int | None = None
    consignment: str | None = None


@dataclass(frozen=True, slots=True)
class ParcelMade:
    """The parcel that was noted or changed, and the sentence about it."""

    order: str
    number: int
    says: str


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of an order or artwork: "taken", "duplicate", "conflict" or "revised" (new artwork)."""

    outcome: str
    order: str
    order_id: int | None
    says: str


@dataclass(frozen=True, slots=True)
class ArrivalNote:
    """What is to be written about one file in the inbox. `path_bytes` is its path as the system has it."""

    path_bytes: bytes
    path: str
    folder: str
    name_folded: str
    fingerprint: str
    standing: str
    says: str
    size: int = 0
    sha256: str = ""
    order_number: str = ""
    slug: str = ""
    is_open: bool = True
    is_cleared: bool = False
