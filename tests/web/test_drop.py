"""Artwork dropped on the page is checked at once, and what is sent is an ordinary order in the inbox."""

from __future__ import annotations

import io
import re
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi.testclient import TestClient
from PIL import Image, ImageDraw
from sqlmodel import select

from config.settings import load_settings
from intake.daemon import Daemon
from intake.sandbox import Sandbox
from tests.web.shops import ADDRESS, WebShop, submit, token_of
from tickets.lookup import order_answer
from tickets.lookup.items import items_of
from tickets.lookup.packing import order_ship_to
from tickets.models import Order

TYPED = {"customer": "Otter Bank Rowing Club", "order": "D-1", "due": "2099-12-04", "service": "pressed"}


def thin_art() -> bytes:
    """A disc with a hair line of one pixel beside it: at 300 ppi 0.085 mm."""
    drawn = Image.new("RGBA", (700, 500), (0, 0, 0, 0))
    pen = ImageDraw.Draw(drawn)
    pen.ellipse((20, 20, 420, 420), fill=(16, 33, 63, 255))
    pen.line((600, 40, 600, 440), fill=(150, 30, 40, 255), width=1)
    buffer = io.BytesIO()
    drawn.save(buffer, "PNG")
    return buffer.getvalue()


def upload(client: TestClient, content: bytes, name: str = "crest.png", draft: str = "") -> httpx.Response:
    """Send a file as the page's script does."""
    headers = {"X-Filmdocket-Token": token_of(client.get("/")), "Origin": ADDRESS}
    asked = {"name": name, "draft": draft}
    answer: httpx.Response = client.post("/drop/art", params=asked, content=content, headers=headers)
    return answer


def keys_of(page: httpx.Response) -> list[str]:
    """The items of a draft's page."""
    return re.findall(r'id="item-([0-9a-f]+)"', page.text)


@pytest.fixture(scope="module")
def sandbox() -> Iterator[Sandbox]:
    """One set of workers for all tests of this module: each takes a second to start."""
    with Sandbox(load_settings(None, {}).sandbox) as started:
        yield started


@pytest.fixture
def web_shop(web_shop: WebShop, sandbox: Sandbox) -> Iterator[WebShop]:
    """A shop whose files settle at once."""
    web_shop.web.folders.__dict__["sandbox"] = sandbox
    hasty = {"settle_seconds": 0.0, "scan_seconds": 0.05}
    change_intake(web_shop, hasty)
    yield web_shop
    del web_shop.web.folders.__dict__["sandbox"]


def change_intake(web_shop: WebShop, changes: dict[str, Any]) -> None:
    """Other settings of the intake."""
    settings = web_shop.shop.settings
    object.__setattr__(settings, "intake", settings.intake.model_copy(update=changes))


def take_in(web_shop: WebShop, sandbox: Sandbox) -> None:
    """One `watch --once`."""
    Daemon(web_shop.shop, sandbox, "test", threading.Event()).run_once()


def files_in(inbox: Path) -> list[Path]:
    """What lies in the inbox, hidden files left out."""
    return [path for path in inbox.rglob("*") if path.is_file() and not path.name.startswith(".")]


