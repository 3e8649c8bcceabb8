"""Scans and undos in the books: each one transaction, its movements the whole of what it did."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from sqlmodel import col, select

from config.settings import StationSettings
from tests.books import Shopfloor, item_draft, order_draft
from tickets.codes import new_run_code
from tickets.ledger import keys
from tickets.models import Movement, Scan
from tickets.problems import ShopProblem


def refusal(floor: Shopfloor, code: str, station: str, good: int | None = None, **more: object) -> str:
    """The slug of a scan that is refused; nothing may have changed by it."""
    before = [(e.kind, e.payload) for e in floor.events()]
    with pytest.raises(ShopProblem) as refused:
        floor.scan(code, station, good, **more)
    assert [(e.kind, e.payload) for e in floor.events()] == before
    return refused.value.slug


def test_pieces_go_down_the_line_scan_by_scan(floor: Shopfloor) -> None:
    """From print to dispatch and out of the house, and then the order is closed."""
    [code] = floor.accept()
    for station in ("Print", "powder", "cure", "press"):
        floor.scan(code, station)
        assert floor.order("OB-1042").closed_at is None
    answer = floor.scan(code, "dispatch", by="Ines")
    assert answer.as_json()["moved"] == {"from": "dispatch", "to": "dispatched", "good": 40, "spoiled": 0}
    assert floor.places(code) == {"dispatched": 40}
    assert floor.order("OB-1042").closed_at is not None


def test_spoiled_pieces_start_again_on_a_reprint(floor: Shopfloor) -> None:
    """The contract's example: 38 wait at dispatch, 2 at print on a ticket of their own."""
    [code] = floor.accept()
    answer = floor.scan(code, "press", 38, spoiled=2, why="peeled badly", by="Ines", catch_up=True)
    assert answer.reprint is not None
    assert floor.places(code) == {"dispatch": 38, "spoiled": 2}
    assert floor.places(answer.reprint) == {"print": 2}
    reprint, first = floor.ticket(answer.reprint), floor.ticket(code)
    assert (reprint.reprint_of_id, reprint.quantity, reprint.item_id) == (first.id, 2, first.item_id)
    again = floor.scan(answer.reprint, "print", spoiled=1, why="smeared")
    assert again.reprint is not None
    assert floor.ticket(again.reprint).reprint_of_id == reprint.id
    assert "Powder and cure had been missed" not in answer.says
    assert f"start again at print as {answer.reprint}" in answer.says


def test_a_scan_keeps_who_when_and_the_devices_own_word(floor: Shopfloor) -> None:
    """Both times are kept, the device's count too; every movement says whether it was seen."""
    [code] = floor.accept()
    on_device = datetime(2026, 12, 1, 23, 59, tzinfo=UTC)
    floor.scan(code, "powder", 5, catch_up=True, by="Ines", device_at=on_device, device_sequence=17)
    with floor.store.reading() as session:
        scan = session.exec(select(Scan).where(Scan.kind == "scan")).one()
        moves = session.exec(select(Movement).where(Movement.scan_id == scan.id).order_by(col(Movement.id)))
        assert [(m.from_place, m.to_place, m.count, m.inferred) for m in moves] == [
            ("print", "powder", 5, True),
            ("powder", "cure", 5, False),
        ]
    assert (scan.by, scan.device_at, scan.device_sequence) == ("Ines", on_device, 17)
    assert scan.at.tzinfo is not None


def test_the_same_key_counts_once(floor: Shopfloor) -> None:
    """A scan that is sent again gets the answer of the first time; another question with its key none."""
    [code] = floor.accept()
    first = floor.scan(code, "print", 10, key="k1")
    again = floor.scan(code, "print", 10, key="k1", device_sequence=9)
    assert (again.as_json(), again.repeated) == (first.as_json(), True)
    assert floor.places(code) == {"print": 30, "powder": 10}
    assert refusal(floor, code, "print", 11, key="k1") == "key-used-for-another"


