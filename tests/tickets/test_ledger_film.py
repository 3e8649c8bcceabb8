"""Film runs in the books: kept whole or not at all, planned again with little moved, pinned, dropped."""

from __future__ import annotations

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.lookup.film_plan import (
    Effort,
    Proposal,
    propose_move,
    propose_plan,
    propose_taking_out,
    run_to_pin,
)
from tickets.lookup.film_runs import film_run, film_runs, stored_run
from tickets.problems import NotFound, ShopProblem

SOON = Effort(seconds=0)


def propose(floor: Shopfloor) -> Proposal:
    """A plan of all that waits, in rows, so that it takes no time."""
    return propose_plan(floor.store, floor.settings, SOON)


def lay(floor: Shopfloor) -> list[str]:
    """Plan and book; the codes of the planned runs."""
    return floor.ledger.keep_film_plan(propose(floor).keep, "Ines")


def refused(act: object, *asked: object) -> str:
    """The slug of what is refused."""
    with pytest.raises(ShopProblem) as found:
        act(*asked)  # type: ignore[operator]
    return found.value.slug


def with_run_mm(floor: Shopfloor, run_mm: float) -> Shopfloor:
    """The same shop with runs of at most so many mm."""
    laying = floor.settings.film.laying.model_copy(update={"run_mm": run_mm})
    return floor.with_settings(film=floor.settings.film.model_copy(update={"laying": laying}))


def test_a_plan_is_kept_with_every_pieces_place(floor: Shopfloor) -> None:
    """What was planned is what the books give back, piece for piece; the pieces lie in the run."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    proposal = propose(floor)
    (run,) = floor.ledger.keep_film_plan(proposal.keep, "Ines")
    (planned,) = proposal.whole.layouts
    kept = stored_run(floor.store, run)
    assert set(kept.layout().placements) == set(planned.placements)
    assert (kept.length_mm, kept.way, kept.standing) == (planned.length_mm, planned.way, "planned")
    assert [p.number for p in kept.pieces] == list(range(1, 81))
    assert {(p.order, p.artwork, p.width_mm) for p in kept.pieces} == {
        ("OB-1", "crest.png", 90.0),
        ("OB-2", "crest.png", 90.0),
    } or any(p.turned for p in kept.pieces)
    assert floor.places(one) == floor.places(other) == {f"print/{run}": 40}
    assert film_run(floor.store, run).waiting == {"print": 80}


def test_pieces_that_were_scanned_away_meanwhile_refuse_the_whole_plan(floor: Shopfloor) -> None:
    """One ticket went on while the plan was looked at: nothing of it is booked, for anybody."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    proposal = propose(floor)
    floor.scan(other, "print", 3)
    before = len(floor.events())
    with pytest.raises(ShopProblem) as found:
        floor.ledger.keep_film_plan(proposal.keep)
    assert found.value.slug == "plan-overtaken"
    assert "of 40 pieces" in found.value.says
    assert other in found.value.says
    assert floor.places(one) == {"print": 40}
    assert film_runs(floor.store) == []
    assert len(floor.events()) == before


def test_of_two_plans_made_at_once_one_is_kept(floor: Shopfloor) -> None:
    """The second was made of the same pieces, and is refused; so is one that was made before a drop."""
    floor.accept()
    first, second = propose(floor), propose(floor)
    (run,) = floor.ledger.keep_film_plan(first.keep)
    assert refused(floor.ledger.keep_film_plan, second.keep) == "plan-overtaken"
    floor.accept(order_draft("OB-2"))
    third = propose(floor)
    floor.ledger.drop_run(run)
    assert refused(floor.ledger.keep_film_plan, third.keep) == "plan-overtaken"


def test_a_held_ticket_is_not_laid(floor: Shopfloor) -> None:
    """Held after the plan was made: the plan is refused; planned again, it is left out."""
    one, other = floor.accept(order_draft("OB-1"))[0], floor.accept(order_draft("OB-2"))[0]
    proposal = propose(floor)
    floor.ledger.hold(one, "colour may change")
    assert refused(floor.ledger.keep_film_plan, proposal.keep) == "ticket-held"
    (run,) = lay(floor)
    assert {p.code for p in stored_run(floor.store, run).pieces} == {other}