def test_dropped_artwork_is_checked_at_once_and_sent_as_an_order(web_shop: WebShop, sandbox: Sandbox) -> None:
    """Uploaded, seen with its measured places, filled in, sent; then intake takes it like any other."""
    desk = web_shop.device("desk")
    draft = upload(desk, thin_art()).json()["draft"]
    page = desk.get(f"/drop/{draft}")
    (key,) = keys_of(page)
    assert "line-width" in page.text
    assert "to be asked" in page.text
    assert 'value="59.3"' in page.text  # 700 pixels at 300 an inch
    assert desk.get(f"/drop/{draft}/{key}.png").content.startswith(b"\x89PNG")
    lacking = submit(desk, f"/drop/{draft}", act="send", **TYPED)
    assert lacking.status_code == 422
    assert "how many pieces?" in lacking.text
    assert files_in(web_shop.shop.inbox) == []
    sent = submit(
        desk,
        f"/drop/{draft}",
        act="send",
        **TYPED,
        **{f"{key}-width_mm": "90,5", f"{key}-quantity": "30", f"{key}-sizes": "S 10, M 20"},
    )
    assert sent.headers["location"] == "/drop/sent?order=D-1"
    assert desk.get(f"/drop/{draft}").status_code == 404
    (file,) = files_in(web_shop.shop.inbox)
    assert file.parent.name == "Otter Bank Rowing Club"
    assert zipfile.ZipFile(file).read("crest.png") == thin_art()
    assert "intake takes it in a moment" in desk.get("/drop/sent?order=D-1").text
    take_in(web_shop, sandbox)
    answer = order_answer(web_shop.shop.store, web_shop.shop.settings, "D-1")
    assert (answer.standing, answer.customer) == ("queried", "Otter Bank Rowing Club")
    assert answer.tickets[0].quantity == 30
    assert desk.get("/drop/sent?order=D-1").headers["location"] == "/orders/D-1"
    assert files_in(web_shop.shop.inbox) == []


def test_the_page_works_without_scripts(web_shop: WebShop) -> None:
    """A form with files does the same, and a second file of one name gets a name of its own."""
    desk = web_shop.device("desk")
    data = {"token": token_of(desk.get("/"))}
    files = [("files", ("crest.png", thin_art())), ("files", ("../crest.png", thin_art() + b"\0"))]
    began = desk.post("/drop/new", data=data, files=files, headers={"Origin": ADDRESS})
    page = desk.get(began.headers["location"])
    assert ">crest.png<" in page.text
    assert ">crest-2.png<" in page.text
    one, _ = keys_of(page)
    submit(desk, began.headers["location"], act=f"remove-{one}")
    assert keys_of(desk.get(began.headers["location"])) == [_]


def test_artwork_in_the_inbox_is_listed_and_made_into_an_order(web_shop: WebShop, sandbox: Sandbox) -> None:
    """It stays where it lies; the order appears beside it, and intake brings the two together."""
    desk = web_shop.device("desk")
    lying = web_shop.shop.inbox / "Thistle Bakery" / "sign.png"
    lying.parent.mkdir()
    lying.write_bytes(thin_art())
    take_in(web_shop, sandbox)
    assert "Thistle Bakery/sign.png" in desk.get("/drop").text
    began = submit(desk, "/drop/new", lying="Thistle Bakery/sign.png")
    (key,) = keys_of(desk.get(began.headers["location"]))
    typed = {f"{key}-width_mm": "120", f"{key}-quantity": "3", "customer": "Thistle Bakery"}
    submit(desk, began.headers["location"], act="send", order="D-2", **typed)
    assert {p.suffix for p in files_in(lying.parent)} == {".png", ".json"}
    take_in(web_shop, sandbox)
    assert order_answer(web_shop.shop.store, web_shop.shop.settings, "D-2").tickets[0].artwork == "sign.png"
    assert "sign.png" not in desk.get("/drop").text
    gone = submit(desk, "/drop/new", lying="../shop.toml")
    assert gone.status_code == 404
    assert "no longer lies in the inbox" in gone.text


def test_same_as_last_time_takes_the_earlier_artwork(web_shop: WebShop, sandbox: Sandbox) -> None:
    """Customer, items and artwork come over; a number that is taken is told, left empty one is given."""
    desk = web_shop.device("desk")
    upload_first = upload(desk, thin_art()).json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{upload_first}"))
    submit(
        desk,
        f"/drop/{upload_first}",
        act="send",
        **TYPED,
        **{f"{key}-quantity": "5", f"{key}-width_mm": "80"},
    )
    take_in(web_shop, sandbox)
    began = submit(desk, "/drop/new", earlier="D-1").headers["location"]
    page = desk.get(began)
    (key,) = keys_of(page)
    assert 'value="Otter Bank Rowing Club"' in page.text
    assert 'value="80"' in page.text
    typed = {f"{key}-quantity": "7", f"{key}-width_mm": "80", "customer": "Otter Bank Rowing Club"}
    taken = submit(desk, began, act="send", order="D-1", **typed)
    assert "There is an order D-1 already." in taken.text
    sent = submit(desk, began, act="send", **typed)
    number = sent.headers["location"].rpartition("=")[2]
    take_in(web_shop, sandbox)
    shop = web_shop.shop
    first, again = (order_answer(shop.store, shop.settings, n).tickets[0] for n in ("D-1", number))
    assert (again.artwork_sha256, again.quantity) == (first.artwork_sha256, 7)
    assert submit(desk, "/drop/new", earlier="D-99").status_code == 404


