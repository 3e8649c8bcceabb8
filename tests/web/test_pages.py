"""The pages act through the ledger, say what they did, and work without any script."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from tests.web.shops import ADDRESS, WebShop, post_json, soon, submit
from tickets.codes import grouped
from tickets.requests import ScanRequest


def test_a_phone_is_asked_once_where_it_is(web_shop: WebShop) -> None:
    """Then one button says what it will book: 40 printed."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    assert "40 printed" not in phone.get(f"/t/{code}").text
    assert submit(phone, "/me", station="print", back=f"/t/{code}").status_code == 303
    assert submit(phone, "/sign-in", name="Ines", back=f"/t/{code}").headers["location"] == f"/t/{code}"
    assert "40 printed" in phone.get(f"/t/{code}").text


def test_the_big_button_books_all_that_wait(web_shop: WebShop) -> None:
    """And the page says so once, with the person's name in the history."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    submit(phone, "/me", station="print")
    submit(phone, "/sign-in", name="Ines")
    assert submit(phone, f"/t/{code}/scan", key="k1").headers["location"] == f"/t/{code}"
    page = phone.get(f"/t/{code}")
    assert f"40 pieces of {code} printed, on to powder." in page.text
    assert "on to powder" not in phone.get(f"/t/{code}").text
    assert web_shop.waiting("OB-1") == {"print": 0, "powder": 40, "cure": 0, "press": 0, "dispatch": 0}
    assert web_shop.scans()[-1].by == "Ines"


def test_a_double_tap_counts_once(web_shop: WebShop) -> None:
    """The page's own key goes with its form."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    submit(phone, "/me", station="print")
    key = re.search(r'name="key" value="([0-9a-f]+)"', phone.get(f"/t/{code}").text)
    assert key
    for _ in range(2):
        assert submit(phone, f"/t/{code}/scan", key=key[1], good="10").status_code == 303
    assert web_shop.waiting("OB-1")["powder"] == 10


def test_spoiled_pieces_need_a_reason_and_start_again(web_shop: WebShop) -> None:
    """Without one the page says what is missing; with one there is a reprint, and its paper."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    web_shop.scan(code, "print", "powder", "cure")
    submit(phone, "/me", station="press")
    refused = submit(phone, f"/t/{code}/scan", good="38", spoiled="2")
    assert refused.status_code >= 400
    assert web_shop.waiting("OB-1")["press"] == 40
    assert submit(phone, f"/t/{code}/scan", good="38", spoiled="2", why="peeled badly").status_code == 303
    first, reprint = web_shop.codes("OB-1")
    assert web_shop.waiting("OB-1") == {"print": 2, "powder": 0, "cure": 0, "press": 0, "dispatch": 38}
    assert first == code
    paper = phone.get(f"/papers/{reprint}.pdf", params={"order": "OB-1"})
    assert paper.content.startswith(b"%PDF")


def test_an_undo_takes_scan_and_reprint_back(web_shop: WebShop) -> None:
    """As the command does."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    submit(phone, "/me", station="print")
    submit(phone, f"/t/{code}/scan", spoiled="3", why="scorched")
    assert len(web_shop.codes("OB-1")) == 2
    assert submit(phone, f"/t/{code}/undo").status_code == 303
    assert web_shop.codes("OB-1") == [code]
    assert web_shop.waiting("OB-1")["print"] == 40


def test_a_typed_code_leads_to_its_own_page(web_shop: WebShop) -> None:
    """Lower case and blanks in the address are put right; a wrong one is told in words."""
    code, phone = web_shop.take("OB-1"), web_shop.device()
    assert phone.get(f"/t/{grouped(code).lower()}").headers["location"] == f"/t/{code}"
    wrong = phone.get("/t/7K3Q9X1")
    assert wrong.status_code == 422
    assert "7K3 Q9X 1" in wrong.text


def test_a_station_shows_what_waits_soonest_due_first(web_shop: WebShop) -> None:
    """Rush before all; late ones say how late they are."""
    later = web_shop.take("LATER", due_at=soon(400))
    late = web_shop.take("LATE", due_at=soon(-49))
    rush = web_shop.take("RUSH", due_at=soon(300), rush=True)
    page = web_shop.device().get("/at/print").text
    assert re.findall(r'href="/t/(\w+)"', page) == [rush, late, later]
    assert "2 days late" in page
    assert "120 pieces" in page


