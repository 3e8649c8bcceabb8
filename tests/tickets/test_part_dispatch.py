"""A part of an order leaves the house only when the order allows it or somebody says why, at every door."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from config.settings import StationSettings
from tests.books import Shopfloor, item_draft, order_draft
from tickets.codes import new_run_code
from tickets.lookup import order_history
from tickets.problems import ShopProblem

Door = Callable[[Shopfloor, list[str]], dict[str, object]]


def by_ticket(_floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """The ticket that is ready is scanned."""
    return {"code": codes[0]}


def by_order(_floor: Shopfloor, _codes: list[str]) -> dict[str, object]:
    """The order's number is scanned."""
    return {"code": "OB-1"}


def some_of_it(_floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """Fewer pieces than wait."""
    return {"code": codes[0], "good": 1}


def some_spoiled(floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """The last pieces of the order but for one that is lost in that very scan."""
    floor.scan(codes[1], "press", catch_up=True)
    return {"code": codes[0], "good": 3, "spoiled": 1}


def caught_up(_floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """Stations that were missed are booked on the way."""
    return {"code": codes[1], "good": 2, "catch_up": True}


def from_a_device(_floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """A scan that was kept while the network was away, and comes late."""
    return {"code": codes[0], "key": "kept-1", "device_sequence": 7}


def by_run(floor: Shopfloor, codes: list[str]) -> dict[str, object]:
    """A film run that is caught up straight to dispatch."""
    run = new_run_code(floor.random)
    floor.ledger.lay_in_run(run, {codes[1]: 2})
    return {"code": run, "catch_up": True}


DOORS: tuple[Door, ...] = (
    by_ticket, by_order, some_of_it, some_spoiled, caught_up, from_a_device, by_run,
)  # fmt: skip


def half_ready(floor: Shopfloor, **changes: object) -> list[str]:
    """Two tickets of four: the first waits at dispatch, the second at print."""
    drafts = (item_draft("a.png", 4), item_draft("b.png", 4))
    codes = floor.accept(order_draft("OB-1", *drafts, **changes))
    floor.scan(codes[0], "press", catch_up=True)
    return codes


def spoil_reason(asked: dict[str, object]) -> dict[str, object]:
    """Spoiled pieces need a reason of their own: the same words serve."""
    return {"why": "scorched"} if asked.get("spoiled") else {}


@pytest.mark.parametrize("door", DOORS, ids=lambda door: door.__name__)
def test_no_door_sends_a_part_unasked(floor: Shopfloor, door: Door) -> None:
    """Refused whole, by its slug; saying that it is a part without saying why is refused too."""
    codes = half_ready(floor)
    asked = door(floor, codes)
    before = [floor.places(code) for code in codes]
    with pytest.raises(ShopProblem) as refused:
        floor.scan(station="dispatch", **{**asked, **spoil_reason(asked)})  # type: ignore[arg-type]
    assert refused.value.slug == "part-dispatch"
    if not asked.get("spoiled"):
        with pytest.raises(ShopProblem) as refused:
            floor.scan(station="dispatch", part=True, why="  ", **asked)  # type: ignore[arg-type]
        assert refused.value.slug == "part-needs-why"
    assert [floor.places(code) for code in codes] == before
    done = floor.scan(station="dispatch", part=True, why="needed on Friday", **asked)  # type: ignore[arg-type]
    assert done.moved is not None
    assert any("needed on Friday" in line.says for line in order_history(floor.store, "OB-1"))


@pytest.mark.parametrize("door", DOORS, ids=lambda door: door.__name__)
def test_an_order_that_allows_parts_is_asked_nothing(sqlite_floor: Shopfloor, door: Door) -> None:
    """Its file said so."""
    codes = half_ready(sqlite_floor, allow_part_dispatch=True)
    asked = door(sqlite_floor, codes)
    assert sqlite_floor.scan(station="dispatch", **{**asked, **spoil_reason(asked)}).moved  # type: ignore[arg-type]


@pytest.fixture
def sqlite_floor(sqlite_home: object) -> Shopfloor:
    """Books of one kind, for what does not depend on it."""
    from tests.stores import Home

    assert isinstance(sqlite_home, Home)
    return Shopfloor(sqlite_home, sqlite_home.open(), sqlite_home.settings)


def test_a_dispatch_that_books_its_neighbours_keeps_the_rule(floor: Shopfloor) -> None:
    """Where one scan presses and sends, what is not pressed is still behind."""
    line = [
        station.model_copy(update={"books": ("press",)}) if station.name == "dispatch" else station
        for station in floor.settings.station
    ]
    assert all(isinstance(station, StationSettings) for station in line)
    joined = floor.with_settings(station=tuple(line))
    first, _ = joined.accept(order_draft("OB-1", item_draft("a.png", 4), item_draft("b.png", 4)))
    joined.scan(first, "cure", catch_up=True)
    with pytest.raises(ShopProblem) as refused:
        joined.scan(first, "dispatch")
    assert refused.value.slug == "part-dispatch"
    joined.scan(first, "dispatch", part=True, why="wanted today")
    assert joined.places(first) == {"dispatched": 4}


def test_items_that_are_asked_about_or_not_checked_yet_are_behind_too(floor: Shopfloor) -> None:
    """A refused item or a cancelled one is not: nothing of it is to come."""
    floor.take(order_draft("OB-1", *(item_draft(f"{n}.png", 4) for n in range(3))))
    floor.judge("OB-1", item=1)
    (code,) = floor.codes("OB-1")
    floor.scan(code, "press", catch_up=True)

    def refused() -> str:
        with pytest.raises(ShopProblem) as told:
            floor.scan(code, "dispatch")
        return f"{told.value.slug}: {told.value.says}"

    assert refused().startswith("part-dispatch: 8 pieces")
    floor.judge("OB-1", "refuse", item=2)
    floor.judge("OB-1", "query", item=3)
    assert refused().startswith("part-dispatch: 4 pieces")
    floor.ledger.cancel(floor.codes("OB-1")[-1], None, "not wanted")
    floor.scan(code, "dispatch")
    assert floor.places(code) == {"dispatched": 4}
