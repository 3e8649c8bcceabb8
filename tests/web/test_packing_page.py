"""Packing on the pages: slips with the order, printed anew, as the command has them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from intake.cli import main
from tests.tickets.paper.samples import render, scan, text_of
from tests.web.shops import WebShop, post_json, submit


def test_a_dispatch_at_the_station_makes_a_slip(
    web_shop: WebShop, capsys: pytest.CaptureFixture[str]
) -> None:
    """It lies in papers/, the order's page leads to it, and page and command say the same."""
    code = web_shop.take("OB-1")
    web_shop.scan(code, "print", "powder", "cure", "press")
    desk = web_shop.device("desk")
    done = post_json(desk, "/api/scan", code="OB-1", station="dispatch", collected_by="Tom").json()
    assert done["packing"] == 1
    path = web_shop.shop.papers / "OB-1" / "packing-1.pdf"
    assert path.is_file()
    page = desk.get("/orders/OB-1").text
    assert "Collected on" in page
    assert "/packing/1.pdf?order=OB-1" in page
    path.unlink()
    again = desk.get("/packing/1.pdf", params={"order": "OB-1"})
    assert "40 garments: navy hoodie" in text_of(again.content)
    told = desk.get("/api/packing", params={"order": "OB-1"}).json()
    capsys.readouterr()
    main(["packing", "OB-1", "--json", "--shop", str(web_shop.shop.folder)])
    typed = json.loads(capsys.readouterr().out)
    assert [{k: v for k, v in slip.items() if k != "file"} for slip in typed["slips"]] == told["slips"]


def test_an_undo_prints_the_slip_as_void(web_shop: WebShop) -> None:
    """Whoever opens it sees that it is one no more."""
    code = web_shop.take("OB-1")
    web_shop.scan(code, "print", "powder", "cure", "press", "dispatch")
    desk = web_shop.device("desk")
    post_json(desk, "/api/undo", code=code)
    path = web_shop.shop.papers / "OB-1" / "packing-1.pdf"
    assert "VOID" in text_of(path.read_bytes())
    assert desk.get("/packing/7.pdf", params={"order": "OB-1"}).status_code == 404
    assert desk.get("/packing/1.pdf", params={"order": "OB-9"}).status_code == 404


def form(client: Any, order: str, act: str, **fields: str) -> Any:
    """Send one of the forms on an order's page, as a browser does."""
    return submit(client, "/packing/act", order=order, act=act, **fields)


def test_parcels_are_packed_on_the_orders_page(web_shop: WebShop) -> None:
    """Noted, changed, taken out; its label can be printed; what is wrong is said on the page."""
    web_shop.take("OB-1")
    station = web_shop.device("station")
    assert form(station, "OB-1", "parcel", weight="2,35", consignment="CN 1").status_code == 303
    page = station.get("/orders/OB-1").text
    assert "Parcel 1 · 2.35 kg · consignment CN 1 · waits for dispatch" in " ".join(page.split())
    label = station.get("/parcels/label.pdf", params={"order": "OB-1", "parcel": 1}).content
    assert "CN 1" in text_of(label)
    assert scan(render(label, 203)) == ["OB-1/1"]
    refused = form(station, "OB-1", "parcel", weight="heavy")
    assert (refused.status_code, "weighs more than 0 kg" in refused.text) == (422, True)
    form(station, "OB-1", "change-parcel", parcel="1", weight="2.5", consignment="CN <2>")
    assert "consignment CN &lt;2&gt;" in station.get("/orders/OB-1").text
    form(station, "OB-1", "remove-parcel", parcel="1")
    assert station.get("/parcels/label.pdf", params={"order": "OB-1", "parcel": 1}).status_code == 404
    assert form(station, "OB-1", "nonsense").status_code == 404


