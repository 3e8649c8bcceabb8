"""A customer's link shows one order's progress, to whoever has it, and nothing else to anybody."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest

from intake import cli
from tests.web.shops import WebShop, submit
from tickets.requests import ParcelChange, ScanRequest
from tickets.web.app import build_app
from tickets.web.tries import MOST_VIEWS, Views

Run = Callable[..., Any]


@pytest.fixture
def run(web_shop: WebShop, capsys: pytest.CaptureFixture[str]) -> Run:
    """Types a command in the same shop: its status, what it printed, and what it said aside."""

    def type_it(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = cli.main([*words, "--shop", str(web_shop.shop.folder)])
        return status, *capsys.readouterr()

    return type_it


def with_links(shop: WebShop, **changes: Any) -> WebShop:
    """The same shop with other settings of links."""
    links = shop.web.settings.links.model_copy(update=changes)
    web = replace(shop.web, settings=shop.web.settings.model_copy(update={"links": links}))
    return WebShop(shop.shop, web, build_app(web))


def link_of(shop: WebShop, number: str = "OB-1") -> str:
    """The path of an order's link."""
    return shop.web.links.make(number).at("")


def test_a_link_shows_how_far_the_order_is(web_shop: WebShop) -> None:
    """Pieces at each stage in the customer's words and the day it is expected, to a browser never let in."""
    code = web_shop.take("OB-1", purchase_order="REGATTA-7")
    web_shop.scan(code, "print", good=30)
    web_shop.scan(code, "powder", "cure", good=20)
    web_shop.scan(code, "press", good=12)
    page = web_shop.stranger().get(link_of(web_shop)).text
    told = [" ".join(one.split()) for one in re.findall(r"<li class.*?</li>", page, re.DOTALL)]
    rows = [re.sub(r"<[^>]+>", " ", one).split(maxsplit=1) for one in told]
    assert [(count, says.strip()) for count, says in rows] == [
        ("10", "to be printed"),
        ("10", "printed, being finished"),
        ("8", "printed, to be pressed"),
        ("12", "ready"),
    ]
    assert "We are working on your order." in page
    assert "Expected ready" in page
    assert "REGATTA-7" in page


def test_a_link_names_what_a_parcel_can_be_followed_by(web_shop: WebShop) -> None:
    """Only once it has left the house: the consignment number of each parcel that is gone."""
    code = web_shop.take("OB-1")
    ledger, path = web_shop.shop.ledger, link_of(web_shop)
    for number in ("CN 1632-7", "<CN> 8"):
        ledger.add_parcel("OB-1", ParcelChange(2500, number))
    web_shop.scan(code, "print", "powder", "cure", "press")
    assert "CN 1632-7" not in web_shop.stranger().get(path).text
    web_shop.scan(code, "dispatch")
    page = " ".join(web_shop.stranger().get(path).text.split())
    assert "<dt>Consignment numbers</dt><dd>CN 1632-7</dd><dd>&lt;CN&gt; 8</dd>" in page


def test_a_link_shows_nothing_of_the_house(web_shop: WebShop) -> None:
    """No other order, no customer's address, nobody's name, no code, no reason of the house, no way on."""
    code = web_shop.take("OB-1")
    web_shop.take("OB-2", customer_name="Mid-Moorland Walkers")
    web_shop.shop.ledger.scan(ScanRequest(code, "print", 38, 2, "scorched", by="Ines"))
    web_shop.shop.ledger.hold(code, "Tomek is ill", "Ines")
    page = web_shop.device("owner").get(link_of(web_shop)).text
    assert "is paused for the moment" in page
    hidden = (
        "OB-2",
        "Walkers",
        "Otter",
        "kit@",
        "01632",
        "960123",
        "Ines",
        "Tomek",
        "scorched",
        "poiled",
        code,
    )
    assert [word for word in hidden if word in page] == []
    assert re.findall(r'href="([^"]+)"', page) == ["/static/docket.css", "/static/icon.svg"]
    assert "<script" not in page
    assert "<form" not in page


@pytest.mark.parametrize(
    ("verdict", "says"), [("query", "We have a question"), ("refuse", "cannot be printed")]
)
def test_what_waits_for_the_customer_is_said(web_shop: WebShop, verdict: str, says: str) -> None:
    """A question and a refusal stand beside the artwork, without anybody's findings."""
    with suppress(IndexError):  # a refused item has no ticket whose code could be told
        web_shop.take("OB-1", verdict=verdict)
    page = web_shop.stranger().get(link_of(web_shop)).text
    assert says in page
    assert "crest.png" in page
    assert "0.21" not in page


def test_making_and_revoking_a_link_is_in_the_history(web_shop: WebShop) -> None:
    """Each once, with who did it; the link itself is not in it."""
    web_shop.take("OB-1")
    desk = web_shop.device("desk")
    submit(desk, "/sign-in", name="Ines", back="/")
    for act in ("make", "make", "off", "off"):
        submit(desk, "/desk/link", order="OB-1", act=act)
    lines = [h for h in desk.get("/api/orders/OB-1").json()["history"] if h["kind"].startswith("link")]
    assert [(h["kind"], h["by"]) for h in lines] == [("link-made", "Ines"), ("link-off", "Ines")]
    assert lines[0]["says"] == "The customer's link of OB-1 was made."
    assert "/o/" not in str(lines)


