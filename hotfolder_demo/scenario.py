"""The invented customers of the demo, what each orders, how each drops it, and what ought to become of it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from typing import Any


class Way(StrEnum):
    """How customers drop things."""

    TOGETHER = "together"  # artwork and order file, one after the other
    HALF_COPIED = "half-copied"  # the artwork stops half-way and is finished later
    ORDER_FIRST = "order first"  # the artwork comes some seconds after its order
    ZIPPED = "zipped"
    NO_ARTWORK = "no artwork"  # a repeat: the artwork came with an earlier order


@dataclass(frozen=True)
class OrderedItem:
    """One item of an order; `width_mm` is that of the print."""

    artwork: str
    width_mm: float
    quantity: int
    more: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class CustomerOrder:
    """One order of the morning, with `standing` and `check`: what the shop ought to answer."""

    number: str
    customer: str
    items: tuple[OrderedItem, ...]
    standing: str
    tells: str  # what this order is here to show, in the words of the story
    check: str = ""  # the finding that makes it a query
    way: Way = Way.TOGETHER
    folder: str = ""  # of the inbox
    email: str = ""
    phone: str = ""
    purchase_order: str = ""
    service: str = "pressed"
    days: int = 7

    def document(self, today: date) -> dict[str, Any]:
        """The order document, due some days from today."""
        customer = {"name": self.customer, "email": self.email, "phone": self.phone}
        document: dict[str, Any] = {
            "order": self.number,
            "customer": {key: value for key, value in customer.items() if value},
            "due": (today + timedelta(days=self.days)).isoformat(),
            "service": self.service,
        }
        if self.purchase_order:
            document["purchase_order"] = self.purchase_order
        document["items"] = [
            {"artwork": i.artwork, "width_mm": i.width_mm, "quantity": i.quantity, **i.more}
            for i in self.items
        ]
        return document

    def as_file(self, today: date) -> bytes:
        """The order file as it is dropped."""
        return (json.dumps(self.document(today), ensure_ascii=False, indent=2) + "\n").encode()


def _garment(description: str, colour: str, fabric: str = "cotton", **sizes: int) -> dict[str, Any]:
    return {
        "description": description,
        "colour": colour,
        "fabric": fabric,
        **({"sizes": sizes} if sizes else {}),
    }


HOODIE = _garment("navy hoodie", "#10213f", S=6, M=10, L=8)

REGATTA = CustomerOrder(
    number="HR-2061",
    customer="Heron Reach Regatta Club",
    email="kit@heronreach.example",
    phone="+44 1632 960142",
    purchase_order="REGATTA-7",
    folder="Heron Reach",
    items=(
        OrderedItem(
            "crest.png", 90, 24, {"placement": "left chest", "garment": HOODIE, "garment_set": "hoodies"}
        ),
        OrderedItem("back.png", 235, 24, {"placement": "back", "garment": HOODIE, "garment_set": "hoodies"}),
    ),
    standing="in work",
    tells="good artwork, chest and back of the same hoodies",
    days=4,
)
BAKERY = CustomerOrder(
    number="CK-0318",
    customer="Crumb & Kettle Bakery",
    email="hello@crumbkettle.example",
    phone="+44 1632 960177",
    items=(OrderedItem("loaf.png", 98, 12, {"garment": _garment("black apron", "#1d1d22")}),),
    standing="queried",
    check="background",
    tells="a logo in a white box",
)
BAND = CustomerOrder(
    number="SL-0077",
    customer="The Salt Lanterns",
    email="bookings@saltlanterns.example",
    items=(
        OrderedItem(
            "lantern.png", 104, 30, {"garment": _garment("bottle green tee", "#12382b", S=10, M=12, L=8)}
        ),
    ),
    standing="queried",
    check="line-width",
    tells="rays as thin as hairs",
)
SCHOOL = CustomerOrder(
    number="ML-1200",
    customer="Mill Lane School",
    email="office@milllane.example",
    items=(OrderedItem("leavers.png", 230, 60, {"garment": _garment("grey hoodie", "#9aa0a8")}),),
    standing="queried",
    check="resolution",
    tells="a picture saved off a web page, far too small",
)
CYCLISTS = CustomerOrder(
    number="PP-0045",
    customer="Pedal & Pine Cycling Club",
    email="rides@pedalpine.example",
    items=(OrderedItem("bicycle.png", 136, 15, {"garment": _garment("sand tee", "#d8c7a2")}),),
    standing="queried",
    check="soft",
    tells="a soft shadow under the wheels",
)
GARDENERS = CustomerOrder(
    number="FA-0009",
    customer="Foxglove Allotment Society",
    email="plots@foxglove.example",
    items=(OrderedItem("foxglove.pdf", 72, 20),),
    service="transfers",
    standing="in work",
    tells="a PDF, drawn in lines and areas, as bare transfers",
)
SURFERS = CustomerOrder(
    number="TW-0512",
    customer="Tidewater Surf School",
    email="shack@tidewater.example",
    items=(OrderedItem("wave.png", 156, 18, {"garment": _garment("white tee", "#ffffff", S=6, M=6, L=6)}),),
    way=Way.HALF_COPIED,
    standing="in work",
    tells="a file whose copying stops half-way",
)
CLIMBERS = CustomerOrder(
    number="LS-0831",
    customer="Lantern Street Climbing Wall",
    email="desk@lanternstreet.example",
    items=(OrderedItem("mountain.png", 92, 40, {"garment": _garment("stone tee", "#c9c3b6")}),),
    way=Way.ORDER_FIRST,
    standing="in work",
    tells="an order that comes before its artwork",
)
DANCERS = CustomerOrder(
    number="ZO-0101",
    customer="Ансамбль «Зоря»",
    email="zorya@ensemble.example",
    items=(OrderedItem("star.png", 98, 16, {"garment": _garment("linen shirt", "#efe6d2")}),),
    way=Way.ZIPPED,
    standing="in work",
    tells="everything in one zip, names in another script",
)
REPEAT = CustomerOrder(
    number="HR-2074",
    customer="Heron Reach Regatta Club",
    email="kit@heronreach.example",
    folder="Heron Reach",
    items=(OrderedItem("crest.png", 90, 6, {"placement": "left chest"}),),
    way=Way.NO_ARTWORK,
    standing="in work",
    tells="a repeat: the crest of the last order, not sent again",
    days=10,
)

ORDERS = (REGATTA, BAKERY, BAND, SCHOOL, CYCLISTS, GARDENERS, SURFERS, CLIMBERS, DANCERS, REPEAT)

BROKEN_NAME = "order from the van.json"
BROKEN_TELLS = "an order file with slips of the pen in it"
BROKEN_KEY, MEANT_KEY = "quantitty", "quantity"


def broken_order(today: date) -> bytes:
    """An order file with a misspelt key and a size of nothing, as somebody types it on a phone."""
    document = {
        "order": "BB-0003",
        "customer": {"name": "Bramble Brewers"},
        "due": (today + timedelta(days=5)).isoformat(),
        "items": [{"artwork": "hops.png", "width_mm": 0, BROKEN_KEY: 10}],
    }
    return (json.dumps(document, indent=2) + "\n").encode()


SHOP_SETTINGS = """\
# The demo's shop. Settling is short so that the story moves; on a network folder leave it at some seconds.

[shop]
name = "Tern Street Prints"
email = "prints@ternstreet.example"
phone = "+44 1632 960100"
time_zone = "Europe/London"
people = ["Ines", "Tomasz", "Adaeze"]

[intake]
scan_seconds = 0.3
settle_seconds = 0.6
company_seconds = 1.5
heartbeat_seconds = 1.0
min_free_mb = 50
"""