def test_a_part_is_sent_from_the_page_only_with_its_reason(web_shop: WebShop) -> None:
    """As at every door: refused without, booked with; and who collected it stands on the slip."""
    code = web_shop.take("OB-1")
    web_shop.scan(code, "print", "powder", "cure", "press", good=10)
    desk = web_shop.device("desk")
    assert "this would send a part" in form(desk, "OB-1", "dispatch").text
    assert web_shop.waiting("OB-1")["dispatch"] == 10
    assert form(desk, "OB-1", "dispatch", part="yes", why=" ").status_code == 422
    assert web_shop.waiting("OB-1")["dispatch"] == 10
    done = form(desk, "OB-1", "dispatch", part="yes", why="needed today", collected_by="Tom")
    assert done.status_code == 303
    assert web_shop.waiting("OB-1")["dispatch"] == 0
    assert "by Tom" in text_of((web_shop.shop.papers / "OB-1" / "packing-1.pdf").read_bytes())


def test_the_shelf_is_written_on_the_page(web_shop: WebShop) -> None:
    """And shown there."""
    web_shop.take("OB-1")
    desk = web_shop.device("desk")
    form(desk, "OB-1", "shelf", place="B3 <left>")
    assert "B3 &lt;left&gt;" in desk.get("/orders/OB-1").text


def test_parcels_and_shelf_are_answered_alike(web_shop: WebShop, capsys: pytest.CaptureFixture[str]) -> None:
    """Command and page, to the letter but for times and files."""
    web_shop.take("OB-1")
    web_shop.take("OB-2")
    desk = web_shop.device("desk")

    def typed(*words: str) -> Any:
        capsys.readouterr()
        assert main([*words, "--json", "--shop", str(web_shop.shop.folder)]) == 0
        return json.loads(capsys.readouterr().out)

    def alike(asked: Any, said: Any) -> bool:
        plain = json.loads(json.dumps(said).replace("OB-2", "OB-1"))
        left = ("at", "label", "taken", "code")
        return bool(without(asked, left) == without(plain, left))

    def without(document: Any, keys: tuple[str, ...]) -> Any:
        if isinstance(document, dict):
            return {k: without(v, keys) for k, v in document.items() if k not in keys}
        return [without(one, keys) for one in document] if isinstance(document, list) else document

    asked = {"order": "OB-1", "weight_kg": 2.35, "consignment": "CN 1"}
    done = post_json(desk, "/api/parcels", **asked).json()
    assert alike(done, typed("parcel", "add", "OB-2", "--weight-kg", "2.35", "--consignment", "CN 1"))
    done = post_json(desk, "/api/parcels", order="OB-1", parcel=1, consignment="CN 2").json()
    assert alike(done, typed("parcel", "change", "OB-2/1", "--consignment", "CN 2"))
    listed = desk.get("/api/parcels", params={"order": "OB-1"}).json()
    assert alike(listed, typed("parcel", "list", "OB-2"))
    label = typed("parcel", "label", "ob-2/1")
    assert "CN 2" in text_of((web_shop.shop.folder / label["label"]).read_bytes())
    done = post_json(desk, "/api/shelf", order="OB-1", place="B3").json()
    shelf = typed("shelf", "OB-2", "B3")
    assert (done["shelf"], done["says"]) == (shelf["shelf"], shelf["says"].replace("OB-2", "OB-1"))
    done = post_json(desk, "/api/parcels/remove", order="OB-1", parcel=1).json()
    assert alike(done, typed("parcel", "remove", "OB-2/1"))


def test_a_scan_that_a_device_kept_sends_no_part_unasked(web_shop: WebShop) -> None:
    """It comes back as a question for a person; with the reason it is booked under a key of its own."""
    code = web_shop.take("OB-1")
    web_shop.scan(code, "print", "powder", "cure", "press", good=10)
    phone = web_shop.device("station")
    kept = {"code": code, "station": "dispatch", "key": "k1", "device_at": "2026-12-02T10:00:00Z"}
    refused = post_json(phone, "/api/scan", **kept, device_sequence=1)
    assert (refused.status_code, refused.json()["slug"]) == (409, "part-dispatch")
    assert web_shop.waiting("OB-1")["dispatch"] == 10
    asked = {**kept, "key": "k2", "part": True, "why": "needed today"}
    assert post_json(phone, "/api/scan", **asked, device_sequence=2).json()["packing"] == 1
