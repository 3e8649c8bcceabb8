"""One answer through every door: the JSON of a page is the JSON of the command."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from intake import cli
from tests.web.shops import WebShop, post_json

Command = Callable[..., Any]


@pytest.fixture
def command(web_shop: WebShop, capsys: pytest.CaptureFixture[str]) -> Command:
    """Types a command with --json in the same shop; its document."""

    def run(*words: str) -> Any:
        capsys.readouterr()
        cli.main([*words, "--json", "--shop", str(web_shop.shop.folder)])
        return json.loads(capsys.readouterr().out)

    return run


def without_times(document: Any) -> Any:
    """A document without the moment at which a scan was made."""
    if isinstance(document, dict):
        return {key: without_times(value) for key, value in document.items() if key not in ("at", "taken")}
    return [without_times(one) for one in document] if isinstance(document, list) else document


def test_questions_are_answered_alike(web_shop: WebShop, command: Command) -> None:
    """where, orders and inbox: to the letter."""
    code = web_shop.take("OB-1")
    web_shop.take("OB-2", verdict="query")
    web_shop.scan(code, "print", good=10)
    desk = web_shop.device("desk")
    for words in ("otter", code, "nobody at all"):
        assert desk.get("/api/where", params={"words": words}).json() == command("where", words)
    assert desk.get("/api/orders").json() == command("orders")
    queried = desk.get("/api/orders", params={"standing": "queried"}).json()
    assert queried == command("orders", "--standing", "queried")
    assert [o["order"] for o in queried["orders"]] == ["OB-2"]
    assert desk.get("/api/inbox").json() == command("inbox")
    ticket = desk.get(f"/api/t/{code}").json()
    assert ticket == command("where", code)["orders"][0]["tickets"][0]


def test_a_promise_is_answered_alike(web_shop: WebShop, command: Command, tmp_path: Path) -> None:
    """The command, the JSON and the page say the same day; a station's device is not asked."""
    web_shop.take("OB-1")
    asked = {"due": "2099-12-11", "items": [{"quantity": 40, "width_mm": 90, "service": "pressed"}]}
    (tmp_path / "order.json").write_text(json.dumps(asked), encoding="utf-8")
    desk = web_shop.device("desk")
    told = command("promise", str(tmp_path / "order.json"))
    assert post_json(desk, "/api/promise", **asked).json() == told
    typed = {"quantity_1": "40", "width_mm_1": "90,0", "service_1": "pressed", "due": "2099-12-11"}
    page = desk.get("/promise", params=typed).text
    assert all(said in page for said in (told["says"], *told["others"], *told["assumed"]))
    assert web_shop.device("station").get("/promise").status_code == 403


def test_a_promise_page_says_what_is_wrong(web_shop: WebShop) -> None:
    """And keeps what was typed."""
    desk = web_shop.device("desk")
    page = desk.get("/promise", params={"quantity_1": "forty", "width_mm_1": "90"})
    assert page.status_code == 422
    assert "items[0].quantity" in page.text
    assert 'value="forty"' in page.text


def test_acts_are_answered_alike(web_shop: WebShop, command: Command) -> None:
    """The same act on two orders that are alike, once at each door: only names and times differ."""
    web_shop.take("OB-1")
    web_shop.take("OB-2")
    desk = web_shop.device("desk")

    def both(act: str, words: list[str], **asked: Any) -> None:
        code, other = web_shop.codes("OB-1")[0], web_shop.codes("OB-2")[0]
        by_page = post_json(desk, f"/api/{act}", code=code, **asked).json()
        by_command = command(act, other, *words)
        told = json.dumps(by_page)
        for own, foreign in zip(
            ("OB-1", *web_shop.codes("OB-1")), ("OB-2", *web_shop.codes("OB-2")), strict=True
        ):
            told = told.replace(own, foreign)
        if by_page.get("reprint"):  # one that an undo has withdrawn is in no list any more
            told = told.replace(by_page["reprint"], by_command["reprint"])
        told = told.replace(by_page["artwork_sha256"], by_command["artwork_sha256"])
        assert without_times(json.loads(told)) == without_times(by_command), act

    both("scan", ["--at", "print"], station="print")
    both("scan", ["--at", "powder", "--good", "30"], station="powder", good=30)
    spoiled = ["--at", "cure", "--good", "28", "--spoiled", "2", "--why", "scorched", "--by", "Ines"]
    both("scan", spoiled, station="cure", good=28, spoiled=2, why="scorched", by="Ines")
    both("undo", [], by="")
    both("hold", ["--why", "wait"], why="wait")
    both("release", ["--by", "Ines"], by="Ines")
    both("change", ["--quantity", "44", "--why", "more"], pieces=44, why="more")
    both("change", ["--due", "2099-12-11", "--why", "put off"], due="2099-12-11", why="put off")
    both("cancel", ["--pieces", "5", "--why", "fewer"], pieces=5, why="fewer")


def test_devices_are_let_in_and_revoked_by_command(web_shop: WebShop, command: Command) -> None:
    """add shows a code that works, list names the device, revoke ends it."""
    added = command("device", "add", "--role", "desk", "--name", "front desk")
    client = web_shop.stranger()
    assert client.post("/pair", data={"code": added["code"]}).status_code == 303
    assert client.get("/queries").status_code == 200
    (one,) = command("device", "list")["devices"]
    assert (one["name"], one["role"], one["revoked"]) == ("front desk", "desk", None)
    assert command("device", "revoke", str(one["id"]))["revoked"]
    assert client.get("/queries").status_code == 401


def test_a_pairing_code_is_shown_as_a_picture_too(
    web_shop: WebShop, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the terminal shows can be read by a camera, and leads to the pairing page."""
    import zxingcpp
    from PIL import Image

    where = ["--shop", str(web_shop.shop.folder), "--address", "http://192.0.2.10:8765"]
    assert cli.main(["device", "add", *where]) == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if set(line) <= set(" ▀▄█")]
    light = {" ": (0, 0), "▄": (0, 1), "▀": (1, 0), "█": (1, 1)}
    rows = [[light[c][half] for c in line] for line in lines if line for half in (0, 1)]
    picture = Image.new("L", (len(rows[0]), len(rows)))
    picture.putdata([255 * value for row in rows for value in row])
    (found,) = zxingcpp.read_barcodes(picture.resize((picture.width * 8, picture.height * 8)))
    assert found.text.startswith("http://192.0.2.10:8765/pair/")
    code = found.text.rpartition("/")[2]
    assert web_shop.stranger().post("/pair", data={"code": code}).status_code == 303


def test_asking_where_does_not_wait_for_the_pages() -> None:
    """The command that answers a caller imports neither web framework nor server."""
    import subprocess
    import sys

    script = (
        "import sys; from intake import cli; cli.main(['where', '--help']); "
        "from tickets.lookup import where_is; "
        "sys.exit(any(name in sys.modules for name in ('fastapi', 'starlette', 'uvicorn', 'jinja2')))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
