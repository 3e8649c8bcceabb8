"""Pages do not wait for a slow forecast: the last one is told while the next is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import pytest

from config.settings import load_settings
from tickets.lookup import foreseeing
from tickets.lookup.foreseeing import AGAIN_SECONDS, OLDEST_SECONDS, Foreseer
from tickets.store import Store

NOON = datetime(2026, 12, 2, 12, tzinfo=UTC)


@dataclass
class Shop:
    """A shop whose forecast takes as long as a test says, on a clock turned by hand."""

    takes: float
    now: float = 0.0
    made: list[Mapping[str, Any]] = field(default_factory=list)

    def clock(self) -> float:
        """Seconds."""
        return self.now

    def forecast(self, *_: object) -> Any:
        """Makes a new one each time."""

        def look() -> Mapping[str, Any]:
            self.now += self.takes
            self.made.append({"forecast": len(self.made)})
            return self.made[-1]

        return look

    def fail(self, *_: object) -> Any:
        """Makes none."""

        def look() -> Mapping[str, Any]:
            raise RuntimeError("no forecast today")

        return look


def ask(foreseer: Foreseer, store: Store) -> Any:
    """What a page is told; what was begun behind it is then done."""
    told = foreseer.foresight(store, load_settings(None), NOON)()
    foreseer.wait()
    return told["forecast"]


def test_a_quick_forecast_is_that_of_this_moment(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every question has its own."""
    shop = Shop(takes=0.1)
    monkeypatch.setattr(foreseeing, "foresight", shop.forecast)
    foreseer = Foreseer(shop.clock)
    assert [ask(foreseer, store) for _ in range(3)] == [0, 1, 2]


def test_a_slow_forecast_is_made_behind_the_answer(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first is waited for; then the last one serves, a new one at most so often, and none that is old."""
    shop = Shop(takes=3.0)
    monkeypatch.setattr(foreseeing, "foresight", shop.forecast)
    foreseer = Foreseer(shop.clock)
    assert [ask(foreseer, store), ask(foreseer, store), len(shop.made)] == [0, 0, 1]
    shop.now += AGAIN_SECONDS
    assert [ask(foreseer, store), len(shop.made), ask(foreseer, store)] == [0, 2, 1]
    shop.now += OLDEST_SECONDS
    assert ask(foreseer, store) == 2


def test_a_forecast_that_fails_behind_leaves_the_last_one(
    store: Store, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """It is in the log."""
    shop = Shop(takes=3.0)
    monkeypatch.setattr(foreseeing, "foresight", shop.forecast)
    foreseer = Foreseer(shop.clock)
    ask(foreseer, store)
    monkeypatch.setattr(foreseeing, "foresight", Shop(takes=-1.0, made=[]).fail)
    shop.now += AGAIN_SECONDS
    assert ask(foreseer, store) == 0
    assert "event=forecast-failed" in caplog.text
