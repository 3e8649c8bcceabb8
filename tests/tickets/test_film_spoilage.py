"""Spoilage on a film run in the books: by ticket, by length, whole; spares, holds, cancellations, undo."""

from __future__ import annotations

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tests.tickets.test_ledger_film import lay, propose, refused
from tickets.lookup.film_jobs import film_jobs
from tickets.lookup.film_runs import film_run, stored_run
from tickets.requests import RunSpoilage, RunSpoiled


def spoil(floor: Shopfloor, run: str, **more: object) -> RunSpoiled:
    """Spoil something on a run."""
    return floor.ledger.spoil_run(RunSpoilage(run, **{"why": "banding", "by": "Ines", **more}))  # type: ignore[arg-type]


def with_spares(floor: Shopfloor, spares: int) -> Shopfloor:
    """The same shop, printing so many over."""
    laying = floor.settings.film.laying.model_copy(update={"spares": spares})
    return floor.with_settings(film=floor.settings.film.model_copy(update={"laying": laying}))


def test_a_whole_run_is_spoiled_and_all_of_it_starts_again(floor: Shopfloor) -> None:
    """Held pieces travel with the film and are lost with it; one undo brings everything back."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    (run,) = lay(floor)
    floor.ledger.hold(other, "colour may change")
    floor.scan(run, "print")
    answer = spoil(floor, run)
    assert (answer.station, answer.lost, answer.again) == ("powder", 80, {one: 40, other: 40})
    assert floor.places(one) == floor.places(other) == {"spoiled": 40}
    assert floor.places(answer.reprints[other]) == {"print": 40}
    assert all(piece.lost for piece in stored_run(floor.store, run).pieces)
    assert refused(spoil, floor, run) == "run-is-cut"
    floor.ledger.undo(run)
    assert floor.places(one) == {f"powder/{run}": 40}
    assert not any(piece.lost for piece in stored_run(floor.store, run).pieces)
    assert floor.codes("OB-1") == [one]


def test_a_length_of_film_is_spoiled_by_what_lies_there(floor: Shopfloor) -> None:
    """Exactly the pieces that the stored layout has there; the rest goes on with one scan."""
    [code] = floor.accept()
    (run,) = lay(floor)
    pieces = stored_run(floor.store, run).pieces
    first_row = [p for p in pieces if p.y_mm < 60]
    answer = spoil(floor, run, to_mm=60.0)
    assert (answer.station, answer.again) == ("print", {code: len(first_row)})
    assert {p.number for p in stored_run(floor.store, run).pieces if p.lost} == {p.number for p in first_row}
    assert stored_run(floor.store, run).standing == "printed"
    for station in ("print", "powder", "cure"):
        floor.scan(run, station)
    assert floor.places(code) == {"press": 40 - len(first_row), "spoiled": len(first_row)}
    assert refused(spoil, floor, run) == "run-is-cut"


def test_a_tickets_pieces_are_spoiled_so_many_or_all(floor: Shopfloor) -> None:
    """Others on the film are not touched; reprints are a rush for the next plan."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    (run,) = lay(floor)
    floor.scan(run, "print")
    reprint = spoil(floor, run, ticket=one, pieces=3).reprints[one]
    assert floor.places(one) == {f"powder/{run}": 37, "spoiled": 3}
    assert [(j.code, j.quantity, j.rush) for j in film_jobs(floor.store, floor.settings)] == [
        (reprint, 3, True)
    ]
    assert spoil(floor, run, ticket=one).again == {one: 37}
    assert floor.places(other) == {f"powder/{run}": 40}
    assert film_run(floor.store, run).waiting == {"powder": 40}


def test_spoilage_under_one_key_counts_once(floor: Shopfloor) -> None:
    """Sent twice it gets the answer of then; under the same key nothing else is booked."""
    [code] = floor.accept()
    (run,) = lay(floor)
    first = spoil(floor, run, ticket=code, pieces=3, key="phone-1")
    again = spoil(floor, run, ticket=code, pieces=3, key="phone-1", by="Tomek")
    assert (again.repeated, again.says, again.reprints) == (True, first.says, first.reprints)
    assert floor.places(code) == {f"print/{run}": 37, "spoiled": 3}

    def other() -> RunSpoiled:
        return spoil(floor, run, ticket=code, pieces=4, key="phone-1")

    assert refused(other) == "key-used-for-another"
    assert not spoil(floor, run, ticket=code, pieces=3, key="phone-2").repeated
    assert floor.places(code) == {f"print/{run}": 34, "spoiled": 6}


def test_what_cannot_be_spoiled_changes_nothing(floor: Shopfloor) -> None:
    """Each refusal has its slug."""
    one, other = (
        floor.accept(order_draft("OB-1"))[0],
        floor.accept(order_draft("OB-2", item_draft(film="cold peel")))[0],
    )
    runs = {stored_run(floor.store, run).film: run for run in lay(floor)}
    run = runs["hot peel"]
    before = len(floor.events())
    for slug, more in (
        ("spoiled-needs-why", {"why": " "}),
        ("not-on-the-run", {"ticket": other}),
        ("more-than-waits", {"ticket": one, "pieces": 41}),
        ("bad-number", {"ticket": one, "pieces": 0}),
        ("bad-length", {"from_mm": 500.0, "to_mm": 400.0}),
        ("nothing-in-length", {"from_mm": 9000.0}),
    ):
        assert refused(lambda asked: spoil(floor, run, **asked), more) == slug
    assert refused(spoil, floor, "R9999") == "run-not-known"
    assert len(floor.events()) == before
    floor.ledger.drop_run(run)
    assert refused(spoil, floor, run) == "run-dropped"


