"""A question is ended on its page: repaired after a look at before and after, or with new artwork."""

from __future__ import annotations

import hashlib
import io
import json
import re
import threading
import zipfile
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from PIL import Image

from config.settings import load_settings
from intake.cli import main
from intake.daemon import Daemon
from intake.mends import ShopMends
from intake.sandbox import Sandbox
from tests.intake.repairs.pictures import drawn
from tests.web.shops import ADDRESS, WebShop, post_json, submit, token_of
from tickets.lookup import order_answer, order_history
from tickets.lookup.items import items_of, open_questions

# At 20 mm: specks of 0.24 mm beside a disc that fills the canvas but for a margin of 2.5 mm at its left.
SPECKLED = drawn(250, 215, [(31, 0, 250, 215), (10, 20, 13, 23), (15, 30, 18, 33)])


def png(rgba: np.ndarray[Any, Any]) -> bytes:
    """Artwork as a file."""
    buffer = io.BytesIO()
    Image.fromarray(rgba).save(buffer, "PNG", dpi=(300, 300))
    return buffer.getvalue()


@pytest.fixture(scope="module")
def sandbox() -> Iterator[Sandbox]:
    """One set of workers for all tests of this module."""
    with Sandbox(load_settings(None, {}).sandbox) as started:
        yield started


class Desk:
    """A shop whose one order is queried for its specks, and its pages."""

    def __init__(self, web_shop: WebShop, sandbox: Sandbox) -> None:
        self.web, self.shop, self._sandbox = web_shop, web_shop.shop, sandbox
        self.drop("OB-1", "Otter Bank")
        self.pages = web_shop.device("desk")

    @classmethod
    def hasty(cls, web_shop: WebShop, sandbox: Sandbox) -> Desk:
        """Files settle at once, and the pages have their workers already."""
        settings = web_shop.shop.settings
        hasty = {"settle_seconds": 0.0, "scan_seconds": 0.02, "company_seconds": 0.0}
        object.__setattr__(settings, "intake", settings.intake.model_copy(update=hasty))
        web_shop.web.folders.__dict__["mends"] = ShopMends(web_shop.shop, lambda: sandbox)
        return cls(web_shop, sandbox)

    def drop(self, number: str, folder: str = "", art: bytes = b"", **changes: Any) -> str:
        """An order as a customer drops it, taken in; returns the ticket's code."""
        place = self.shop.inbox / folder
        place.mkdir(exist_ok=True)
        (place / "crest.png").write_bytes(art or png(SPECKLED))
        item = {"artwork": "crest.png", "width_mm": 20, "quantity": 5, **changes}
        order = {"order": number, "customer": {"name": "Otter Bank"}, "due": "2099-12-04", "items": [item]}
        (place / f"{number}.json").write_text(json.dumps(order), "utf-8")
        self.take_in()
        return order_answer(self.shop.store, self.shop.settings, number).tickets[0].code

    def take_in(self) -> None:
        """One `watch --once`."""
        Daemon(self.shop, self._sandbox, "test", threading.Event()).run_once()

    @property
    def code(self) -> str:
        """The first order's ticket."""
        return order_answer(self.shop.store, self.shop.settings, "OB-1").tickets[0].code

    def standing(self, number: str = "OB-1") -> str:
        """Where an order stands."""
        return order_answer(self.shop.store, self.shop.settings, number).standing

    def set_remembering(self) -> None:
        """The shop wants releases remembered."""
        settings = self.shop.settings
        remembering = settings.queries.model_copy(update={"remember_releases": True})
        object.__setattr__(settings, "queries", remembering)


@pytest.fixture
def desk(web_shop: WebShop, sandbox: Sandbox) -> Desk:
    """The shop; its files settle at once."""
    return Desk.hasty(web_shop, sandbox)


def seen(desk: Desk, name: str, view: str) -> np.ndarray[Any, Any]:
    """A picture of a repair as the page shows it."""
    answer = desk.pages.get(f"/queries/{desk.code}/repairs/{name}/{view}.png")
    assert answer.headers["content-type"] == "image/png"
    return np.asarray(Image.open(io.BytesIO(answer.content)).convert("RGB"), int)