def test_a_revoked_link_shows_nothing_and_the_next_is_another(web_shop: WebShop) -> None:
    """On the order's page it is made, shown again, and revoked; a station's device may not."""
    web_shop.take("OB-1")
    desk, stranger = web_shop.device("desk"), web_shop.stranger()
    assert submit(web_shop.device(), "/desk/link", order="OB-1", act="make").status_code == 403
    paths = []
    for _ in range(2):
        assert submit(desk, "/desk/link", order="OB-1", act="make").headers["location"] == "/orders/OB-1"
        first, again = (
            re.findall(r'href="http://shop.example(/o/[^"]+)"', desk.get("/orders/OB-1").text) for _ in "ab"
        )
        assert first == again
        assert len(first) == 1
        assert stranger.get(first[0]).status_code == 200
        paths += first
        submit(desk, "/desk/link", order="OB-1", act="off")
        answer = stranger.get(first[0])
        assert answer.status_code == 404
        assert "does not work" in answer.text
        assert "OB-1" not in answer.text
    assert paths[0] != paths[1]
    assert "/o/" not in web_shop.device().get("/orders/OB-1").text


def test_a_link_cannot_be_guessed(web_shop: WebShop) -> None:
    """192 bits, another for each order; near misses, endless words and odd ones open nothing."""
    words = set()
    for number in range(5):
        web_shop.take(f"OB-{number}")
        words.add(web_shop.web.links.make(f"OB-{number}").word)
    assert len(words) == 5
    assert all(re.fullmatch(r"[\w-]{32}", word) for word in words)  # 6 bits a character
    stranger, [word, *_] = web_shop.stranger(), sorted(words)
    for wrong in (
        word[:-1],
        word[:-1] + ("A" if word[-1] != "A" else "B"),
        word.swapcase(),
        "x" * 5000,
        "%00",
        "'",
    ):
        assert stranger.get(f"/o/{wrong}").status_code == 404, wrong


@pytest.mark.parametrize("path", ["{link}", "/o/made-up", "/o/", "/o/a/b"])
def test_no_search_engine_keeps_it_and_nobody_learns_of_it(web_shop: WebShop, path: str) -> None:
    """noindex, no-referrer and no-store stand on the page and on every error of its address."""
    web_shop.take("OB-1")
    answer = web_shop.stranger().get(path.format(link=link_of(web_shop)))
    assert answer.headers["x-robots-tag"] == "noindex, nofollow, noarchive"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["cache-control"] == "no-store, max-age=0"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "Set-Cookie" not in answer.headers


def test_it_changes_nothing(web_shop: WebShop) -> None:
    """Whatever is posted to a link is refused."""
    web_shop.take("OB-1")
    for method in ("POST", "PUT", "DELETE"):
        assert web_shop.device("owner").request(method, link_of(web_shop)).status_code in (403, 405)


def test_an_address_that_loads_it_without_end_is_put_off(web_shop: WebShop) -> None:
    """Sixty a minute, right ones and wrong ones; a minute later it is let on, and others never noticed."""
    web_shop.take("OB-1")
    now = [0.0]
    web = replace(web_shop.web, views=Views(lambda: now[0]))
    client = WebShop(web_shop.shop, web, build_app(web)).stranger()
    link = link_of(web_shop)
    codes = [client.get(f"/o/wrong-{n}").status_code for n in range(MOST_VIEWS)]
    assert set(codes) == {404}
    answer = client.get(link)
    assert answer.status_code == 429
    assert "Wait a minute" in answer.text
    web.views.require_left("198.51.100.7")
    now[0] += 61
    assert client.get(link).status_code == 200


def test_switched_off_no_link_works(web_shop: WebShop, run: Run) -> None:
    """Those made before neither; the command says so, and the order's page offers none."""
    web_shop.take("OB-1")
    link = link_of(web_shop)
    off = with_links(web_shop, on=False)
    assert off.stranger().get(link).status_code == 404
    assert "customer's link" not in off.device("desk").get("/orders/OB-1").text
    own = web_shop.shop.folder / "shop.toml"
    own.write_text(own.read_text("utf-8") + "\n[links]\non = false\n", "utf-8")
    status, _, said = run("link", "OB-1")
    assert status == 5
    assert "links-are-off" in said


def test_the_command_makes_shows_and_revokes(web_shop: WebShop, run: Run) -> None:
    """The same link each time, also by a ticket's code; --off ends it; --json alike."""
    code = web_shop.take("OB-1")
    first = json.loads(run("link", "OB-1", "--json")[1])
    assert first["link"].endswith(link_of(web_shop))
    assert run("link", code)[1].splitlines()[0] == first["link"]
    assert json.loads(run("link", "ob 1", "--off", "--json")[1]) == {
        "order": "OB-1",
        "link": None,
        "revoked": True,
    }
    assert "nothing to revoke" in run("link", "OB-1", "--off")[1]
    assert json.loads(run("link", "OB-1", "--json")[1])["link"] != first["link"]
    assert run("link", "OB-9")[0] == 5