def test_same_as_last_time_takes_page_cloth_sizes_and_film_too(web_shop: WebShop, sandbox: Sandbox) -> None:
    """All that was said of the item comes over, and the page that it was of is checked."""
    two_pages = io.BytesIO()
    disc = Image.open(io.BytesIO(thin_art()))
    plain = Image.new("RGBA", disc.size, (30, 90, 40, 255))
    plain.save(two_pages, "TIFF", save_all=True, append_images=[disc], dpi=(300, 300))
    desk = web_shop.device("desk")
    draft = upload(desk, two_pages.getvalue(), "crests.tif").json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{draft}"))
    film = web_shop.shop.settings.film.kinds[-1]
    told = {"quantity": "30", "width_mm": "59", "fabric": "cotton", "sizes": "S 10, M 20", "film": film}
    told |= {"pages": "2", "mirrored": "yes", "colour": "10213F"}
    submit(desk, f"/drop/{draft}", act="send", **TYPED, **{f"{key}-{k}": v for k, v in told.items()})
    take_in(web_shop, sandbox)
    (item,) = items_of(web_shop.shop.store, "D-1")
    assert (item.page, item.fabric, dict(item.sizes)) == (2, "cotton", {"S": 10, "M": 20})
    again = submit(desk, "/drop/new", earlier="D-1").headers["location"]
    page = desk.get(again).text
    assert "line-width" in page  # of the second page: the first has no line
    for value in ("cotton", "S 10, M 20", "#10213f", "2"):
        assert f'value="{value}"' in page
    assert f"<option selected>{film}" in page
    assert 'value="yes" checked' in page


def test_a_colour_that_is_none_is_said(web_shop: WebShop) -> None:
    """At the check, and once more when the order is sent: nothing typed is dropped without a word."""
    desk = web_shop.device("desk")
    draft = upload(desk, thin_art()).json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{draft}"))
    typed = {f"{key}-width_mm": "59", f"{key}-quantity": "1"}
    for act in ("check", "send"):
        said = submit(desk, f"/drop/{draft}", act=act, **TYPED, **typed, **{f"{key}-colour": "navy"})
        assert "crest.png: the garment&#39;s colour cannot be read" in said.text
    assert files_in(web_shop.shop.inbox) == []
    sent = submit(desk, f"/drop/{draft}", act="send", **TYPED, **typed, **{f"{key}-colour": "10213F"})
    assert sent.status_code == 303


def test_an_upload_is_bounded_and_leaves_nothing_behind(web_shop: WebShop) -> None:
    """Too large, empty, from a stranger or a station: refused, and no part of it stays."""
    change_intake(web_shop, {"largest_file_mb": 1})
    desk, drafts = web_shop.device("desk"), web_shop.shop.derived / "drafts"
    assert "crest.png is larger than 1 MB" in upload(desk, b"x" * 1_000_001).text
    assert "empty" in upload(desk, b"").text
    assert upload(web_shop.device("station"), thin_art()).status_code == 403
    assert web_shop.stranger().post("/drop/art?name=a.png", content=b"x").status_code == 401
    assert list(drafts.rglob("*.art")) == []
    assert submit(desk, "/desk/act", order="x" * 1_000_100).status_code == 413


