"""Packing on the pages: slips with the order, printed anew, as the command has them."""

from __future__ import annotations

import json

import pytest

from intake.cli import main
from tests.tickets.paper.samples import text_of
from tests.web.shops import WebShop, post_json


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