def test_a_station_without_scripts_takes_a_typed_code(web_shop: WebShop) -> None:
    """The form for browsers without scripts books, and its undo takes back."""
    code, kiosk = web_shop.take("OB-1"), web_shop.device()
    assert submit(kiosk, "/at/print/scan", code=f"]Q1{ADDRESS}/t/{code.lower()}").status_code == 303
    page = kiosk.get("/at/print")
    assert "on to powder" in page.text
    assert f'data-undo="{code}"' in page.text
    assert submit(kiosk, "/at/print/undo", code=code).status_code == 303
    assert web_shop.waiting("OB-1")["print"] == 40


def test_an_unknown_station_is_told_in_words(web_shop: WebShop) -> None:
    """With the nearest one."""
    answer = web_shop.device().get("/at/pres")
    assert answer.status_code == 422
    assert "Did you mean press?" in answer.text


def test_the_line_shows_pieces_lateness_questions_and_intake(web_shop: WebShop) -> None:
    """Everything that makes somebody get up."""
    code = web_shop.take("OB-1", due_at=soon(-3))
    web_shop.scan(code, "print", good=15)
    web_shop.take("OB-2", verdict="query", customer_name="Thistle & Co")
    web_shop.shop.ledger.beat("intake", "checking crest.png", "here")
    page = web_shop.device().get("/").text
    assert 'aria-label="Print: 65, Powder: 15, Cure: 0, Press: 0, Dispatch: 0"' in page
    assert "3 h late" in page
    assert "Thistle &amp; Co" in page
    assert "checking crest.png" in page
    line = web_shop.device().get("/api/line").json()
    assert [s["pieces"] for s in line["stations"]] == [65, 15, 0, 0, 0]
    # 590 mm of film hold six prints of 90 mm side by side; each row takes 81.4 mm.
    assert [s["film_m"] for s in line["stations"]] == [1.0, 0.2, 0.0, 0.0, 0.0]


def test_pieces_age_where_they_wait(web_shop: WebShop) -> None:
    """Each station counts its pieces by how long they have waited there, since the last move."""
    from tickets.lookup.line import line_answer

    code = web_shop.take("OB-1")
    web_shop.scan(code, "print", good=15)
    for hours, band in ((1, 0), (5, 1), (30, 2), (80, 3)):
        line = line_answer(web_shop.shop.store, web_shop.shop.settings, soon(hours))
        assert [s.bands[band] for s in line.stations] == [25, 15, 0, 0, 0]


def test_the_desk_finds_and_opens_an_order(web_shop: WebShop) -> None:
    """Half a name leads to the sentence for the caller and to the order's page with its history."""
    code, desk = web_shop.take("OB-1", verdict="query"), web_shop.device("desk")
    page = desk.get("/where", params={"words": "oter bank"})
    assert "/orders/OB-1" in page.text
    order = desk.get("/orders/OB-1").text
    assert "Some lines are only 0.21 mm wide." in order
    assert f"{code} was issued for 40 pieces." in order
    for marked in ("0", "1"):
        art = desk.get("/art", params={"order": "OB-1", "item": 1, "marked": marked})
        assert art.content.startswith(b"\x89PNG")


def test_hold_release_and_cancel_ask_for_a_reason_and_keep_it(web_shop: WebShop) -> None:
    """Each act is refused without its reason and stands in the history with it."""
    web_shop.take("OB-1")
    desk = web_shop.device("desk")
    fields = {"order": "OB-1", "code": "OB-1"}
    assert submit(desk, "/desk/act", act="hold", **fields).status_code == 422
    assert submit(desk, "/desk/act", act="hold", why="size unclear", **fields).status_code == 303
    assert "size unclear" in desk.get("/at/print").text
    assert (
        submit(desk, "/desk/act", act="release", by="Ines", note="size is fine", **fields).status_code == 303
    )
    assert submit(desk, "/desk/act", act="cancel", why="event is off", **fields).status_code == 303
    page = desk.get("/orders/OB-1").text
    for said in ("size unclear", "size is fine", "event is off", "Ines"):
        assert said in page


def test_a_question_ends_by_release(web_shop: WebShop) -> None:
    """The page shows it with what was found; released, it is gone, and the ticket takes scans."""
    code, desk = web_shop.take("OB-1", verdict="query"), web_shop.device("desk")
    assert "0.21 mm" in desk.get("/queries").text
    assert desk.get("/api/queries").json()["queries"][0]["code"] == code
    act = {"order": "OB-1", "code": code, "act": "release", "by": "Ines", "back": "queries"}
    assert submit(desk, "/desk/act", note="print it", **act).headers["location"] == "/queries"
    assert "0.21 mm" not in desk.get("/queries").text
    web_shop.shop.ledger.scan(ScanRequest(code, "print"))


