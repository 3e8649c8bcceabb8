"""Parcels and the ready shelf: which dispatch a parcel goes with, who is told, and what is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tests.tickets.test_dispatches import pressed, slips
from tickets.lookup import order_answer, order_history, where_is
from tickets.lookup.packing import due_slips, order_parcels
from tickets.lookup.telling import list_tellings
from tickets.parcels import parcel_change, parse_parcel
from tickets.problems import ShopProblem
from tickets.requests import ParcelChange


def said(floor: Shopfloor, number: str = "OB-1") -> str:
    """What a caller is told."""
    return order_answer(floor.store, floor.settings, number, floor.clock()).says


def wait(floor: Shopfloor) -> None:
    """Until scans are another dispatch."""
    floor.clock.now += timedelta(seconds=floor.settings.messages.wait_seconds + 10)


def told(floor: Shopfloor) -> list[tuple[str, dict[str, object]]]:
    """What customers are to be told of dispatches, oldest first."""
    return [(t.about, dict(t.facts)) for t in reversed(list_tellings(floor.store)) if t.kind == "dispatched"]


def test_parcels_that_are_packed_before_go_with_the_next_dispatch(floor: Shopfloor) -> None:
    """Several may go with one; the caller hears their numbers once they are gone, not before."""
    pressed(floor)
    for number in ("CN 1", "CN 2"):
        assert (
            "waits for the next dispatch" in floor.ledger.add_parcel("OB-1", ParcelChange(900, number)).says
        )
    assert [p.slip for p in order_parcels(floor.store, "OB-1")] == [None, None]
    assert "CN 1" not in said(floor)
    floor.scan("OB-1", "dispatch")
    (slip,) = slips(floor)
    assert [(p.number, p.weight_kg, p.consignment) for p in slip.parcels] == [
        (1, 0.9, "CN 1"),
        (2, 0.9, "CN 2"),
    ]
    assert "; consignments CN 1 and CN 2." in said(floor)


def test_a_parcel_that_is_noted_after_goes_with_what_has_just_left(floor: Shopfloor) -> None:
    """Its slip is printed anew. Later on, and with pieces still in the house, it waits for the next."""
    first, _ = pressed(floor, item_draft("a.png", 4), item_draft("b.png", 4), allow_part_dispatch=True)
    floor.scan(first, "dispatch")
    floor.ledger.note_slip(slips(floor)[0].dispatch_id, 1)
    assert "goes with packing slip 1" in floor.ledger.add_parcel("OB-1", ParcelChange(900)).says
    assert [slip.revision for slip in due_slips(floor.store)] == [2]
    wait(floor)
    assert "waits for the next dispatch" in floor.ledger.add_parcel("OB-1", ParcelChange(900)).says
    floor.scan("OB-1", "dispatch")
    wait(floor)
    assert "goes with packing slip 2" in floor.ledger.add_parcel("OB-1", ParcelChange(900)).says
    assert [p.slip for p in order_parcels(floor.store, "OB-1")] == [1, 2, 2]


def test_parcels_of_a_dispatch_that_is_undone_wait_again(floor: Shopfloor) -> None:
    """And go with the next; their numbers are not read out meanwhile."""
    pressed(floor)
    floor.ledger.add_parcel("OB-1", ParcelChange(900, "CN 1"))
    floor.scan("OB-1", "dispatch")
    floor.ledger.undo("OB-1")
    assert [p.slip for p in order_parcels(floor.store, "OB-1")] == [None]
    assert "CN 1" not in said(floor)
    floor.scan("OB-1", "dispatch")
    assert [p.slip for p in order_parcels(floor.store, "OB-1")] == [2]


def test_a_parcel_is_changed_and_removed_and_all_of_it_is_history(floor: Shopfloor) -> None:
    """What was not said stays; the number of a removed one is not given again."""
    pressed(floor)
    floor.ledger.add_parcel("OB-1", ParcelChange(2350, "CN 1"), "Ines")
    floor.ledger.change_parcel("OB-1", 1, ParcelChange(consignment="CN 2"), "Ines")
    (parcel,) = order_parcels(floor.store, "OB-1")
    assert (parcel.weight_kg, parcel.consignment) == (2.35, "CN 2")
    floor.ledger.remove_parcel("OB-1", 1, "Ines")
    assert order_parcels(floor.store, "OB-1") == []
    floor.scan("OB-1", "dispatch")
    assert slips(floor)[0].parcels == ()
    assert floor.ledger.add_parcel("OB-1", ParcelChange()).number == 2
    lines = [line.says for line in order_history(floor.store, "OB-1") if "Parcel" in line.says]
    assert lines == [
        "Parcel 1 of OB-1 was packed: 2.35 kg, consignment CN 1.",
        "Parcel 1 of OB-1 was changed: 2.35 kg, consignment CN 2.",
        "Parcel 1 of OB-1 was taken out of the books.",
        "Parcel 2 of OB-1 was packed.",
    ]


def test_a_caller_is_found_by_the_number_of_a_parcel(floor: Shopfloor) -> None:
    """However they put it; a number that was taken back finds nothing."""
    floor.accept(order_draft("OB-1"))
    floor.accept(order_draft("OB-2", customer_name="Fern Lane Choir"))
    floor.ledger.add_parcel("OB-2", ParcelChange(900, "CN 987-654 321"))

    def found(words: str) -> list[str]:
        return [o.order for o in where_is(floor.store, floor.settings, words).orders]

    assert found("CN 987-654 321") == found("cn987654321") == ["OB-2"]
    floor.ledger.change_parcel("OB-2", 1, ParcelChange(consignment="AB 111-222"))
    assert found("AB 111-222") == ["OB-2"]
    assert found("CN 987-654 321") == []


def test_a_number_that_comes_late_is_told_by_itself_once(floor: Shopfloor) -> None:
    """With the dispatch while that is not told yet; after it, in a message for all that come soon."""
    pressed(floor)
    floor.scan("OB-1", "dispatch")
    floor.ledger.add_parcel("OB-1", ParcelChange(900, "CN 1"))
    (message,) = told(floor)
    wait(floor)
    floor.ledger.note_told(list_tellings(floor.store)[0].telling_id, "dispatched-1.eml", "a@b.example")
    floor.ledger.add_parcel("OB-1", ParcelChange(900))
    assert told(floor) == [message]  # no number, no news
    for number in ("CN 2", "CN 2"):
        floor.ledger.change_parcel("OB-1", 2, ParcelChange(consignment=number))
    assert [about for about, _ in told(floor)] == [message[0], "slip-1-numbers-1"]
    floor.ledger.undo("OB-1")
    assert told(floor) == [message]  # what is taken back is not told any more


def test_who_collects_gets_no_consignment_number_told(floor: Shopfloor) -> None:
    """The caller hears who came."""
    pressed(floor)
    floor.scan("OB-1", "dispatch", collected_by="Tom")
    assert said(floor).endswith("; collected by Tom.")


def test_the_shelf_is_told_while_anything_lies_there(floor: Shopfloor) -> None:
    """By `where`, not in what is read out to the caller; every place stands in the history."""
    pressed(floor)

    def shelf() -> str:
        return order_answer(floor.store, floor.settings, "OB-1", floor.clock()).shelf

    assert floor.ledger.put_on_shelf("OB-1", "B3", "Ines") == "OB-1 lies on shelf B3."
    assert shelf() == "B3"
    assert "B3" not in said(floor)
    floor.ledger.put_on_shelf("OB-1", "C1")
    answer = where_is(floor.store, floor.settings, "OB-1")
    assert "  on shelf C1" in answer.as_lines()
    assert answer.as_json()["orders"][0]["shelf"] == "C1"
    floor.scan("OB-1", "dispatch")
    assert shelf() == ""
    floor.ledger.undo("OB-1")
    assert shelf() == "C1"
    assert floor.ledger.put_on_shelf("OB-1", "") == "OB-1 is on no shelf any more."
    assert shelf() == ""
    assert [line.says for line in order_history(floor.store, "OB-1") if "shelf" in line.says] == [
        "OB-1 was put on shelf B3.",
        "OB-1 was put on shelf C1.",
        "OB-1 was taken off its shelf.",
    ]


def test_what_cannot_be_is_refused_and_nothing_is_booked(floor: Shopfloor) -> None:
    """Tickets, weights, endless numbers, parcels that are none, orders with nothing in them."""
    (code,) = floor.accept(order_draft("OB-1"))
    floor.accept(order_draft("OB-2"))
    floor.ledger.cancel("OB-2", None, "not wanted")
    floor.ledger.add_parcel("OB-1", ParcelChange(900))
    before = len(floor.events())
    ledger = floor.ledger
    for slug, act in (
        ("parcel-of-an-order", lambda: ledger.add_parcel(code, ParcelChange(900))),
        ("code-not-known", lambda: ledger.add_parcel("OB-9", ParcelChange(900))),
        ("nothing-to-pack", lambda: ledger.add_parcel("OB-2", ParcelChange(900))),
        ("bad-weight", lambda: ledger.add_parcel("OB-1", ParcelChange(0))),
        ("bad-weight", lambda: ledger.change_parcel("OB-1", 1, ParcelChange(2_000_000))),
        ("bad-consignment", lambda: ledger.add_parcel("OB-1", ParcelChange(900, "C" * 61))),
        ("nothing-to-change", lambda: ledger.change_parcel("OB-1", 1, ParcelChange())),
        ("no-such-parcel", lambda: ledger.change_parcel("OB-1", 2, ParcelChange(900))),
        ("no-such-parcel", lambda: ledger.remove_parcel("OB-1", 7)),
        ("bad-shelf", lambda: ledger.put_on_shelf("OB-1", "B" * 61)),
    ):
        with pytest.raises(ShopProblem) as refused:
            act()
        assert refused.value.slug == slug
    assert len(floor.events()) == before


def test_parcels_are_named_and_weighed_as_people_write_it() -> None:
    """An order's number may have strokes of its own; a comma is a point; a slip is refused."""
    assert parse_parcel(" 2026/11/OB-1/12 ") == ("2026/11/OB-1", 12)
    assert parcel_change("2,35", None).weight_g == parcel_change(2.35, None).weight_g == 2350
    assert parcel_change(" ", "CN 1") == ParcelChange(None, "CN 1")
    for named in ("OB-1", "OB-1/", "OB-1/x", "/2", ""):
        with pytest.raises(ShopProblem) as refused:
            parse_parcel(named)
        assert refused.value.slug == "which-parcel"
    for weight in ("heavy", "nan", "inf", "-1", "0", 1001):
        with pytest.raises(ShopProblem) as refused:
            parcel_change(weight, None)
        assert refused.value.slug == "bad-weight"