def test_a_dropped_run_gives_its_pieces_back(floor: Shopfloor) -> None:
    """They wait at print and can be planned; the code is known and takes no scan."""
    [code] = floor.accept()
    (run,) = lay(floor)
    floor.ledger.drop_run(run, "Ines")
    assert floor.places(code) == {"print": 40}
    assert stored_run(floor.store, run).standing == "dropped"
    assert refused(floor.ledger.drop_run, run) == "run-dropped"
    (again,) = lay(floor)
    assert again != run
    with pytest.raises(NotFound) as found:
        floor.ledger.drop_run("R9999")
    assert found.value.slug == "run-not-known"


def test_a_printed_run_is_not_dropped_until_its_scan_is_taken_back(floor: Shopfloor) -> None:
    """The first scan makes it printed, undo makes it planned again."""
    [code] = floor.accept()
    (run,) = lay(floor)
    floor.scan(run, "print")
    assert stored_run(floor.store, run).standing == "printed"
    assert refused(floor.ledger.drop_run, run) == "run-printed"
    assert refused(floor.ledger.pin_run, run) == "run-not-planned"
    floor.ledger.undo(run)
    assert stored_run(floor.store, run).standing == "planned"
    floor.ledger.drop_run(run)
    assert floor.places(code) == {"print": 40}


def test_planning_again_leaves_full_and_printed_runs_alone(floor: Shopfloor) -> None:
    """A new job joins the short last run, under its old code; nobody else moves."""
    shop = with_run_mm(floor, 500)
    shop.accept(order_draft("OB-1", item_draft(quantity=75)))
    first = lay(shop)
    assert len(first) > 2
    shop.scan(first[0], "print")
    before = {run: stored_run(shop.store, run) for run in first}
    shop.accept(order_draft("OB-2", item_draft(quantity=3)))
    assert set(lay(shop)) == set(first[1:])
    after = {run: stored_run(shop.store, run) for run in first}
    assert [run for run in first if before[run].pieces != after[run].pieces] == [first[-1]]


def test_planning_again_with_nothing_new_changes_nothing(floor: Shopfloor) -> None:
    """No run is laid anew, no event is written."""
    floor.accept()
    codes = lay(floor)
    before = len(floor.events())
    proposal = propose(floor)
    assert not proposal.keep.is_changing
    assert floor.ledger.keep_film_plan(proposal.keep) == codes
    assert len(floor.events()) == before


def test_cancelled_and_held_pieces_leave_a_planned_run(floor: Shopfloor) -> None:
    """Planning again takes them out; the held ones wait loose, the rest lies where it lay."""
    codes = [floor.accept(order_draft(f"OB-{n}"))[0] for n in range(1, 7)]
    (run,) = lay(floor)
    before = {(p.code, p.x_mm, p.y_mm) for p in stored_run(floor.store, run).pieces}
    floor.ledger.hold(codes[0], "colour may change")
    floor.ledger.cancel(codes[1], 4, "fewer")
    assert lay(floor) == [run]
    after = {(p.code, p.x_mm, p.y_mm) for p in stored_run(floor.store, run).pieces}
    assert after < before
    assert floor.places(codes[0]) == {"print": 40}
    assert floor.places(codes[1]) == {f"print/{run}": 36, "cancelled": 4}


def test_a_ticket_is_moved_to_another_run_and_stays_there(floor: Shopfloor) -> None:
    """Planning again does not take it back; its old run keeps the others."""
    shop = with_run_mm(floor, 1500)
    first, second, third = (shop.accept(order_draft(f"OB-{n}", item_draft(quantity=48)))[0] for n in "123")
    full, short = lay(shop)
    assert shop.places(third) == {f"print/{short}": 48}
    found = propose_move(shop.store, shop.settings, first, short, SOON)
    shop.ledger.keep_film_plan(found.keep, "Ines", {first: short})
    assert shop.places(first) == shop.places(third) == {f"print/{short}": 48}
    assert shop.places(second) == {f"print/{full}": 48}
    shop.accept(order_draft("OB-9", item_draft(quantity=2)))
    lay(shop)
    assert shop.places(first) == {f"print/{short}": 48}
    assert refused(propose_move, shop.store, shop.settings, second, short, SOON) == "does-not-fit-run"


