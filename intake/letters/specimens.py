"""Specimens of what each kind of message is about: templates are tried on them, full ones and bare ones."""

from __future__ import annotations

from typing import Any

_ITEM = {
    "number": 1,
    "artwork": "crest.png",
    "pieces": "40 pieces",
    "placement": "left chest",
    "garment": "navy hoodie",
}
_BARE_ITEM = {"number": 2, "artwork": "back.png", "pieces": "1 piece", "placement": "", "garment": ""}
_FULL: dict[str, Any] = {
    "shop": "Our print shop",
    "order": "OB-1042",
    "customer": "Otter Bank Rowing Club",
    "purchase_order": "REGATTA-7",
    "due": "Fri 4 Dec",
    "items": [_ITEM, _BARE_ITEM],
    "signature": "Our print shop\nprints@shop.example",
    "link": "https://orders.shop.example/o/unguessable",
}
_BARE = {**_FULL, "purchase_order": "", "due": "", "items": [_BARE_ITEM], "link": ""}
_ASKED = {
    "opening": "Before we print, we have something to ask:",
    "questions": "1. crest.png – 40 pieces\nLines are thin.",
    "what_happens_next": "What happens next: nothing is printed until you answer.",
}


def _query(facts: dict[str, Any]) -> dict[str, Any]:
    """A question about artwork has its parts ready made; items, due day and link are none of them."""
    return {**{key: facts[key] for key in facts if key not in ("items", "due", "link")}, **_ASKED}


SPECIMENS: dict[str, tuple[dict[str, Any], ...]] = {
    "received": (_FULL, _BARE),
    "query": (
        {**_query(_FULL), "asks": True, "others": "The other artwork is fine.", "attached": "A report."},
        {**_query(_BARE), "asks": False, "others": "", "attached": ""},
    ),
    "released": (_FULL, _BARE),
    "ready": ({**_FULL, "ship_to": ["Ines Ferro", "The Boathouse"]}, {**_BARE, "ship_to": []}),
    "dispatched": (
        {
            **_FULL,
            "follows": [_BARE_ITEM],
            "consignments": ["CN 1", "CN 2"],
            "parcels": 2,
            "collected_by": "",
            "only_numbers": False,
            "is_rest": False,
        },
        {
            **_BARE,
            "follows": [],
            "consignments": [],
            "parcels": 0,
            "collected_by": "Tom",
            "only_numbers": False,
            "is_rest": True,
        },
        {
            **_FULL,
            "follows": [],
            "consignments": ["CN 1"],
            "parcels": 1,
            "collected_by": "",
            "only_numbers": True,
            "is_rest": False,
        },
    ),
    "late": (
        {**_FULL, "new_day": "Mon 7 Dec", "why": "the oven stood still"},
        {**_BARE, "due": "Fri 4 Dec", "new_day": "Mon 7 Dec", "why": ""},
    ),
}
