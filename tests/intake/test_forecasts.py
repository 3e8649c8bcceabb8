"""Forecasts between processes: the daemon keeps one fresh where there is much work, commands tell it."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from intake import forecasts
from intake.forecasts import MOST_BYTES, FolderShelf, Forecaster, put_forecast, put_forecast_aside
from tests.intake.shops import Bench
from tests.tickets.front_desk import FrontDesk, item
from tickets.lookup import fresh
from tickets.lookup.shelf import Shelved, read_shelved

CHILD = """
import sys
from intake import forecasts
from tickets.lookup import fresh
fresh.SHORT_SECONDS = -1.0  # a small shop's is kept too
forecasts.main(sys.argv[1])
"""
TELL = """
import json, sys
from intake.cli import main
status = main(["where", "OB-1", "--json", "--shop", sys.argv[1]])
print(json.dumps([status, "numpy" in sys.modules]), file=sys.stderr)
"""


def test_a_shelf_in_a_folder_keeps_one_whole_and_never_raises(tmp_path: Path) -> None:
    """Nothing there, a folder that is away, a monstrous file: there is no forecast, and that is all."""
    shelf = FolderShelf(tmp_path / "derived" / "forecast.json")
    assert shelf.read() == b""
    shelf.write(b"one")
    shelf.write(b"two")
    assert shelf.read() == b"two"
    assert [path.name for path in shelf.path.parent.iterdir()] == ["forecast.json"]
    shelf.path.write_bytes(b" " * (MOST_BYTES + 1))
    assert shelf.read() == b""
    blocked = FolderShelf(shelf.path / "forecast.json")  # below a file nothing can be written
    blocked.write(b"three")
    assert blocked.read() == b""


def kept(bench: Bench) -> Shelved | None:
    """What lies on the shop's shelf."""
    return read_shelved(bench.shop.shelf.read())


def test_the_daemon_makes_a_forecast_anew_when_something_was_booked_with_rests_between(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not before it has rested, not when nothing was booked, but after some minutes in any case."""
    monkeypatch.setattr(forecasts, "MANY_LOTS", 2)
    monkeypatch.setattr(fresh, "SHORT_SECONDS", -1.0)
    desk = FrontDesk(bench.shop.store, bench.shop.settings, bench.wall)
    forecaster = Forecaster(bench.shop, lambda: bench.now, put_forecast)
    desk.take("OB-1")
    assert not forecaster.keep_fresh()  # a small shop needs none
    assert kept(bench) is None
    bench.now += 60
    desk.take("OB-2", items=[item("large.png", 400)])
    assert forecaster.keep_fresh()
    first = kept(bench)
    assert first
    assert set(first.expected) == {"OB-1", "OB-2"}
    assert set(first.helps) == set(first.helped)
    desk.take("OB-3")
    assert not forecaster.keep_fresh()  # it rests
    bench.now += 60
    assert forecaster.keep_fresh()
    second = kept(bench)
    assert second
    assert set(second.expected) == {"OB-1", "OB-2", "OB-3"}
    bench.now += 60
    assert not forecaster.keep_fresh()  # nothing was booked
    bench.round(600)
    assert forecaster.keep_fresh()
    third = kept(bench)
    assert third
    assert third.at > second.at


def test_the_command_tells_the_shelf_without_making_a_forecast(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process, the same times, and no numpy: it takes no longer than finished work."""
    monkeypatch.setattr(forecasts, "MANY_LOTS", 1)
    monkeypatch.setattr(fresh, "SHORT_SECONDS", -1.0)
    bench.wall = datetime.now(UTC)
    FrontDesk(bench.shop.store, bench.shop.settings, bench.wall).take("OB-1", due="2099-12-04")
    assert Forecaster(bench.shop, lambda: bench.now, put_forecast).keep_fresh()
    told = kept(bench)
    assert told
    done = subprocess.run(
        [sys.executable, "-c", TELL, str(bench.folder)], capture_output=True, text=True, check=True
    )
    (order,) = json.loads(done.stdout)["orders"]
    assert json.loads(done.stderr.splitlines()[-1]) == [0, False]
    assert order["ready"]["latest"] == f"{told.expected['OB-1'].latest:%Y-%m-%dT%H:%M:%SZ}"


def test_a_child_makes_the_forecast_and_gives_its_memory_back(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process of its own, which ends: the daemon's own memory doesn't grow with the open orders."""
    desk = FrontDesk(bench.shop.store, bench.shop.settings, datetime.now(UTC))
    asked: list[list[str]] = []

    def run(command: list[str], **settings: Any) -> None:
        asked.append(command)
        subprocess_run([sys.executable, "-c", CHILD, *command[3:]], **settings)

    desk.take("OB-1", due="2099-12-04")
    subprocess_run = subprocess.run
    monkeypatch.setattr(subprocess, "run", run)
    put_forecast_aside(bench.shop)
    assert asked == [[sys.executable, "-m", "intake.forecasts", str(bench.folder)]]
    told = kept(bench)
    assert told
    assert set(told.expected) == {"OB-1"}