def test_what_cannot_be_moved_is_told_why(floor: Shopfloor) -> None:
    """No such run, another film, nothing that waits."""
    one, cold = floor.accept(order_draft("OB-1", item_draft(), item_draft("back.png", film="cold peel")))
    runs = {stored_run(floor.store, run).film: run for run in lay(floor)}
    asked = (floor.store, floor.settings)
    assert refused(propose_move, *asked, one, "R9999") == "run-not-planned"
    assert refused(propose_move, *asked, one, runs["cold peel"]) == "other-film"
    floor.scan(runs["cold peel"], "print")
    assert refused(propose_move, *asked, cold, runs["hot peel"]) == "ticket-not-for-film"


def test_a_ticket_that_was_taken_out_stays_out_until_it_is_free(floor: Shopfloor) -> None:
    """The others lie where they lay; no plan lays it, until somebody lets it."""
    codes = [floor.accept(order_draft(f"OB-{n}"))[0] for n in range(1, 4)]
    (run,) = lay(floor)
    before = {(p.code, p.x_mm, p.y_mm) for p in stored_run(floor.store, run).pieces}
    out = propose_taking_out(floor.store, floor.settings, codes[0])
    floor.ledger.keep_film_plan(out, "Ines", {codes[0]: ""})
    after = {(p.code, p.x_mm, p.y_mm) for p in stored_run(floor.store, run).pieces}
    assert after == {place for place in before if place[0] != codes[0]}
    assert floor.places(codes[0]) == {"print": 40}
    lay(floor)
    assert floor.places(codes[0]) == {"print": 40}
    floor.ledger.wish_film(codes[0], None)
    lay(floor)
    assert "print" not in floor.places(codes[0])


def test_a_pinned_run_and_a_pinned_ticket_stay_where_they_are(floor: Shopfloor) -> None:
    """The short last run is not laid anew for newcomers while it is pinned."""
    [code] = floor.accept()
    (run,) = lay(floor)
    floor.ledger.pin_run(run, "Ines")
    floor.accept(order_draft("OB-2"))
    both = lay(floor)
    assert both[0] == run
    assert len(both) == 2
    floor.ledger.pin_run(run, is_pinned=False)
    floor.ledger.wish_film(code, run_to_pin(floor.store, code))
    lay(floor)
    assert floor.places(code) == {f"print/{run}": 40}
    assert refused(run_to_pin, floor.store, "0000000") == "lies-in-several"


def test_spares_are_counted_apart_from_what_is_owed(floor: Shopfloor) -> None:
    """They lie on the film, and are no pieces of the books."""
    laying = floor.settings.film.laying.model_copy(update={"spares": 2})
    shop = floor.with_settings(film=floor.settings.film.model_copy(update={"laying": laying}))
    [code] = shop.accept()
    (run,) = lay(shop)
    pieces = stored_run(shop.store, run).pieces
    assert sum(p.spare for p in pieces) == 2
    assert len(pieces) == 42
    assert shop.places(code) == {f"print/{run}": 40}
    assert not propose(shop).keep.is_changing
    shop.scan(run, "print")
    shop.scan(run, "powder")
    assert shop.places(code) == {f"cure/{run}": 40}


def test_a_run_that_must_be_released_first_is_not_printed_before(floor: Shopfloor) -> None:
    """Only where the shop says so; a release is of the layout that was proved."""
    laying = floor.settings.film.laying.model_copy(update={"only_released": True})
    shop = floor.with_settings(film=floor.settings.film.model_copy(update={"laying": laying}))
    [code] = shop.accept()
    (run,) = lay(shop)
    assert refused(shop.scan, run, "print") == "run-not-released"
    assert refused(shop.ledger.release_run, run, 2) == "plan-overtaken"
    shop.ledger.cancel(code, 1, "fewer")
    assert refused(shop.ledger.release_run, run, 1) == "run-out-of-date"
    assert lay(shop) == [run]
    shop.ledger.release_run(run, 2, "Ines")
    assert refused(shop.ledger.release_run, run, 2) == "run-not-planned"
    shop.accept(order_draft("OB-2"))
    assert run not in lay(shop)
    shop.scan(run, "print")
    kept = stored_run(shop.store, run)
    assert (kept.standing, kept.released_by) == ("printed", "Ines")
    shop.ledger.undo(run)
    assert stored_run(shop.store, run).standing == "released"