def test_spares_stand_in_for_spoiled_pieces_of_a_run(floor: Shopfloor) -> None:
    """Two spares for three spoiled ones: one starts again, and the books' sums are as without spares."""
    shop = with_spares(floor, 2)
    [code] = shop.accept()
    (run,) = lay(shop)
    shop.scan(run, "print")
    answer = spoil(shop, run, ticket=code, pieces=3)
    assert (answer.again, answer.spares) == ({code: 1}, {code: 2})
    assert shop.places(code) == {f"powder/{run}": 39, "spoiled": 1}
    assert not any(p.spare for p in stored_run(shop.store, run).pieces)
    shop.ledger.undo(run)
    assert sum(p.spare for p in stored_run(shop.store, run).pieces) == 2
    assert shop.places(code) == {f"powder/{run}": 40}
    alone = spoil(shop, run, ticket=code, pieces=1)
    assert (alone.again, alone.spares) == ({}, {code: 1})
    assert shop.places(code) == {f"powder/{run}": 40}
    assert "spares again" in shop.ledger.undo(run).says


def test_spares_stand_in_for_pieces_that_are_spoiled_at_the_press(floor: Shopfloor) -> None:
    """42 transfers for 40 garments: two may be spoiled, and 40 go out; the third is printed again."""
    shop = with_spares(floor, 2)
    [code] = shop.accept()
    (run,) = lay(shop)
    for station in ("print", "powder", "cure"):
        shop.scan(run, station)
    answer = shop.scan(code, "press", 10, spoiled=1, why="peeled badly")
    assert answer.reprint is None
    assert answer.moved is not None
    assert answer.moved.as_json() == {
        "from": "press",
        "to": "dispatch",
        "good": 10,
        "spoiled": 0,
        "spares": 1,
    }
    assert "1 spare takes its place." in answer.says
    assert shop.places(code) == {"press": 30, "dispatch": 10}
    answer = shop.scan(code, "press", spoiled=1, why="peeled badly")
    assert shop.places(code) == {"press": 30, "dispatch": 10}
    shop.ledger.undo(code)
    shop.ledger.undo(code)
    assert shop.places(code) == {"press": 40}
    answer = shop.scan(code, "press", 39, spoiled=3, why="peeled badly")
    assert answer.reprint is not None
    assert shop.places(code) == {"dispatch": 39, "spoiled": 1}
    assert shop.scan(code, "dispatch", part=True, why="late").moved is not None


def test_spares_of_a_run_that_is_only_planned_help_nobody(floor: Shopfloor) -> None:
    """They are not printed yet."""
    shop = with_spares(floor, 2)
    [code] = shop.accept()
    shop.scan(code, "print", 10)
    lay(shop)
    assert shop.scan(code, "powder", 9, spoiled=1, why="dust").reprint is not None


def test_cancelled_pieces_on_film_are_waste_and_stand_in(floor: Shopfloor) -> None:
    """Four were cancelled while the film was at powder: losing three of that ticket makes nothing again."""
    [code] = floor.accept()
    (run,) = lay(floor)
    floor.scan(run, "print")
    floor.ledger.cancel(code, 4, "fewer")
    answer = spoil(floor, run, ticket=code, pieces=3)
    assert (answer.again, answer.lost) == ({}, 3)
    assert floor.places(code) == {f"powder/{run}": 36, "cancelled": 4}
    assert spoil(floor, run, ticket=code, pieces=3).again == {code: 2}


def test_an_order_that_has_nothing_left_on_the_film_comes_back_too(floor: Shopfloor) -> None:
    """All of one order's pieces were lost in one scan: the undo finds them, though the run holds none."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    (run,) = lay(floor)
    floor.scan(run, "print")
    spoil(floor, run, ticket=one)
    assert floor.places(one) == {"spoiled": 40}
    answer = floor.ledger.undo(run)
    assert floor.places(one) == floor.places(other) == {f"powder/{run}": 40}
    assert "is withdrawn; put its paper away." in answer.says


def test_an_undo_is_refused_once_the_reprint_is_laid(floor: Shopfloor) -> None:
    """Its pieces have gone on; nothing is changed."""
    [code] = floor.accept()
    (run,) = lay(floor)
    floor.scan(run, "print")
    spoil(floor, run, ticket=code, pieces=3)
    lay(floor)
    assert refused(floor.ledger.undo, run) == "moved-on"
    assert propose(floor).keep.is_changing is False


@pytest.mark.parametrize("station", ["print", "powder", "cure"])
def test_film_is_spoiled_where_it_is(floor: Shopfloor, station: str) -> None:
    """At each station of the film, before it is cut."""
    [code] = floor.accept()
    (run,) = lay(floor)
    for before in ("print", "powder", "cure"):
        if before == station:
            break
        floor.scan(run, before)
    assert spoil(floor, run, from_mm=0.0, to_mm=30.0).station == station
    assert floor.places(code)[f"{station}/{run}"] < 40
