"""German: stations that some pieces never come to, or that the line does not have."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.german.floor import station_name, station_to

_ITEMS = {"pressed": "Stücke zum Pressen", "transfers": "Transfers"}


def not_on_route(service: str, station: str, stations: Sequence[str]) -> tuple[str, str]:
    """A station that pieces of this service skip."""
    return (
        f"{_ITEMS[service]} kommen nicht {station_to(station)}; dort sind es immer 0.",
        f"Scannen bei: {', '.join(station_name(one) for one in stations)}.",
    )


def no_such_station(station: str, near: str, stations: Sequence[str]) -> tuple[str, str]:
    """A station that the shop does not have."""
    return (
        f"Es gibt keine Station {station!r}." + (f" Ist {near} gemeint?" if near else ""),
        f"Die Stationen: {', '.join(stations)}.",
    )