def test_a_refused_scan_leaves_its_key_free(floor: Shopfloor) -> None:
    """What was refused can be asked again with the same key once it is possible."""
    [code] = floor.accept()
    assert refusal(floor, code, "powder", key="k2") == "nothing-waits-here"
    floor.scan(code, "print")
    assert not floor.scan(code, "powder", key="k2").repeated


def test_keys_are_let_go_after_a_season(floor: Shopfloor) -> None:
    """A key of 91 days ago is forgotten, one of 89 days still counts once; a few hundred go at a time."""
    [code] = floor.accept()
    for number in range(3):
        floor.scan(code, "print", 1, key=f"old-{number}")
    floor.clock.now += timedelta(days=2)
    floor.scan(code, "print", 1, key="young")
    floor.clock.now += timedelta(days=89)
    monthly = pytest.MonkeyPatch()
    monthly.setattr(keys, "FORGOTTEN_AT_ONCE", 2)
    assert [floor.ledger.forget_old_keys() for _ in range(3)] == [2, 1, 0]
    monthly.undo()
    assert floor.scan(code, "print", 1, key="young").repeated
    assert not floor.scan(code, "print", 1, key="old-0").repeated


def test_transfers_never_come_to_the_press(floor: Shopfloor) -> None:
    """They go from the cure to dispatch, and the refusal at the press says so."""
    [code] = floor.accept(order_draft("OB-1", item_draft(service="transfers")))
    assert refusal(floor, code, "press") == "not-on-route"
    floor.scan(code, "cure", catch_up=True)
    assert floor.places(code) == {"dispatch": 40}


def test_nothing_is_scanned_before_the_question_is_answered(floor: Shopfloor) -> None:
    """A queried item has its ticket, and it stops until somebody releases it; a held one likewise."""
    floor.take(order_draft())
    floor.judge("OB-1042", "query")
    [code] = floor.codes("OB-1042")
    assert refusal(floor, code, "print") == "ticket-queried"
    floor.ledger.release(code, "Ines", "the customer is happy")
    floor.ledger.hold("OB-1042", "not paid")
    assert refusal(floor, code, "print") == "ticket-held"
    floor.ledger.release("OB-1042", "Ines")
    floor.scan(code, "print")


@pytest.mark.parametrize("code", ["0000000", "OB-404", "R0000"])
def test_an_unknown_code_is_refused(floor: Shopfloor, code: str) -> None:
    """Whatever it looks like."""
    assert refusal(floor, code, "print") == "code-not-known"


def test_part_of_an_order_goes_only_on_purpose(floor: Shopfloor) -> None:
    """Not while another item is on the line, being checked or asked about; refused ones don't count."""
    drafts = [item_draft(f"{n}.png", 5) for n in range(4)]
    floor.take(order_draft("OB-1", *drafts))
    floor.judge("OB-1", item=1)
    [code] = floor.codes("OB-1")
    floor.scan(code, "press", catch_up=True)
    assert refusal(floor, code, "dispatch") == "part-dispatch"
    for item in (2, 3):
        floor.judge("OB-1", "refuse", item)
    assert refusal(floor, code, "dispatch") == "part-dispatch"
    floor.judge("OB-1", "query", item=4)
    assert refusal(floor, code, "dispatch") == "part-dispatch"
    assert refusal(floor, code, "dispatch", part=True) == "part-needs-why"
    floor.scan(code, "dispatch", 2, part=True, why="the customer can't wait")
    floor.ledger.cancel(floor.codes("OB-1")[1], None, "art never came")
    floor.scan(code, "dispatch")
    assert floor.order("OB-1").closed_at is not None


def test_an_order_may_allow_part_dispatch(floor: Shopfloor) -> None:
    """Then no reason is asked for."""
    codes = floor.accept(order_draft("OB-1", item_draft("a"), item_draft("b"), allow_part_dispatch=True))
    floor.scan(codes[0], "press", catch_up=True)
    floor.scan(codes[0], "dispatch")