def test_each_repair_shows_before_and_after(desk: Desk) -> None:
    """Those that answer a finding are named on the questions' page; the others are offered beside them."""
    assert "Repair it here: Remove specks" in desk.pages.get("/queries").text
    page = desk.pages.get(f"/queries/{desk.code}/repairs").text
    assert "answers islands" in page
    assert re.findall(r'name="do" value="(\w+)"[^>]*? checked', page) == ["specks", "trim"]
    before, after = seen(desk, "specks", "before"), seen(desk, "specks", "after")
    assert (before.shape, before[21, 11].tolist()) == ((215, 250, 3), [200, 30, 40])
    assert after[21, 11].min() > 200
    assert (before[:, 35:] == after[:, 35:]).all()
    close = seen(desk, "specks", "close_before")
    assert (close == [200, 30, 40]).all(axis=2).sum() > 400  # a dot of 9 pixels, enlarged
    assert seen(desk, "trim", "after").shape[1] == 240  # from the specks on: alone it takes none
    assert desk.standing() == "queried"


def test_the_chosen_are_seen_together_and_checked_again(desk: Desk) -> None:
    """What is left to ask is told before anything is booked."""
    together = submit(desk.pages, f"/queries/{desk.code}/repairs", act="see", do=["specks"], sha256="")
    page = desk.pages.get(together.headers["location"].partition("#")[0]).text
    assert "Checked again:" in page
    assert "something is still asked" in page  # the margin, where the specks lay
    both = desk.pages.get(f"/queries/{desk.code}/repairs", params={"do": ["trim", "specks"]}).text
    assert "nothing is left to ask" in both
    assert seen(desk, "specks+trim", "after").shape[:2] == (215, 219)


def test_released_repaired_it_is_a_new_revision(desk: Desk) -> None:
    """By whom is asked; the customer's file is kept; history tells it; the floor may go on."""
    (item,) = items_of(desk.shop.store, "OB-1")
    asked = {"act": "release", "do": ["trim", "specks"], "sha256": item.artwork_sha256, "note": "yes please"}
    unnamed = submit(desk.pages, f"/queries/{desk.code}/repairs", **asked)
    assert "needs the name of the person" in unnamed.text
    released = submit(desk.pages, f"/queries/{desk.code}/repairs", by="Ines", **asked)
    assert released.headers["location"] == "/queries"
    (now,) = items_of(desk.shop.store, "OB-1")
    assert (now.revision, now.standing, desk.standing()) == (2, "accepted", "in work")
    for sha256 in (item.artwork_sha256, now.artwork_sha256):
        kept = (desk.shop.originals / sha256[:2] / sha256).read_bytes()
        assert hashlib.sha256(kept).hexdigest() == sha256
    told = [line.says for line in order_history(desk.shop.store, "OB-1")]
    assert any("was repaired here (specks and trim)" in says for says in told)
    assert desk.pages.get(f"/queries/{desk.code}/repairs").status_code == 404


def test_what_was_not_looked_at_is_not_repaired(desk: Desk) -> None:
    """New artwork that came meanwhile, no repair chosen, a station's device: nothing is booked."""
    asked = {"act": "release", "by": "Ines", "do": ["specks"]}
    changed = submit(desk.pages, f"/queries/{desk.code}/repairs", sha256="0" * 64, **asked)
    assert (changed.status_code, "New artwork came" in changed.text) == (409, True)
    (item,) = items_of(desk.shop.store, "OB-1")
    nothing = submit(
        desk.pages,
        f"/queries/{desk.code}/repairs",
        **{**asked, "do": ["polish"], "sha256": item.artwork_sha256},
    )
    assert "No repair was chosen" in nothing.text
    station = desk.web.device("station")
    assert submit(station, f"/queries/{desk.code}/repairs", sha256="", **asked).status_code == 403
    assert station.get(f"/queries/{desk.code}/repairs").status_code == 403
    assert "/repairs" not in station.get("/queries").text
    for path in ("specks/after2.png", "..%2f..%2fshop/after.png", "specks/..%2ftold.png"):
        assert desk.pages.get(f"/queries/{desk.code}/repairs/{path}").status_code == 404
    assert items_of(desk.shop.store, "OB-1")[0].revision == 1


