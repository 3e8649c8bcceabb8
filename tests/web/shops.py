"""A small real shop with its pages: orders in the books, pictures in its folder, devices to let in."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image, ImageDraw
from sqlmodel import col, select

from intake.pictures import keep_picture
from intake.serving import web_of_shop
from intake.shop import Shop, make_shop, open_shop
from tickets.ledger.devices import DeviceBook
from tickets.lookup import order_answer, unchecked_items
from tickets.models import Event
from tickets.requests import ItemDraft, Judgement, OrderDraft, ScanRequest
from tickets.web.app import build_app
from tickets.web.door import Web

ADDRESS = "http://shop.example"
THIN = {
    "check": "line-width",
    "level": "query",
    "says": "Some lines are only 0.21 mm wide.",
    "do": "Make them 0.30 mm at least.",
    "measured": 0.21,
    "limit": 0.3,
    "unit": "mm",
    "places_mm": [[12.1, 40.2, 3.0, 4.0]],
}
SETTINGS = """
[shop]
name = "Heron Lane Prints"
people = ["Ines", "Tomek"]
"""


@dataclass
class WebShop:
    """A shop, its application, and clients that come as devices do."""

    shop: Shop
    web: Web
    app: FastAPI

    def take(self, number: str, quantity: int = 40, verdict: str = "clear", **changes: Any) -> str:
        """Take an order of one item and book its check; returns the ticket's code."""
        known = {
            "customer_name": "Otter Bank Rowing Club",
            "customer_email": "kit@otterbank.example",
            "customer_phone": "+44 1632 960123",
            "due": "2099-12-04",
            "due_at": datetime(2099, 12, 4, 17, tzinfo=UTC),
            "document": "{}",
            "document_sha256": f"document of {number}",
        }
        sha256 = f"{abs(hash(number)):064x}"[:64]
        item = ItemDraft(
            "crest.png", sha256, quantity, "pressed", 90.0, placement="left chest", garment="navy hoodie"
        )
        self.shop.ledger.take_order(OrderDraft(number=number, items=(item,), **{**known, **changes}), [], [])
        keep_picture(self.shop, sha256, None, art())
        findings = (THIN,) if verdict == "query" else ()
        for due in unchecked_items(self.shop.store):
            self.shop.ledger.book_judgement(
                Judgement(due.item_id, due.revision, verdict, 90.0, 81.4, findings, {})
            )
        return self.codes(number)[0]

    def scan(self, code: str, *stations: str, good: int | None = None) -> None:
        """Take pieces through stations, as the command does."""
        for station in stations:
            self.shop.ledger.scan(ScanRequest(code, station, good))

    def codes(self, number: str) -> list[str]:
        """The ticket codes of an order."""
        return [t.code for t in order_answer(self.shop.store, self.shop.settings, number).tickets]

    def waiting(self, number: str) -> dict[str, int]:
        """Where the pieces of an order wait, all of its tickets together."""
        total: dict[str, int] = {}
        for ticket in order_answer(self.shop.store, self.shop.settings, number).tickets:
            for place, count in ticket.waiting.items():
                total[place] = total.get(place, 0) + count
        return total

    def scans(self) -> list[Event]:
        """Every scan that was booked."""
        with self.shop.store.reading() as session:
            return list(session.exec(select(Event).where(Event.kind == "scanned").order_by(col(Event.id))))

    @property
    def devices(self) -> DeviceBook:
        """Who is let in."""
        return DeviceBook(self.shop.store, self.shop.clock)

    def stranger(self) -> TestClient:
        """A browser that was not let in."""
        return TestClient(self.app, base_url=ADDRESS, follow_redirects=False)

    def device(self, role: str = "station") -> TestClient:
        """A browser that was let in by a pairing code."""
        client = self.stranger()
        code = self.devices.new_code(role, f"a {role}")
        assert client.post("/pair", data={"code": code}).status_code == 303
        return client


def art() -> bytes:
    """A picture of an artwork as the check makes it."""
    drawn = Image.new("RGBA", (360, 326), (0, 0, 0, 0))
    pen = ImageDraw.Draw(drawn)
    pen.ellipse((20, 10, 340, 316), outline=(16, 33, 63, 255), width=26)
    pen.polygon([(180, 60), (280, 240), (80, 240)], fill=(150, 30, 40, 255))
    buffer = io.BytesIO()
    drawn.save(buffer, "PNG")
    return buffer.getvalue()


def make_template(folder: Path) -> Path:
    """An empty shop, to be copied: that is faster than making its tables each time."""
    make_shop(folder)
    (folder / "shop.toml").write_text(SETTINGS, encoding="utf-8")
    return folder


def open_web_shop(template: Path, folder: Path) -> Iterator[WebShop]:
    """A copy of the empty shop, and its application."""
    shutil.copytree(template, folder)
    with open_shop(folder) as shop:
        web = web_of_shop(shop, ADDRESS)
        yield WebShop(shop, web, build_app(web))
        web.folders.close()


def token_of(page: httpx.Response) -> str:
    """The token that a page's forms carry."""
    found = re.search(r'name="form-token" content="([0-9a-f]+)"', page.text)
    assert found, page.text[:500]
    return found[1]


def post_json(client: TestClient, path: str, **asked: Any) -> httpx.Response:
    """Send JSON as the pages' own scripts do."""
    token = token_of(client.get("/"))
    headers = {"X-Filmdocket-Token": token, "Origin": ADDRESS}
    answer: httpx.Response = client.post(path, json=asked, headers=headers)
    return answer


def submit(client: TestClient, path: str, **fields: Any) -> httpx.Response:
    """Send a form as a page of the shop does."""
    token = token_of(client.get("/"))
    fields = {"token": token, **fields}
    answer: httpx.Response = client.post(path, data=fields, headers={"Origin": ADDRESS})
    return answer


def soon(hours: float) -> datetime:
    """So many hours from now."""
    return datetime.now(UTC) + timedelta(hours=hours)
