"""The sentences about stations that pieces never come to, in German: what is wrong, what to do."""

from __future__ import annotations

from collections.abc import Sequence

_ITEMS = {"pressed": "Stücke zum Pressen", "transfers": "Transfers"}


def not_on_route(service: str, station: str, stations: Sequence[str]) -> tuple[str, str]:
    """A station that pieces of this service skip."""
    return (
        f"{_ITEMS[service]} kommen nicht zu {station}; dort sind es immer 0.",
        f"Scanne sie bei {', '.join(stations)}.",
    )


def no_such_station(station: str, near: str, stations: Sequence[str]) -> tuple[str, str]:
    """A station that the shop does not have."""
    return (
        f"Es gibt keine Station {station!r}." + (f" Ist {near} gemeint?" if near else ""),
        f"Die Linie ist {', '.join(stations)}.",
    )
