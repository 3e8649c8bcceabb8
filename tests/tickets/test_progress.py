"""What a customer sees of an order is all of it: each piece at one stage, in the order of the line."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as some

from tickets import wording_progress as wording
from tickets.lookup.answers import ItemAnswer, OrderAnswer, TicketAnswer
from tickets.lookup.progress import progress_of
from tickets.standing import Standing

NOW = datetime(2026, 12, 1, 9, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
LINE = ("print", "powder", "cure", "counting", "press", "dispatch")


@some.composite
def tickets(draw: some.DrawFn) -> TicketAnswer:
    """A ticket whose pieces lie anywhere, also at a station that the line had once."""
    waiting = draw(some.dictionaries(some.sampled_from((*LINE, "cutting")), some.integers(0, 50)))
    return TicketAnswer(
        code="7K3Q9XZ",
        order="OB-1",
        item=draw(some.integers(1, 3)),
        reprint_of=None,
        artwork="crest.png",
        artwork_sha256="",
        quantity=0,
        standing=Standing.IN_WORK,
        waiting=waiting,
        dispatched=draw(some.integers(0, 50)),
        spoiled=draw(some.integers(0, 5)),
        cancelled=draw(some.integers(0, 5)),
        last=None,
        held=None,
        runs=(),
        garment="",
        placement="",
        says="",
    )


def order_of(
    found: list[TicketAnswer],
    ready: dict[str, str | None] | None = None,
    unchecked: tuple[ItemAnswer, ...] = (),
) -> OrderAnswer:
    """An order of these tickets."""
    return OrderAnswer(
        order="OB-1",
        customer="Otter Bank Rowing Club",
        email="",
        phone="",
        purchase_order="",
        due="",
        due_says="",
        standing=Standing.IN_WORK,
        says="",
        held=None,
        rush=False,
        taken_at=NOW,
        tickets=tuple(found),
        refused_items=(),
        queried_items=(),
        unchecked_items=unchecked,
        ready=ready,
    )


@given(some.lists(tickets(), max_size=6))
def test_every_piece_is_at_one_stage(found: list[TicketAnswer]) -> None:
    """Spoiled ones apart, which are printed again: nothing is shown twice, nothing is left out."""
    progress = progress_of(order_of(found), LINE, NOW, LONDON)
    for number, item in zip(sorted({t.item for t in found}), progress.items, strict=True):
        own = [t for t in found if t.item == number]
        pieces = sum(sum(t.waiting.values()) + t.dispatched + t.cancelled for t in own)
        assert item.pieces == pieces == sum(stage.pieces for stage in item.stages)
        order = [
            wording.TO_PRINT,
            wording.FINISHING,
            wording.TO_PRESS,
            wording.READY,
            wording.GONE,
            "cancelled",
        ]
        said = [stage.says for stage in item.stages]
        assert said == [words for words in order if words in said]


def test_an_item_that_is_looked_at_anew_is_not_in_print() -> None:
    """A correction that waits for its check is told so, whatever the ticket of the former artwork says."""
    item = ItemAnswer(2, "back.png", "", 40, ())
    progress = progress_of(order_of([], unchecked=(item,)), LINE, NOW, LONDON)
    assert [(i.artwork, [(s.pieces, s.says) for s in i.stages]) for i in progress.items] == [
        ("back.png", [(40, "being looked at")])
    ]


def test_the_day_is_the_shops_own() -> None:
    """One day where likely and latest fall on it, in the shop's zone; else both; none where none is told."""
    for likely, latest, says in (
        ("2026-12-03T15:20:00Z", "2026-12-03T17:00:00Z", "Thu 3 Dec"),
        ("2026-12-03T15:20:00Z", "2026-12-04T09:10:00Z", "Thu 3 Dec, at the latest Fri 4 Dec"),
        ("2026-12-03T23:30:00Z", "2027-01-04T23:30:00Z", "Thu 3 Dec, at the latest Mon 4 Jan 2027"),
    ):
        order = order_of([], {"likely": likely, "latest": latest})
        assert progress_of(order, LINE, NOW, LONDON).expected_says == says
    assert progress_of(order_of([]), LINE, NOW, LONDON).expected_says == ""
