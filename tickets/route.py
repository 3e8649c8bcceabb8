"""The line: its stations, which way the pieces of each service go, and what a scan at each may book."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from config.settings import Settings, StationSettings
from tickets.places import DISPATCHED, SERVICES
from tickets.wording_route import no_such_station, not_on_route

LAST_ON_FILM = "cure"  # up to here the pieces of a run are one piece of film; behind it the film is cut


@dataclass(frozen=True, slots=True)
class Stop:
    """What a scan at one station may do with pieces of one service.

    `seen` are the places whose pieces a scan here books as done, in the order of the line: the station itself
    and the neighbours that one machine does with it. `missed` are the places before those, which only a
    catch-up books, as inferred. `to` is where good pieces go.
    """

    station: str
    to: str
    seen: tuple[str, ...]
    missed: tuple[str, ...]
    always_catches_up: bool


@dataclass(frozen=True, slots=True)
class Route:
    """The stations of one shop in the order of its line, and the rule book: service → station → its rule."""

    stations: tuple[str, ...]
    rule_book: Mapping[str, Mapping[str, Stop]]

    @classmethod
    def of(cls, settings: Settings) -> Route:
        """The route that the shop's settings describe."""
        line = settings.station
        return cls(tuple(s.name for s in line), {service: _rules(line, service) for service in SERVICES})

    def stop(self, station: str, service: str) -> Stop:
        """The rule for one station.

        Raises BadInput `no-such-station`, or ShopProblem `not-on-route` where such pieces never come.
        """
        self.require(station)
        rules = self.rule_book[service]
        if station not in rules:
            raise not_on_route(service, station, tuple(rules))
        return rules[station]

    def require(self, station: str) -> None:
        """Raises BadInput `no-such-station`, with the nearest one, unless the shop has that station."""
        if station in self.stations:
            return
        near = difflib.get_close_matches(station.casefold(), self.stations, 1, 0.5)
        raise no_such_station(station, near[0] if near else "", self.stations)

    def first(self, service: str) -> str:
        """Where pieces start, and start again when they were spoiled."""
        return next(iter(self.rule_book[service]))

    def steps(self, source: str, station: str, service: str) -> tuple[str, ...]:
        """The places from `source` to `station` on the way of that service, both included."""
        way = tuple(self.rule_book[service])
        return way[way.index(source) : way.index(station) + 1]

    def run_at(self, place: str, run: str) -> str:
        """The run that pieces of it still belong to at a place: none once the film is cut, after the cure."""
        on_film = self.stations[: self.stations.index(LAST_ON_FILM) + 1]
        return run if place in on_film else ""


def _rules(line: Sequence[StationSettings], service: str) -> dict[str, Stop]:
    """The rule book's page for one service: a row for each station that its pieces come to, in order."""
    way = [s for s in line if service not in s.skip_for]
    onward = [*(s.name for s in way[1:]), DISPATCHED]
    page: dict[str, Stop] = {}
    for at, station in enumerate(way):
        before = [s.name for s in way[:at]]
        seen = (*(name for name in before if name in station.books), station.name)
        missed = tuple(name for name in before if name not in station.books)
        page[station.name] = Stop(station.name, onward[at], seen, missed, station.catch_up)
    return page
