"""`where`: every way in which a caller may put it finds the order, and the answer is the contract's."""

from __future__ import annotations

import json

import pytest

from tests.tickets.front_desk import FrontDesk, item
from tickets.store import Store

LINE = ("print", "powder", "cure", "press", "dispatch")
REGATTA = {
    "purchase_order": "REGATTA-7",
    "customer_email": "kit@otterbank.example",
    "customer_phone": "+44 1632 960123",
}


@pytest.fixture
def desk(store: Store) -> FrontDesk:
    """A shop with a handful of orders, none of which another could be taken for."""
    desk = FrontDesk(store)
    desk.take(items=[item(garment="navy hoodie", placement="left chest")], **REGATTA)
    desk.take(
        "OB-2000",
        "Café-Bär Łódź",
        [item("sunrise_final v2.PDF", 25, garment="bottle green apron")],
        due="2026-12-05",
        customer_phone="01632 960 777",
        customer_email="hallo@cafebar.example",
    )
    desk.take(
        "NF/17", "North Fell Folk Band", [item("drum.png", 10, garment="black t-shirt")], due="2026-12-08"
    )
    desk.take("44017", "Клуб Выдра", [item("выдра.png", 5)], due="")
    return desk


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("OB-1042", "OB-1042"),
        ("ob1042", "OB-1042"),
        ("ob 1042", "OB-1042"),
        ("1042", "OB-1042"),
        ("OB-1O42", "OB-1042"),
        ("OB-1024", "OB-1042"),
        ("nf17", "NF/17"),
        ("otter bank rowing club", "OB-1042"),
        ("otter", "OB-1042"),
        ("ott", "OB-1042"),
        ("rowing otter", "OB-1042"),
        ("otterbank", "OB-1042"),
        ("Otterbanks rowing", "OB-1042"),
        ("oter bnak", "OB-1042"),
        ("rwoing", "OB-1042"),
        ("960123", "OB-1042"),
        ("01632 960123", "OB-1042"),
        ("(01632) 960 123", "OB-1042"),
        ("+44 1632 960 123", "OB-1042"),
        ("0123", "OB-1042"),
        ("01632960777", "OB-2000"),
        ("kit@otterbank.example", "OB-1042"),
        ("KIT@oterbank.example", "OB-1042"),
        ("kit@otterb", "OB-1042"),
        ("REGATTA-7", "OB-1042"),
        ("regatta 7", "OB-1042"),
        ("regata", "OB-1042"),
        ("crest.png", "OB-1042"),
        ("crset", "OB-1042"),
        ("navy hoodies", "OB-1042"),
        ("the navy hoodies for Friday", "OB-1042"),
        ("otter hoodie left chest", "OB-1042"),
        ("otter sunflower", "OB-1042"),
        ("cafe bar lodz", "OB-2000"),
        ("CAFÉ", "OB-2000"),
        ("cafebar", "OB-2000"),
        ("sunrise_final v2.pdf", "OB-2000"),
        ("green aprons", "OB-2000"),
        ("t shirts folk", "NF/17"),
        ("tshirt", "NF/17"),
        ("выдра", "44017"),
        ("выдро", "44017"),
        ("44017", "44017"),
        ("saturday", "OB-2000"),
        ("8 dec", "NF/17"),
    ],
)
def test_an_order_is_found_however_it_is_asked_for(desk: FrontDesk, words: str, number: str) -> None:
    """Numbers, names, halves, slips, joined and swapped words, days: the right order comes, and first."""
    assert desk.numbers(words)[:1] == [number]


@pytest.mark.parametrize(
    "typed", ["{}", "{lower}", "]Q1{}", "{grouped}", "https://shop.example/t/{}", "is {} done", "{begun}"]
)
def test_a_ticket_is_found_as_a_scanner_types_it(desk: FrontDesk, typed: str) -> None:
    """Prefixes, addresses, blanks and lower case don't matter, and a torn ticket's beginning will do."""
    (code,) = desk.codes("NF/17")
    words = typed.format(
        code, lower=code.lower(), grouped=f"{code[:3]}-{code[3:6]}-{code[6:]}", begun=code[:5]
    )
    assert desk.numbers(words) == ["NF/17"]


def test_a_code_with_one_letter_wrong_is_offered_the_right_one(desk: FrontDesk) -> None:
    """The check character tells; no order is guessed, but the near code is named with its order."""
    (code,) = desk.codes("NF/17")
    wrong = code[:3] + ("4" if code[3] != "4" else "5") + code[4:]
    answer = desk.where(wrong)
    assert answer.orders == ()
    assert [(near.kind, near.text, near.order) for near in answer.near] == [("ticket", code, "NF/17")]
    assert code in answer.says
    assert answer.as_lines() == [answer.says]


