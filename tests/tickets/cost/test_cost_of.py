"""What an order, an item, a run and a day cost, from real books on either database."""

from __future__ import annotations

from datetime import date

import pytest

from tests.books import Shopfloor, item_draft, order_draft
from tickets.cost.answers import Basis
from tickets.lookup.costing import cost_of_day, cost_of_order, cost_of_run, item_of_ticket
from tickets.lookup.film_plan import Effort, propose_plan
from tickets.lookup.film_runs import stored_run
from tickets.problems import ShopProblem
from tickets.requests import RunSpoilage

DAY = date(2026, 12, 2)
RUN = "R00A7"


def two_items(floor: Shopfloor) -> list[str]:
    """An order of forty chests and ten backs."""
    return floor.accept(order_draft("OB-1042", item_draft(), item_draft("back.png", 10, width_mm=280.0)))


def test_an_order_is_the_sum_of_its_items(floor: Shopfloor) -> None:
    """Before any run each item is estimated by itself, and the order is their sum to the penny."""
    two_items(floor)
    order = cost_of_order(floor.store, floor.settings, "OB-1042")
    items = [cost_of_order(floor.store, floor.settings, "OB-1042", n) for n in (1, 2)]
    assert order.total == sum(i.total for i in items) > 0
    assert order.basis is Basis.ESTIMATE
    assert [line.pieces for line in order.lines] == [40, 10]
    assert "usual shares" in order.as_lines()[-1]
    assert order.notes[0].startswith("Reckoned by the settings")  # nothing was counted yet
    assert order.as_json()["total_minor"] == order.total


def test_runs_and_items_agree(floor: Shopfloor) -> None:
    """What a run costs is shared by its tickets; pressing and packing come on top of an item's shares."""
    chest, back = two_items(floor)
    floor.ledger.lay_in_run(RUN, {chest: 40, back: 10})
    run = cost_of_run(floor.store, floor.settings, RUN)
    order = cost_of_order(floor.store, floor.settings, "OB-1042")
    assert order.basis is Basis.RUN
    finishing = round(50 * (45 + 8) / 3600 * 1400)
    assert abs(order.total - run.total - finishing) <= 1
    assert run.use is not None
    assert run.use.film_mm > 1000
    assert sum(line.total for line in run.lines) == run.total


def test_what_is_not_laid_yet_is_estimated_beside(floor: Shopfloor) -> None:
    """Half in a run, half waiting: both are counted, and it says so."""
    (chest,) = floor.accept()
    whole = cost_of_order(floor.store, floor.settings, "OB-1042").total
    floor.ledger.lay_in_run(RUN, {chest: 20})
    partly = cost_of_order(floor.store, floor.settings, "OB-1042")
    assert partly.basis is Basis.PARTLY
    assert partly.total > whole  # a short run bears a whole run's lead and set-up


def test_a_reprint_adds_to_its_item(floor: Shopfloor) -> None:
    """Spoiled pieces were paid for, and are printed again."""
    (chest,) = floor.accept()
    before = cost_of_order(floor.store, floor.settings, "OB-1042").total
    floor.scan(chest, "print", 30, spoiled=10, why="head strike")
    assert cost_of_order(floor.store, floor.settings, "OB-1042").total > before


def test_a_day_holds_what_was_done_on_it_and_not_taken_back(floor: Shopfloor) -> None:
    """A run scanned at print counts whole, a loose ticket by itself; an undone scan not at all."""
    chest, back = two_items(floor)
    floor.ledger.lay_in_run(RUN, {chest: 40})
    assert cost_of_day(floor.store, floor.settings, DAY).lines == []
    assert "nothing was printed" in cost_of_day(floor.store, floor.settings, DAY).as_lines()[0]
    floor.scan(RUN, "print")
    floor.scan(back, "print")
    day = cost_of_day(floor.store, floor.settings, DAY)
    assert [line.what.split()[0] for line in day.lines] == ["run", back]
    assert day.lines[0].total == cost_of_run(floor.store, floor.settings, RUN).total
    floor.ledger.undo(back)
    assert len(cost_of_day(floor.store, floor.settings, DAY).lines) == 1
    assert cost_of_day(floor.store, floor.settings, date(2026, 12, 3)).total == 0


def test_cancelled_pieces_that_were_not_printed_cost_nothing(floor: Shopfloor) -> None:
    """All cancelled: there is nothing to cost, in words."""
    (chest,) = floor.accept()
    before = cost_of_order(floor.store, floor.settings, "OB-1042").total
    floor.ledger.cancel(chest, 20, "fewer hoodies")
    assert cost_of_order(floor.store, floor.settings, "OB-1042").total < before
    floor.ledger.cancel(chest, None, "no hoodies")
    with pytest.raises(ShopProblem) as told:
        cost_of_order(floor.store, floor.settings, "OB-1042")
    assert told.value.slug == "nothing-to-cost"


@pytest.mark.parametrize(
    ("ask", "slug"),
    [
        (lambda f: cost_of_order(f.store, f.settings, "OB-9"), "order-not-known"),
        (lambda f: cost_of_order(f.store, f.settings, "OB-1042", 3), "item-not-there"),
        (lambda f: cost_of_run(f.store, f.settings, "R999Z"), "run-not-known"),
        (lambda f: item_of_ticket(f.store, "7K3Q9XZ"), "code-not-known"),
    ],
)
def test_what_is_not_there_is_said(floor: Shopfloor, ask: object, slug: str) -> None:
    """Each with its own word."""
    floor.accept()
    assert callable(ask)
    with pytest.raises(ShopProblem) as told:
        ask(floor)
    assert told.value.slug == slug


def test_a_run_is_costed_as_it_was_laid(floor: Shopfloor) -> None:
    """Its own length, not that of rows; spares are borne by their ticket, and the shares sum to the run."""
    laying = floor.settings.film.laying.model_copy(update={"spares": 6})
    shop = floor.with_settings(film=floor.settings.film.model_copy(update={"laying": laying}))
    chest, back = two_items(shop)
    (run,) = shop.ledger.keep_film_plan(propose_plan(shop.store, shop.settings, Effort(seconds=0)).keep)
    told = cost_of_run(shop.store, shop.settings, run)
    assert told.use is not None
    stored = stored_run(shop.store, run)
    assert told.use.film_mm == pytest.approx(stored.length_mm + shop.settings.cost.lead_mm)
    assert sum(line.total for line in told.lines) == told.total
    shop.scan(run, "print")
    shop.ledger.cancel(back, None, "no backs")
    assert cost_of_run(shop.store, shop.settings, run).total == told.total
    shop.ledger.spoil_run(RunSpoilage(run, chest, 3, why="banding"))
    assert cost_of_run(shop.store, shop.settings, run).total == told.total
    assert cost_of_day(shop.store, shop.settings, DAY).lines[0].total == told.total
