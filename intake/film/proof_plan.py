"""What a run's file is proved by: plain values that go to the worker as JSON, apart from how it was drawn."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

Box4 = tuple[float, float, float, float]  # x, y, width, height in mm from the page's top left, unmirrored


@dataclass(frozen=True, slots=True)
class PlannedPiece:
    """One piece as it is to lie on its page.

    `art`, `original`: the full paths of its encoded artwork and of the customer's file, whose `page` it is.
    """

    number: int
    code: str
    box: Box4
    turned: bool
    mirrored: bool
    art: str
    original: str
    page: int


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """One page: its size in mm, its pieces, where codes and labels stand, and where QR codes do."""

    width_mm: float
    length_mm: float
    pieces: tuple[PlannedPiece, ...]
    others: tuple[Box4, ...]
    qr: tuple[Box4, ...]


@dataclass(frozen=True, slots=True)
class ProofPlan:
    """The whole run: `pdf` is the full path of its file, `qr_text` what every QR code says.

    `boxes_apart`: boxes of pieces keep the gap, and not only their ink.
    """

    pdf: str
    qr_texts: tuple[str, ...]
    gap_mm: float
    is_mirrored: bool
    boxes_apart: bool
    pages: tuple[PlannedPage, ...]

    def as_json(self) -> str:
        """For the file that the worker reads."""
        return json.dumps(asdict(self))


def proof_plan(text: str) -> ProofPlan:
    """The plan out of that file, which the shop itself has written."""
    document = json.loads(text)
    pages = tuple(_page(page) for page in document["pages"])
    return ProofPlan(**{**document, "qr_texts": tuple(document["qr_texts"]), "pages": pages})


def _page(document: dict[str, Any]) -> PlannedPage:
    pieces = tuple(PlannedPiece(**{**p, "box": _box(p["box"])}) for p in document["pieces"])
    return PlannedPage(
        document["width_mm"],
        document["length_mm"],
        pieces,
        tuple(map(_box, document["others"])),
        tuple(map(_box, document["qr"])),
    )


def _box(values: Sequence[float]) -> Box4:
    x, y, width, height = values
    return x, y, width, height