def test_nothing_found_says_what_comes_near(desk: FrontDesk) -> None:
    """An empty list, a sentence, and the nearest names."""
    answer = desk.where("otxxr")
    assert answer.as_json()["orders"] == []
    assert any(near["customer"] == "Otter Bank Rowing Club" for near in answer.as_json()["near"])
    assert "Otter Bank Rowing Club" in answer.as_lines()[0]


@pytest.mark.parametrize(
    "words", ["zzzzqqqq", "%", "'; DROP TABLE orders", '"', "*", "- -", "", "\x00", "OB-99999999"]
)
def test_nonsense_finds_nothing_and_breaks_nothing(desk: FrontDesk, words: str) -> None:
    """Signs of the databases' own languages are only signs."""
    answer = desk.where(words)
    assert answer.orders == ()
    assert answer.says


def test_a_slip_in_a_number_is_said(desk: FrontDesk) -> None:
    """An order whose number was one slip away is shown, and that it was another number."""
    answer = desk.where("OB-2001")
    assert [order.order for order in answer.orders] == ["OB-2000"]
    assert "OB-2001" in answer.says


def test_a_number_near_several_orders_names_them_all(desk: FrontDesk) -> None:
    """Numbers of others are never guessed at: each is offered."""
    desk.take("OB-1043", "Somebody Else")
    answer = desk.where("OB-1044")
    assert answer.orders == ()
    assert {near.order for near in answer.near if near.kind == "number"} == {"OB-1042", "OB-1043"}


def test_live_orders_come_before_finished_and_soonest_due_first(desk: FrontDesk) -> None:
    """Among orders that fit alike: what is still to be done, the soonest due first; then the finished."""
    for number, due in (
        ("A-1", "2026-12-20"),
        ("A-2", "2026-12-10"),
        ("A-3", "2026-12-05"),
        ("A-4", "2026-12-03"),
    ):
        desk.take(number, "Heron Cycling", due=due)
    for number in ("A-3", "A-4"):
        desk.scan(desk.codes(number)[0], *LINE)
    assert desk.numbers("heron") == ["A-2", "A-1", "A-3", "A-4"]


def test_an_exact_number_is_answered_alone(desk: FrontDesk) -> None:
    """Who names an order's very number means that order, whatever else holds it."""
    desk.take("77", "Seven Seven")
    desk.take("OB-77", "Seventy")
    assert desk.numbers("77") == ["77"]


def test_the_day_named_comes_first(desk: FrontDesk) -> None:
    """Of two orders for hoodies the one that is due on the day that was said."""
    for number, due in (("B-1", "2026-12-05"), ("B-2", "2026-12-07")):
        desk.take(number, "Oak Choir", [item("oak.png", garment="grey hoodie")], due=due)
    assert desk.numbers("grey hoodies for monday") == ["B-2", "B-1"]


def test_what_is_booked_later_is_found_at_once(desk: FrontDesk) -> None:
    """The index changes with the books, in the same transaction."""
    assert desk.numbers("puffin") == []
    desk.take("P-1", "Puffin Island Choir")
    assert desk.numbers("puffin") == ["P-1"]


def test_the_json_is_the_contract_s(store: Store) -> None:
    """38 of 40 pressed, 2 reprints at cure: every key and number as the contract shows it."""
    desk = FrontDesk(store)
    (code,) = desk.take()
    desk.scan(code, "print", "powder", "cure")
    reprint = desk.scan(code, "press", good=38, spoiled=2, why="peeled badly")
    assert reprint
    pressed_at = desk.now
    desk.scan(reprint, "print", "powder")
    answer = json.loads(json.dumps(desk.where("otter").as_json()))
    assert answer["asked"] == "otter"
    (order,) = answer["orders"]
    assert (order["order"], order["customer"], order["due"], order["standing"], order["ready"]) == (
        *("OB-1042", "Otter Bank Rowing Club", "2026-12-04", "in work"),
        None,
    )
    assert order["says"] == "38 of 40 pressed, 2 reprints at cure; due Fri 4 Dec."
    first, second = order["tickets"]
    assert first["code"] == code
    assert first["item"] == 1
    assert first["reprint_of"] is None
    assert first["artwork"] == "crest.png"
    assert len(first["artwork_sha256"]) == 64
    assert first["quantity"] == 40
    assert first["standing"] == "in work"
    assert first["waiting"] == {"print": 0, "powder": 0, "cure": 0, "press": 0, "dispatch": 38}
    assert (first["dispatched"], first["spoiled"], first["cancelled"]) == (0, 2, 0)
    assert first["last"] == {
        "at": f"{pressed_at:%Y-%m-%dT%H:%M:%SZ}",
        "station": "press",
        "good": 38,
        "spoiled": 2,
        "by": "Ines",
    }
    assert second["code"] == reprint
    assert second["reprint_of"] == code
    assert second["quantity"] == 2
    assert second["waiting"]["cure"] == 2
    assert second["last"]["station"] == "powder"
    assert order["refused_items"] == []
