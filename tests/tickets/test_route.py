"""The rule book of the line, row by row, for the shipped stations and for a shop's own."""

from __future__ import annotations

import pytest

from config.settings import Settings, StationSettings, load_settings
from tickets.problems import BadInput, ShopProblem
from tickets.route import Route, Stop


def line_of(*stations: StationSettings) -> Settings:
    """The shipped settings with another line."""
    return load_settings(None).model_copy(update={"station": stations})


def test_the_shipped_line_is_the_contracts() -> None:
    """Pressed pieces pass five stations, transfers four, and every scan moves to the next of them."""
    route = Route.of(load_settings(None))
    pressed, transfers = route.rule_book["pressed"], route.rule_book["transfers"]
    assert list(pressed) == ["print", "powder", "cure", "press", "dispatch"]
    assert [stop.to for stop in pressed.values()] == ["powder", "cure", "press", "dispatch", "dispatched"]
    assert list(transfers) == ["print", "powder", "cure", "dispatch"]
    assert transfers["cure"] == Stop("cure", "dispatch", ("cure",), ("print", "powder"), False)
    assert route.first("transfers") == "print"


def test_a_shops_own_line_is_obeyed() -> None:
    """Own stations stand where the shop put them, joined neighbours are seen, the rest before is missed."""
    route = Route.of(
        line_of(
            StationSettings(name="print", label="Print"),
            StationSettings(name="powder", label="Powder", books=("print",)),
            StationSettings(name="cure", label="Cure", books=("print", "powder")),
            StationSettings(name="cut", label="Cut", catch_up=True),
            StationSettings(name="press", label="Press", skip_for=("transfers",)),
            StationSettings(name="dispatch", label="Dispatch", books=("press",)),
        )
    )
    pressed, transfers = route.rule_book["pressed"], route.rule_book["transfers"]
    assert pressed["cure"] == Stop("cure", "cut", ("print", "powder", "cure"), (), False)
    assert pressed["cut"] == Stop("cut", "press", ("cut",), ("print", "powder", "cure"), True)
    assert pressed["dispatch"].seen == ("press", "dispatch")
    assert transfers["dispatch"].seen == ("dispatch",)
    assert route.steps("powder", "dispatch", "transfers") == ("powder", "cure", "cut", "dispatch")


def test_a_run_ends_where_the_film_is_cut() -> None:
    """Pieces of a run belong to it up to the cure, and to none behind it."""
    route = Route.of(load_settings(None))
    assert [route.run_at(p, "R01X") for p in (*route.stations, "spoiled")] == ["R01X"] * 3 + [""] * 3


def test_a_station_off_the_route_is_refused_in_words() -> None:
    """Transfers at the press: the sentence says that none ever come there, and where they do."""
    route = Route.of(load_settings(None))
    with pytest.raises(ShopProblem, match="do not come to press") as refused:
        route.stop("press", "transfers")
    assert refused.value.slug == "not-on-route"
    assert refused.value.do == "Scan them at print, powder, cure, dispatch."


def test_an_unknown_station_is_refused_with_the_nearest() -> None:
    """A slip in a station's name is answered with the station that was meant."""
    with pytest.raises(BadInput, match="Did you mean press") as refused:
        Route.of(load_settings(None)).stop("Pres", "pressed")
    assert refused.value.slug == "no-such-station"