def test_an_order_number_with_a_slash_has_its_page(web_shop: WebShop) -> None:
    """Customers' numbers are what they are."""
    web_shop.take("2026/11 #4?")
    desk = web_shop.device("desk")
    assert "/orders/2026/11%20%234%3F" in desk.get("/where", params={"words": "2026/11"}).text
    assert desk.get("/orders/2026/11%20%234%3F").status_code == 200


def test_a_problem_says_what_to_do(web_shop: WebShop) -> None:
    """A scan where nothing waits is told with where the pieces are, on the page and as JSON alike."""
    code, kiosk = web_shop.take("OB-1"), web_shop.device()
    answer = post_json(kiosk, "/api/scan", code=code, station="press")
    assert answer.status_code == 409
    assert answer.json()["slug"] == "nothing-waits-here"
    page = submit(kiosk, "/at/press/scan", code=code)
    assert page.status_code == 409
    assert "40 at print" in page.text


def test_what_cannot_be_read_is_refused_in_words(web_shop: WebShop) -> None:
    """Unknown keys, numbers that are none, missing keys."""
    kiosk = web_shop.device()
    for asked in ({"code": "x"}, {"code": "x", "station": "press", "goood": 1}, {"code": 1, "station": "a"}):
        answer = post_json(kiosk, "/api/scan", **asked)
        assert answer.status_code == 422
        assert answer.json()["slug"] == "request-not-read"


def test_a_fault_is_told_as_one(web_shop: WebShop, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bug is answered in words, with the strict headers, and nothing of its insides."""
    from fastapi.testclient import TestClient

    from tickets.web import line_page
    from tickets.web.gate import COOKIE

    def fail(*_: object) -> None:
        raise RuntimeError("secret insides")

    monkeypatch.setattr(line_page, "line_answer", fail)
    client = TestClient(web_shop.app, base_url=ADDRESS, raise_server_exceptions=False)
    client.cookies.set(COOKIE, web_shop.devices.let_in(web_shop.devices.new_code("desk"))[0])
    answer = client.get("/")
    assert answer.status_code == 500
    assert "secret insides" not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_due_day_and_quantity_are_changed_on_the_orders_page(web_shop: WebShop) -> None:
    """Each with its reason in the history; a station's device may not; the paper tells the new number."""
    code, desk = web_shop.take("OB-1"), web_shop.device("desk")
    asked = {"order": "OB-1", "code": code, "act": "change-quantity", "pieces": "45"}
    assert submit(web_shop.device("station"), "/desk/act", **asked, why="more").status_code == 403
    assert submit(desk, "/desk/act", **asked).status_code == 422
    assert submit(desk, "/desk/act", **asked, why="five joined").headers["location"] == "/orders/OB-1"
    due = {"order": "OB-1", "code": "OB-1", "act": "change-due", "due": "2099-12-11"}
    submit(desk, "/desk/act", **due, why="the regatta was put off")
    page = desk.get("/orders/OB-1").text
    assert "were ordered: five joined." in page
    assert "OB-1 is due on 2099-12-11 (it was 2099-12-04): the regatta was put off." in page
    assert web_shop.waiting("OB-1")["print"] == 45


def test_what_may_be_late_is_told_with_what_helps(web_shop: WebShop) -> None:
    """On the line, on the desk's page and on the order's own, in the same words as in the JSON."""
    due_at = web_shop.shop.clock() + timedelta(days=1)
    web_shop.take("OB-1", quantity=2000, due=f"{due_at:%Y-%m-%d}", due_at=due_at)
    web_shop.take("OB-2")
    desk = web_shop.device("desk")
    (told,) = desk.get("/api/line").json()["at_risk"]
    helps = desk.get("/api/orders/OB-1").json()["helps"]
    assert (told["order"], told["helps"]) == ("OB-1", helps)
    for path in ("/", "/where?words=ob-1", "/orders/OB-1"):
        assert helps["says"] in desk.get(path).text, path
    assert "it may be late" in desk.get("/orders/OB-1").text
    assert "it may be late" not in desk.get("/orders/OB-2").text