def test_a_piece_spoiled_at_dispatch_makes_it_a_part(floor: Shopfloor) -> None:
    """Its reprint is a live piece of the order that is not there."""
    [code] = floor.accept()
    floor.scan(code, "press", catch_up=True)
    assert refusal(floor, code, "dispatch", 39, spoiled=1, why="torn") == "part-dispatch"
    floor.scan(code, "dispatch", spoiled=1, why="torn")
    assert floor.places(code) == {"dispatch": 39, "spoiled": 1}


def test_a_whole_order_is_sent_by_its_number(floor: Shopfloor) -> None:
    """All that waits at dispatch goes; what is held stays and is named; the rule on parts holds."""
    codes = floor.accept(order_draft("OB-1", *(item_draft(f"{n}.png", 5) for n in range(3))))
    assert refusal(floor, "OB-1", "dispatch") == "nothing-waits-here"
    for code in codes[:2]:
        floor.scan(code, "press", catch_up=True)
    assert refusal(floor, "OB-1", "dispatch") == "part-dispatch"
    floor.scan(codes[2], "press", catch_up=True)
    floor.ledger.hold(codes[2], "count again")
    answer = floor.scan("OB-1", "dispatch", by="Ines")
    assert answer.moved is not None
    assert answer.moved.good == 10
    assert answer.says.endswith(
        f"{codes[2]} is held and stayed behind. 5 pieces of the order are still to come."
    )
    assert [floor.places(code) for code in codes] == [{"dispatched": 5}, {"dispatched": 5}, {"dispatch": 5}]
    floor.ledger.undo(codes[0])
    assert [floor.places(code) for code in codes] == [{"dispatch": 5}] * 3


def test_an_undo_brings_back_what_was(floor: Shopfloor) -> None:
    """With the reprint, which stays in the history without pieces and takes no scan."""
    [code] = floor.accept()
    floor.scan(code, "print", 30)
    before = floor.places(code)
    reprint = floor.scan(code, "powder", 25, spoiled=5, why="shaken off").reprint
    answer = floor.ledger.undo(code, "Ines")
    assert floor.places(code) == before
    assert answer.reprint == reprint
    assert floor.ticket(str(reprint)).withdrawn
    assert floor.places(str(reprint)) == {}
    assert refusal(floor, str(reprint), "print") == "ticket-withdrawn"
    assert floor.events()[-1].kind == "undone"
    floor.ledger.undo(code)
    assert floor.places(code) == {"print": 40}
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo(code)
    assert refused.value.slug == "nothing-to-undo"


def test_an_undo_is_refused_once_pieces_have_moved_on(floor: Shopfloor) -> None:
    """Also when it is only the reprint that has; then that is taken back first."""
    [code] = floor.accept()
    reprint = str(floor.scan(code, "print", 38, spoiled=2, why="smeared").reprint)
    floor.scan(reprint, "print")
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo(code)
    assert (refused.value.slug, reprint in refused.value.says) == ("moved-on", True)
    floor.ledger.undo(reprint)
    with pytest.raises(ShopProblem, match="No scan"):
        floor.ledger.undo(reprint)
    floor.ledger.undo(code)
    assert floor.places(code) == {"print": 40}


def test_an_undo_of_the_last_dispatch_opens_the_order_again(floor: Shopfloor) -> None:
    """An order is closed while nothing is left to do, and no longer."""
    [code] = floor.accept()
    floor.scan(code, "dispatch", catch_up=True)
    assert floor.order("OB-1042").closed_at is not None
    floor.ledger.undo(code)
    assert floor.order("OB-1042").closed_at is None
    assert floor.places(code) == {"print": 40}


def test_an_undo_sent_twice_with_one_key_counts_once(floor: Shopfloor) -> None:
    """A double press must not take two scans back."""
    [code] = floor.accept()
    floor.scan(code, "print", 10)
    floor.scan(code, "print", 10)
    assert floor.ledger.undo(code, key="u1").as_json() == floor.ledger.undo(code, key="u1").as_json()
    assert floor.places(code) == {"print": 30, "powder": 10}