def test_the_api_repairs_as_the_command_does(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """Two orders alike, one released by each: only their names differ; what is no repair is refused."""
    other = desk.drop("OB-2", "Thistle")
    first = desk.code
    wrong = post_json(desk.pages, "/api/release", code=first, by="Ines", repair=["polish"])
    assert wrong.json()["slug"] == "request-not-read"
    asked = {"code": first, "by": "Ines", "repair": ["specks", "trim"], "this_once": True}
    mine = post_json(desk.pages, "/api/release", **asked)
    capsys.readouterr()
    words = ["release", other, "--by", "Ines", "--repair", "specks,trim", "--this-once", "--json"]
    assert main([*words, "--shop", str(desk.shop.folder)]) == 0
    theirs = capsys.readouterr().out.replace(other, first).replace("OB-2", "OB-1")
    assert mine.json()["says"] == json.loads(theirs)["says"]
    assert mine.json().keys() == json.loads(theirs).keys()
    assert [items_of(desk.shop.store, n)[0].revision for n in ("OB-1", "OB-2")] == [2, 2]
    assert post_json(desk.pages, "/api/release", **asked).json()["slug"] == "no-open-question"


def send_in(desk: Desk, content: bytes, name: str = "crest final.png") -> Any:
    """New artwork by the page's form."""
    data = {"token": token_of(desk.pages.get("/"))}
    files = {"file": (name, content)} if name else {}
    path = f"/queries/{desk.code}/artwork"
    return desk.pages.post(path, data=data, files=files, headers={"Origin": ADDRESS})


def test_new_artwork_goes_through_the_inbox_for_that_order_alone(desk: Desk) -> None:
    """Whatever its file is called, it is the artwork's next revision; another order of that name is left."""
    desk.drop("OB-2", "Otter Bank")
    clean = png(drawn(250, 250, [(0, 0, 250, 250)]))
    sent = send_in(desk, clean)
    assert (sent.status_code, sent.headers["location"]) == (303, "/queries")
    (lying,) = desk.shop.inbox.rglob("*.zip")
    assert lying.parent.name == "Otter Bank"
    assert zipfile.ZipFile(lying).read("crest.png") == clean
    desk.take_in()
    (item,) = items_of(desk.shop.store, "OB-1")
    assert (item.revision, item.artwork_sha256) == (2, hashlib.sha256(clean).hexdigest())
    assert (desk.standing(), desk.standing("OB-2")) == ("in work", "queried")
    assert list(desk.shop.inbox.rglob("*.zip")) == []


def test_new_artwork_that_cannot_be_taken_leaves_nothing(desk: Desk) -> None:
    """Empty, none at all, too large, for a ticket without a question: said, and the inbox is as it was."""
    settings = desk.shop.settings
    small = settings.intake.model_copy(update={"largest_file_mb": 1})
    object.__setattr__(settings, "intake", small)
    assert "crest.png is empty" in send_in(desk, b"").text
    assert "No file was chosen" in send_in(desk, b"", "").text
    assert "larger than 1 MB" in send_in(desk, b"x" * 1_000_001).text
    desk.shop.ledger.release(desk.code, "Ines")
    assert send_in(desk, png(SPECKLED)).status_code == 404
    assert [path for path in desk.shop.inbox.rglob("*") if "drop" in path.name or path.suffix == ".zip"] == []


@pytest.mark.parametrize("remembers", [True, False])
def test_a_release_is_remembered_as_the_page_was_told(desk: Desk, remembers: bool) -> None:
    """Where the shop wants that at all: the same bytes at that size are asked about again, or are not."""
    assert 'name="remember"' not in desk.pages.get("/queries").text
    desk.set_remembering()
    assert 'name="remember"' in desk.pages.get("/queries").text
    said = {"remember": "yes"} if remembers else {}
    fields = {"order": "OB-1", "code": desk.code, "act": "release", "by": "Ines", "back": "queries"}
    submit(desk.pages, "/desk/act", asked_to_remember="yes", **fields, **said)
    told = " ".join(line.says for line in order_history(desk.shop.store, "OB-1"))
    assert ("is not asked again" in told) is remembers
    desk.drop("OB-2", "Otter Bank")
    assert desk.standing("OB-2") == ("in work" if remembers else "queried")
    assert len(open_questions(desk.shop.store)) == (0 if remembers else 1)
