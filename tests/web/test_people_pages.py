"""Whose name a scan carries: chosen on the pages, with a PIN where wanted; pages and command alike."""

from __future__ import annotations

import io
import json
import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from intake import cli
from tests.web.shops import WebShop, post_json, submit, token_of
from tickets.codes import codes_in, new_ticket_code
from tickets.layouts import typed_through
from tickets.web.app import build_app

PIN = "4071"
Run = Callable[..., Any]


def with_people(shop: WebShop, **changes: Any) -> WebShop:
    """The same shop with other settings of people."""
    people = shop.web.settings.people.model_copy(update=changes)
    web = replace(shop.web, settings=shop.web.settings.model_copy(update={"people": people}))
    return WebShop(shop.shop, web, build_app(web))


@pytest.fixture
def run(web_shop: WebShop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Types a command in the same shop, `typed` going to its input: its status, what it said, and aside."""

    def type_it(*words: str, typed: str = "") -> tuple[int, str, str]:
        capsys.readouterr()
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        status = cli.main([*words, "--shop", str(web_shop.shop.folder)])
        return status, *capsys.readouterr()

    return type_it


def test_a_name_is_chosen_and_goes_with_scans(web_shop: WebShop) -> None:
    """Those of the settings and those that were added, as buttons; then page, JSON and undo carry it."""
    code = web_shop.take("OB-1")
    web_shop.web.people.add("Nadia Öz")
    phone = web_shop.device()
    names = phone.get("/sign-in?back=/at/print").text
    assert [name in names for name in (">Ines<", ">Tomek<", ">Nadia Öz<")] == [True] * 3
    answer = submit(phone, "/sign-in", name="Nadia Öz", back="/at/print")
    assert answer.headers["location"] == "/at/print"
    assert "Nadia Öz" in phone.get("/at/print").text
    submit(phone, "/at/print/scan", code=code)
    post_json(phone, "/api/scan", code=code, station="powder", good=5)
    post_json(phone, "/api/scan", code=code, station="powder", good=5, by="Ines")
    post_json(phone, "/api/scan", code=code, station="powder", good=5, by="")
    assert [event.by for event in web_shop.scans()] == ["Nadia Öz", "Nadia Öz", "Ines", ""]
    submit(phone, "/sign-out")
    submit(phone, "/at/powder/scan", code=code)
    assert web_shop.scans()[-1].by == ""


def test_a_pin_is_asked_for_and_wrong_ones_make_one_wait(web_shop: WebShop) -> None:
    """The keypad's page says what is wrong and how long to wait, and nobody is signed in meanwhile."""
    web_shop.web.people.add("Nadia", PIN)
    phone = web_shop.device()
    asked = submit(phone, "/sign-in", name="Nadia", back="/at/press").headers["location"]
    page = phone.get(asked).text
    assert 'type="password"' in page
    assert 'value="/at/press"' in page
    answers = [submit(phone, "/sign-in", name="Nadia", pin="9926") for _ in range(4)]
    assert [answer.status_code for answer in answers] == [403, 403, 403, 429]
    assert "This is not the PIN of Nadia." in answers[0].text
    assert "Wait 15 seconds, then try again." in answers[2].text
    assert 'data-wait="15.0"' in answers[2].text
    assert "Too many wrong PINs" in answers[3].text
    assert ">Nadia<" not in phone.get("/at/press").text
    tablet = web_shop.device()
    assert submit(tablet, "/sign-in", name="Nadia", pin=PIN, back="/at/press").status_code == 303
    assert ">Nadia<" in tablet.get("/at/press").text


def test_nobody_is_named_who_never_typed_their_pin_there(web_shop: WebShop) -> None:
    """A made-up name in JSON is refused in words, and nothing is booked."""
    code = web_shop.take("OB-1")
    web_shop.web.people.add("Nadia", PIN)
    phone = web_shop.device()
    answer = post_json(phone, "/api/scan", code=code, station="print", by="Nadia")
    assert (answer.status_code, answer.json()["slug"]) == (409, "sign-in-needed")
    assert web_shop.scans() == []
    submit(phone, "/sign-in", name="Nadia", pin=PIN)
    submit(phone, "/sign-in", name="Tomek")
    assert post_json(phone, "/api/scan", code=code, station="print", by="Nadia").status_code == 200
    assert web_shop.scans()[-1].by == "Nadia"


def test_a_shop_may_want_a_name_for_every_scan(web_shop: WebShop) -> None:
    """Without one neither form nor JSON books; with one both do."""
    code = web_shop.take("OB-1")
    strict = with_people(web_shop, name_needed=True)
    phone = strict.device()
    refused = submit(phone, "/at/print/scan", code=code)
    assert refused.status_code == 409
    assert "This scan names nobody." in refused.text
    assert post_json(phone, "/api/scan", code=code, station="print").status_code == 409
    assert post_json(phone, "/api/scan", code=code, station="print", by="").status_code == 409
    submit(phone, "/sign-in", name="Ines")
    assert post_json(phone, "/api/scan", code=code, station="print").status_code == 200


def test_a_page_that_looks_by_itself_signs_nobody_in_for_ever(web_shop: WebShop) -> None:
    """Idle, the person is out, though the page has asked for news all the while."""
    shop = with_people(web_shop, idle_minutes=10)
    now = [shop.web.clock()]
    shop = WebShop(shop.shop, replace(shop.web, clock=lambda: now[0]), shop.app)
    shop.app.state.web = shop.web
    phone = shop.device()
    submit(phone, "/sign-in", name="Ines")
    for _ in range(9):
        now[0] += timedelta(minutes=1)
        assert 'data-person="Ines"' in phone.get("/at/press").text
    now[0] += timedelta(minutes=1)
    assert 'data-person=""' in phone.get("/at/press").text


def test_only_the_owner_names_people(web_shop: WebShop) -> None:
    """Added, given a PIN, removed on the page; a desk's device may not even look."""
    owner, desk = web_shop.device("owner"), web_shop.device("desk")
    for path, fields in (
        ("add", {"name": "Nadia"}),
        ("pin", {"name": "Ines"}),
        ("remove", {"name": "Nadia"}),
    ):
        assert submit(desk, f"/people/{path}", **fields).status_code == 403
    assert desk.get("/people").status_code == 403
    assert submit(owner, "/people/add", name="Nadia", pin="1234").status_code == 422
    assert submit(owner, "/people/add", name="Nadia", pin=PIN).status_code == 303
    assert submit(owner, "/people/pin", name="Ines", pin="9926").status_code == 303
    assert {p.name: p.has_pin for p in web_shop.web.people.people()} == {
        "Ines": True,
        "Nadia": True,
        "Tomek": False,
    }
    assert "9926" not in owner.get("/people").text
    assert submit(owner, "/people/remove", name="Nadia").status_code == 303
    assert submit(owner, "/people/remove", name="Nadia").status_code == 404
    assert ">Nadia<" not in owner.get("/people").text


def test_the_command_does_what_the_page_does(web_shop: WebShop, run: Run) -> None:
    """add, list, pin and remove; a PIN from standard input; each refusal in words."""
    assert run("people", "add", "Nadia", "--pin", typed=f"{PIN}\n")[0] == 0
    listed = json.loads(run("people", "list", "--json")[1])["people"]
    assert [(one["name"], one["pin"]) for one in listed] == [
        ("Ines", False),
        ("Nadia", True),
        ("Tomek", False),
    ]
    assert "Nadia  PIN" in run("people", "list")[1]
    assert run("people", "pin", "Nadia", "--none")[0] == 0
    web_shop.web.sign_ins.sign_in(web_shop.web.devices.devices()[0].id if web_shop.device() else 0, "Nadia")
    assert "signed out everywhere" in run("people", "remove", "nadia")[1]
    for words, typed, slug in (
        (("remove", "Nadia"), "", "person-not-known"),
        (("remove", "Ines"), "", "person-in-settings"),
        (("add", "Ana", "--pin"), "12\n", "pin-not-read"),
        (("add", "Ana", "--pin"), "5555\n", "pin-too-plain"),
        (("add", "!"), "", "name-not-usable"),
    ):
        status, _, said = run("people", *words, typed=typed)
        assert (status, slug in said) == (5, True), said
    assert run("people", "add")[0] == 2


@pytest.mark.parametrize(
    "back", ["//evil.example", "https://evil.example", "/\\evil.example", "javascript:1"]
)
def test_signing_in_leads_to_own_pages_only(web_shop: WebShop, back: str) -> None:
    """Neither the form nor the links of the page lead elsewhere."""
    phone = web_shop.device()
    assert submit(phone, "/sign-in", name="Ines", back=back).headers["location"] == "/"
    assert submit(phone, "/sign-out", back=back).headers["location"] == "/"
    assert "evil" not in phone.get("/sign-in", params={"back": back}).text


def test_a_foreign_page_signs_nobody_in(web_shop: WebShop) -> None:
    """It needs the device's own token, as everything that changes something."""
    phone = web_shop.device()
    answer = phone.post("/sign-in", data={"name": "Ines", "token": token_of(web_shop.device().get("/"))})
    assert answer.status_code == 403


def test_a_scan_through_another_keyboard_is_booked_and_said(web_shop: WebShop, run: Run) -> None:
    """By page and command: the code is found by its check character, and the hint says what to set."""
    codes = (web_shop.take(f"OB-{number}") for number in range(1, 50))
    code = next(c for c in codes if typed_through(c, "French") != c)  # some have only letters that stay
    mangled = typed_through(f"]Q1http://print.shop.example:8765/t/{code}", "French")
    answer = post_json(web_shop.device(), "/api/scan", code=mangled, station="print", good=5).json()
    assert answer["code"] == code
    assert "(US and French" in answer["keyboard"]
    whole = post_json(web_shop.device(), "/api/scan", code=f"]Q1{code}", station="print", good=5).json()
    assert whole["keyboard"] is None
    status, said, aside = run("scan", mangled, "--at", "print", "--json")
    assert (status, json.loads(said)["moved"]["good"]) == (0, 30)
    assert "set the scanner to this computer's keyboard" in aside


def test_a_code_that_was_mangled_into_another_right_one_is_told_by_the_books(
    web_shop: WebShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The books do not know the first reading, and know the second; of two unknown ones the first is told."""
    code = next(
        c
        for c in (new_ticket_code(random.Random(n)) for n in range(99_999))
        if codes_in(typed_through(c, "German")) not in ((), (c,))
    )
    mangled = typed_through(code, "German")
    phone = web_shop.device()
    assert mangled in post_json(phone, "/api/scan", code=mangled, station="print").json()["says"]
    monkeypatch.setattr("tickets.ledger.issuing.new_ticket_code", lambda _random: code)
    assert web_shop.take("OB-1") == code
    assert post_json(phone, "/api/scan", code=mangled, station="print").json()["code"] == code


def test_where_is_it_reads_what_a_scanner_types(web_shop: WebShop, run: Run) -> None:
    """The search answers a scan as the stations read it: address, prefix, small letters, another keyboard."""
    code, other = web_shop.take("OB-1"), web_shop.take("OB-2")
    desk = web_shop.device("desk")
    address = f"http://print.shop.example:8765/t/{code}"
    scans = [code.lower(), f"]Q1{code}", address.upper(), f"]q1{address}\r"]
    scans += [typed_through(f"]Q1{address}", layout) for layout in ("German", "French", "Czech")]
    for scan in scans:
        found = desk.get("/api/where", params={"words": scan}).json()
        assert [order["order"] for order in found["orders"]] == ["OB-1"], scan
        page = desk.get("/where", params={"words": scan}).text
        assert 'href="/orders/OB-1"' in page, scan
        assert other not in page, scan
    assert json.loads(run("where", scans[-1], "--json")[1])["orders"][0]["order"] == "OB-1"


@pytest.mark.parametrize("act", ["hold", "cancel", "release", "change"])
def test_an_act_of_the_desk_names_nobody_who_has_a_pin_unseen(web_shop: WebShop, act: str) -> None:
    """By JSON and by the order's page alike; with the PIN typed, or of somebody without one, it is done."""
    code = web_shop.take("OB-1", verdict="query")
    web_shop.web.people.set_pin("Tomek", PIN)
    desk = web_shop.device("desk")
    asked = {"code": code, "why": "as asked", "note": "fine", "pieces": 30 if act == "change" else None}
    asked = {name: value for name, value in asked.items() if value is not None}
    if act == "release":
        del asked["why"]
    refused = post_json(desk, f"/api/{act}", by="Tomek", **asked)
    assert (refused.status_code, refused.json()["slug"]) == (409, "sign-in-needed")
    form = {"order": "OB-1", "code": code, "act": "hold", "why": "as asked", "by": "Tomek"}
    assert submit(desk, "/desk/act", **form).status_code == 409
    submit(desk, "/sign-in", name="Tomek", pin=PIN, back="/")
    assert post_json(desk, f"/api/{act}", by="Tomek", **asked).status_code == 200
    history = desk.get("/api/orders/OB-1").json()["history"]
    assert "Tomek" in {line["by"] for line in history}


def test_a_release_may_name_the_customer_who_gave_it(web_shop: WebShop) -> None:
    """Who is none of the shop's people, also where everybody of the shop signs in with a PIN."""
    shop = with_people(web_shop, pin="always")
    code = shop.take("OB-1", verdict="query")
    desk = shop.device("desk")
    assert post_json(desk, "/api/release", code=code, by="Mrs Thistle", note="fine").status_code == 200
    refused = post_json(desk, "/api/hold", code=code, why="late", by="Mrs Thistle")
    assert refused.json()["slug"] == "sign-in-needed"