def test_a_film_run_moves_as_one_and_is_undone_as_one(floor: Shopfloor) -> None:
    """Pieces of two orders on one film: ticket scans name the run, holds bite behind the cure."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    run = new_run_code(floor.random)
    floor.ledger.lay_in_run(run, {one: 30, other: 40})
    assert floor.places(one) == {"print": 10, f"print/{run}": 30}
    assert refusal(floor, other, "print") == "pieces-in-a-run"
    floor.ledger.hold(other, "colour may change")
    for station in ("print", "powder"):
        floor.scan(run, station)
    answer = floor.scan(run, "cure", by="Ines")
    assert answer.moved is not None
    assert (answer.moved.good, answer.order) == (70, "OB-1, OB-2")
    assert (floor.places(one), floor.places(other)) == ({"print": 10, "press": 30}, {"press": 40})
    assert refusal(floor, other, "press") == "ticket-held"
    assert refusal(floor, run, "press") == "nothing-waits-here"
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo(one)
    assert refused.value.slug == "scanned-in-a-run"
    floor.scan(one, "press", 1)
    with pytest.raises(ShopProblem) as refused:
        floor.ledger.undo(run)
    assert refused.value.slug == "moved-on"
    floor.ledger.undo(one)
    floor.ledger.undo(run)
    assert (floor.places(one), floor.places(other)) == (
        {"print": 10, f"cure/{run}": 30},
        {f"cure/{run}": 40},
    )


def test_only_what_waits_and_may_go_is_laid_in_a_run(floor: Shopfloor) -> None:
    """Too many, none, a held or an unknown ticket: nothing is laid at all."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    floor.ledger.hold(other, "wait")
    run = new_run_code(floor.random)
    for pieces, slug in (
        ({one: 41}, "more-than-waits"),
        ({one: 1, other: 1}, "ticket-held"),
        ({one: 0}, "bad-number"),
        ({one: 1, "0000000": 1}, "code-not-known"),
    ):
        with pytest.raises(ShopProblem) as refused:
            floor.ledger.lay_in_run(run, pieces)
        assert refused.value.slug == slug
    assert floor.places(one) == {"print": 40}


def test_a_shops_own_line_is_scanned_by_its_own_rules(floor: Shopfloor) -> None:
    """One machine prints, powders and cures; nobody scans at cutting, so dispatch catches it up."""
    line = (
        StationSettings(name="print", label="Print"),
        StationSettings(name="powder", label="Powder", books=("print",)),
        StationSettings(name="cure", label="Cure", books=("print", "powder")),
        StationSettings(name="cut", label="Cut"),
        StationSettings(name="press", label="Press", catch_up=True),
        StationSettings(name="dispatch", label="Dispatch"),
    )
    own = floor.with_settings(station=line)
    [code] = own.accept()
    own.scan(code, "cure")
    assert own.places(code) == {"cut": 40}
    answer = own.scan(code, "press")
    assert own.places(code) == {"dispatch": 40}
    assert "Cut had been missed and was booked." in answer.says
    with own.store.reading() as session:
        inferred = session.exec(select(Movement.from_place).where(col(Movement.inferred).is_(True)))
        assert list(inferred) == ["cut"]


def test_a_spoiled_print_asks_after_its_garment(floor: Shopfloor) -> None:
    """Prints of one set share their garments: spoiling one at the press may cost the garment too."""
    codes = floor.accept(order_draft("OB-1", *(item_draft(n, garment_set="hoodies") for n in ("a", "b"))))
    assert "garment" not in floor.scan(codes[0], "print", 39, spoiled=1, why="smeared").says
    assert (
        "Is the garment lost too?"
        in floor.scan(codes[1], "press", 39, spoiled=1, why="burnt", catch_up=True).says
    )