def test_a_draft_is_named_by_nobody_else(web_shop: WebShop) -> None:
    """Names that lead out of the folder of drafts name nothing."""
    desk = web_shop.device("desk")
    for name in ("0" * 16, "%2e%2e%2f%2e%2e", "..%2fx", "sent2"):
        assert desk.get(f"/drop/{name}").status_code == 404


def test_hostile_names_become_usable_ones(web_shop: WebShop) -> None:
    """Paths, hidden and temporary names: the artwork gets a name that an order may give it."""
    desk = web_shop.device("desk")
    draft = ""
    for name in (
        "../../etc/passwd",
        ".hidden.png",
        "crest.png.part",
        "a\\b\\c.png",
        "C:evil.png",
        "\x00\n.png",
    ):
        draft = upload(desk, thin_art(), name, draft).json()["draft"]
    page = desk.get(f"/drop/{draft}")
    typed = {f"{key}-quantity": "1" for key in keys_of(page)} | {
        f"{key}-width_mm": "50" for key in keys_of(page)
    }
    assert submit(desk, f"/drop/{draft}", act="send", **TYPED, **typed).status_code == 303
    (file,) = files_in(web_shop.shop.inbox)
    names = zipfile.ZipFile(file).namelist()
    assert len(set(names)) == 7
    assert not [n for n in names if "/" in n or "\\" in n or n.startswith(".")]


def test_a_missing_inbox_is_said_and_the_order_is_kept(web_shop: WebShop) -> None:
    """A network folder that is away: nothing is written into its place, and the draft stays."""
    desk = web_shop.device("desk")
    draft = upload(desk, thin_art()).json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{draft}"))
    (web_shop.shop.inbox / ".filmdocket-inbox").unlink()
    typed = {f"{key}-quantity": "1", f"{key}-width_mm": "50"}
    said = submit(desk, f"/drop/{draft}", act="send", **TYPED, **typed)
    assert said.status_code == 503
    assert "does not carry the shop" in said.text
    assert desk.get(f"/drop/{draft}").status_code == 200


def test_it_is_said_whether_an_order_is_collected_or_sent(web_shop: WebShop, sandbox: Sandbox) -> None:
    """Sent without an address, or an address and yet collected, is asked; lines come onto slips and over."""
    desk = web_shop.device("desk")
    draft = upload(desk, thin_art()).json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{draft}"))
    typed = {**TYPED, f"{key}-quantity": "5", f"{key}-width_mm": "80", "part": "yes"}
    lines = "Otter Bank Rowing Club\r\n  The Boathouse \r\n\r\nOtterbank"
    lacking = submit(desk, f"/drop/{draft}", act="send", handing="ship", **typed)
    assert "Where is it sent?" in lacking.text
    both = submit(desk, f"/drop/{draft}", act="send", handing="collect", ship_to=lines, **typed)
    assert "It is collected, and yet there is an address" in both.text
    assert "The Boathouse" in both.text
    submit(desk, f"/drop/{draft}", act="send", handing="ship", ship_to=lines, **typed)
    take_in(web_shop, sandbox)
    address = ("Otter Bank Rowing Club", "The Boathouse", "Otterbank")
    assert order_ship_to(web_shop.shop.store, "D-1") == address
    with web_shop.shop.store.reading() as session:
        assert session.exec(select(Order.allow_part_dispatch)).one()
    again = desk.get(submit(desk, "/drop/new", earlier="D-1").headers["location"]).text
    assert 'value="ship" checked' in again
    assert "\n".join(address) in again


@pytest.mark.parametrize("width", ["wide", "-3", "1e9", "0", "90 inches"])
def test_a_width_that_is_none_is_asked_for(web_shop: WebShop, width: str) -> None:
    """Told beside the artwork's name, in words."""
    desk = web_shop.device("desk")
    draft = upload(desk, thin_art()).json()["draft"]
    (key,) = keys_of(desk.get(f"/drop/{draft}"))
    said = submit(
        desk, f"/drop/{draft}", act="send", **TYPED, **{f"{key}-width_mm": width, f"{key}-quantity": "1"}
    )
    assert "crest.png: how wide is the print" in said.text
