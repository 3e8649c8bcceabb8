"""One shop with an order in every state: command, JSON and pages say the same words and figures of each."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from contextlib import redirect_stdout, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

import intake.shop
from intake import cli
from tests.web.shops import WebShop, open_web_shop
from tickets.requests import ParcelChange, ScanRequest
from tickets.web.app import build_app

NOON = datetime(2026, 12, 2, 12, 0, tzinfo=UTC)  # a Wednesday
STANDINGS = {
    "OB-1": "queried",
    "OB-2": "in work",
    "OB-3": "ready",
    "OB-4": "in work",  # a part of it is gone
    "OB-5": "in work",  # late
    "OB-6": "cancelled",
    "OB-7": "held",
    "OB-8": "dispatched",
    "OB-9": "refused",
}


@dataclass
class Doors:
    """The same shop asked by command, by JSON and by page, all at one moment."""

    shop: WebShop
    folder: Path

    def __post_init__(self) -> None:
        self.desk = self.shop.device("desk")

    def typed(self, *words: str) -> str:
        """What a command prints."""
        printed = StringIO()
        with redirect_stdout(printed):
            assert cli.main([*words, "--shop", str(self.folder)]) == 0
        return printed.getvalue()

    def document(self, *words: str) -> Any:
        """What it prints with --json."""
        return json.loads(self.typed(*words, "--json"))

    def asked(self, path: str, **asked: str) -> Any:
        """The JSON of a page."""
        return self.desk.get(path, params=asked).json()

    def shown(self, path: str, **asked: str) -> str:
        """The text of a page, as one reads it."""
        page = self.desk.get(path, params=asked)
        assert page.status_code == 200
        return text_of(page.text)


def text_of(page: str) -> str:
    """A page without its tags, its blanks made single."""
    body = re.sub(r"<(script|style|head).*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


@pytest.fixture(scope="module")
def doors(template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Doors]:
    """The shop, with the clock of every door stopped."""
    folder, open_shop = tmp_path_factory.mktemp("one") / "shop", intake.shop.open_shop
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(intake.shop, "open_shop", lambda folder: open_shop(folder, lambda: NOON))
        for opened in open_web_shop(template, folder):
            object.__setattr__(opened.shop, "clock", lambda: NOON)
            web = replace(opened.web, clock=lambda: NOON)
            made = WebShop(opened.shop, web, build_app(web))
            fill(made)
            yield Doors(made, folder)


def fill(shop: WebShop) -> None:
    """An order in every state: asked about, in work, ready, gone in part, late, and those that are done."""
    ledger = shop.shop.ledger
    near: dict[str, Any] = {"due": "2026-12-04", "due_at": NOON + timedelta(days=2, hours=5)}
    shop.take("OB-1", verdict="query", **near)
    shop.scan(shop.take("OB-2", 60, **near), "print", good=20)
    shop.scan(shop.take("OB-3", **near), "print", "powder", "cure", "press")
    ledger.put_on_shelf("OB-3", "B2")
    part = shop.take("OB-4", 50, allow_part_dispatch=True, **near)
    shop.scan(part, "print", "powder", "cure", good=30)
    ledger.scan(ScanRequest(part, "press", 27, 3, "scorched", by="Ines"))
    ledger.add_parcel("OB-4", ParcelChange(2500, "CN 1632-4"))
    ledger.scan(ScanRequest("OB-4", "dispatch"))
    shop.take("OB-5", 900, due="2026-12-01", due_at=NOON - timedelta(hours=19))
    ledger.tell_late("OB-5", NOON + timedelta(days=7), "the oven stood still")
    ledger.cancel(shop.take("OB-6", **near), None, "the customer rang", "Ines")
    ledger.hold(shop.take("OB-7", **near), "Tomek asks for the thread colour", "Ines")
    shop.scan(shop.take("OB-8", **near), "print", "powder", "cure", "press", "dispatch")
    with suppress(IndexError):  # what is refused has no ticket
        shop.take("OB-9", verdict="refuse", **near)


def test_every_state_is_there(doors: Doors) -> None:
    """Or the other tests would promise less than they say."""
    told = {one["order"]: one["standing"] for one in doors.document("orders")["orders"]}
    assert told == STANDINGS
    assert doors.document("where", "OB-4")["orders"][0]["consignments"] == ["CN 1632-4"]
    late = doors.document("where", "OB-5")["orders"][0]
    assert late["at_risk"]
    assert late["told_day"] == "2026-12-09"


@pytest.mark.parametrize("number", STANDINGS)
def test_the_command_and_the_json_of_pages_are_one_document(doors: Doors, number: str) -> None:
    """Asked by `where`, in the order book, and by the order's own address: to the letter."""
    told = doors.document("where", number)
    assert doors.asked("/api/where", words=number) == told
    (order,) = told["orders"]
    listed = {one["order"]: one for one in doors.document("orders")["orders"]}
    assert doors.asked("/api/orders") == doors.document("orders")
    assert listed[number] == {**order, "helps": None}  # the book tells what, not how it is helped
    page = doors.asked(f"/api/orders/{number}")
    assert {key: page[key] for key in order} == order


