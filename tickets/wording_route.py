"""The sentences about stations that some pieces never come to, or that the line does not have."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.languages import make_spoken
from tickets.problems import BadInput, ShopProblem

_ITEMS = {"pressed": "Pieces to be pressed", "transfers": "Transfers"}


def not_on_route(service: str, station: str, stations: Sequence[str]) -> ShopProblem:
    """A station that pieces of this service skip."""
    return ShopProblem(
        "not-on-route",
        f"{_ITEMS[service]} do not come to {station}; their count there is always 0.",
        f"Scan them at {', '.join(stations)}.",
    )


def no_such_station(station: str, near: str, stations: Sequence[str]) -> BadInput:
    """A station that the shop does not have; `near`: one whose name is like it, or ""."""
    return BadInput(
        "no-such-station",
        f"There is no station {station!r}." + (f" Did you mean {near}?" if near else ""),
        f"The line is {', '.join(stations)}.",
    )


make_spoken(__name__, de="tickets.german.route")