@pytest.mark.parametrize("number", STANDINGS)
def test_the_command_and_the_pages_say_the_same_words(doors: Doors, number: str) -> None:
    """The sentence, the standing, the due day, the shelf, what helps, and where each ticket's pieces are."""
    (order,) = doors.document("where", number)["orders"]
    typed = doors.typed("where", number)
    words = [order["says"], order["standing"], order["customer"]]
    words += [order["helps"]["says"]] if order["helps"] else []
    words += [order["shelf"]] if order["shelf"] else []
    words += ["The customer was told: Wed 9 Dec."] if order["told_day"] else []
    tickets = doors.asked(f"/api/orders/{number}")["tickets"]
    words += [f"{t['quantity']}: {said_of(doors, number, t['code'])}" for t in tickets]
    due = re.search(r"due (.*?)  ", typed.splitlines()[0])
    words += [due[1]] if due else []
    for said in (typed, doors.shown("/where", words=number), doors.shown(f"/orders/{number}")):
        assert [one for one in words if one not in " ".join(said.split())] == []


def said_of(doors: Doors, number: str, code: str) -> str:
    """What the command says of a ticket's pieces."""
    (line,) = (one for one in doors.typed("where", number).splitlines() if one.strip().startswith(code))
    return line.rpartition(": ")[2]


@pytest.mark.parametrize("number", STANDINGS)
def test_figures_add_up_to_what_was_ordered_through_every_door(doors: Doors, number: str) -> None:
    """The customer's own page counts the same pieces; station pages show what waits there of the order."""
    (order,) = doors.document("where", number)["orders"]
    waiting: dict[str, int] = {}
    for ticket in order["tickets"]:
        for station, count in ticket["waiting"].items():
            waiting[station] = waiting.get(station, 0) + count
        codes = doors.shown(f"/t/{ticket['code']}")
        assert ticket["artwork"] in codes
    gone = sum(t["dispatched"] + t["cancelled"] for t in order["tickets"])
    page = text_of(doors.shop.stranger().get(doors.shop.web.links.make(number).at("")).text)
    shown = sum(int(count) for count in re.findall(r"(\d+) (?:to be|printed|ready|has left|cancelled)", page))
    assert shown == sum(waiting.values()) + gone
    assert all(one in page for one in order["consignments"])
    for station in waiting:
        lines = doors.asked(f"/api/at/{station}")["waiting"]
        here = sum(line["pieces"] for line in lines if line["order"] == number)
        assert here == (waiting[station] if order["standing"] in ("in work", "ready") else here)


def test_the_line_names_the_late_one_as_where_does(doors: Doors) -> None:
    """Its latest time, what limits it and what helps it, on the page of the line and in its JSON."""
    (order,) = doors.document("where", "OB-5")["orders"]
    line = doors.asked("/api/line")
    (risk,) = (one for one in line["at_risk"] if one["order"] == "OB-5")
    assert (risk["latest"], risk["limited_by"]) == (order["ready"]["latest"], order["limited_by"])
    assert risk["helps"] == order["helps"]
    shown = doors.shown("/")
    assert order["helps"]["says"] in shown
    assert "OB-5" in shown


def test_the_question_is_the_same_at_the_desk_and_for_the_caller(doors: Doors) -> None:
    """What the customer is asked stands on the queries page, on the order's own, and in the answer."""
    (order,) = doors.document("where", "OB-1")["orders"]
    (finding,) = order["queried_items"][0]["findings"]
    assert finding["says"].rstrip(".").lower() in order["says"].lower()
    assert finding["says"] in doors.shown("/queries")
    assert finding["says"] in doors.shown("/orders/OB-1")
