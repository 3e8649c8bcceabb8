"""The daemon as a process on a real shop folder: what customers do, and what the shop finds."""

from __future__ import annotations

import hashlib
import os
import signal
from pathlib import Path

import pytest

from intake.faults import POINTS
from tests.acceptance.daemons import Watched, artwork
from tests.intake.shops import as_file, order, zipped

SLIP_POINT = "slip-written"  # reached when pieces leave, not when they come

needs_kill = pytest.mark.skipif(os.name == "nt", reason="only on systems with signals")


def assert_nothing_is_lost(shop: Watched, *contents: bytes) -> None:
    """Each of these contents lies in originals/ under its hash, whole."""
    for content in contents:
        digest = hashlib.sha256(content).hexdigest()
        assert (shop.folder / "originals" / digest[:2] / digest).read_bytes() == content


def test_a_shops_morning(watched: Watched) -> None:
    """Order, late artwork, zip, renamed folder, broken order, duplicate, conflict, correction: one daemon."""
    shop, art, other, coarse = watched, artwork(1), artwork(2), artwork(3, 300)
    shop.start()

    shop.drop("Otter/order.json", order("OB-1"))
    shop.wait_for(lambda: shop.files().get("Otter/order.json") == "waiting")
    shop.drop("Otter/crest.png", art)
    shop.drop("job.zip", zipped(order__json=as_file(order("ZIP-1")), crest__png=other))
    staging = shop.folder / "staging"
    staging.mkdir()
    (staging / "order.json").write_bytes(as_file(order("DIR-1")))
    (staging / "crest.png").write_bytes(art)
    staging.rename(shop.inbox / "Heron")
    shop.drop("broken.json", b'{"order": 7}')
    for number in ("OB-1", "ZIP-1", "DIR-1"):
        shop.wait_for(lambda number=number: bool(shop.tickets().get(number)))  # type: ignore[misc]
        assert shop.standing(number) == "in work"
    for number, codes in shop.tickets().items():
        shop.wait_for(lambda n=number, c=codes: shop.paper(n, c[0]).is_file())  # type: ignore[misc]
        assert shop.paper(number, codes[0]).read_bytes().startswith(b"%PDF")
    assert shop.files()["broken.json"] == "refused"
    assert any(p.name == "broken.json.txt" for p in (shop.folder / "refused").rglob("*"))

    shop.drop("Otter/again.json", order("OB-1"))
    shop.drop("Otter/other.json", order("OB-1", rush=True))
    shop.wait_for(lambda: shop.files().get("Otter/other.json") == "conflict")
    shop.wait_for(lambda: shop.files().get("Otter/again.json") == "duplicate")

    shop.drop("Coot/order.json", order("CT-1"))
    shop.drop("Coot/crest.png", coarse)
    shop.wait_for(lambda: shop.standing("CT-1") == "queried")
    (code,) = shop.tickets()["CT-1"]
    shop.drop("Coot/crest.png", art)
    shop.wait_for(lambda: shop.standing("CT-1") == "in work")
    assert shop.tickets()["CT-1"] == [code]
    shop.wait_for(shop.paper("CT-1", code).is_file)

    assert shop.stop() == 0
    assert [p.name for p in shop.inbox.rglob("*") if p.is_file()] == [".filmdocket-inbox"]
    assert_nothing_is_lost(shop, art, other, coarse, as_file(order("OB-1")), b'{"order": 7}')
    log = (shop.folder / "filmdocket.log").read_text(encoding="utf-8")
    assert "event=unexpected" not in log
    assert "Traceback" not in log


def test_watch_once_takes_what_is_there_and_ends(watched: Watched) -> None:
    """Exit 0 even when something was refused; what still waits is listed, the papers are written."""
    watched.drop("order.json", order("OB-1"))
    watched.drop("crest.png", artwork())
    watched.drop("broken.json", b"[]")
    watched.drop("lonely.png", artwork(9))
    done = watched.command("watch", "--once")
    assert done.returncode == 0
    assert "lonely.png" in done.stderr
    (code,) = watched.tickets()["OB-1"]
    assert watched.paper("OB-1", code).is_file()
    assert watched.files() == {
        "order.json": "taken",
        "crest.png": "taken",
        "broken.json": "refused",
        "lonely.png": "waiting",
    }


def test_a_second_daemon_is_told_who_is_at_work(watched: Watched) -> None:
    """It ends with exit 5 and names the process; when the first has died, the next one may start."""
    daemon = watched.start()
    watched.wait_for(lambda: watched.inbox_answer()["heartbeat"] is not None)
    second = watched.command("watch", "--once")
    assert second.returncode == 5
    assert "already-watching" in second.stderr
    assert str(daemon.pid) in second.stderr
    watched.stop(signal.SIGKILL if os.name != "nt" else signal.SIGTERM)
    assert watched.command("watch", "--once").returncode == 0


@needs_kill
def test_ctrl_c_ends_the_daemon_cleanly(watched: Watched) -> None:
    """As SIGTERM does: exit 0, and the heartbeat says that it stopped."""
    watched.start()
    watched.wait_for(lambda: watched.inbox_answer()["heartbeat"] is not None)
    assert watched.stop(signal.SIGINT) == 0
    assert "event=stopped" in (watched.folder / "filmdocket.log").read_text(encoding="utf-8")


@needs_kill
def test_the_inbox_goes_away_and_comes_back(watched: Watched) -> None:
    """The daemon pauses, says so once, makes nothing up, and resumes by itself."""
    watched.start()
    watched.drop("order.json", order("OB-1"))
    watched.wait_for(lambda: watched.files().get("order.json") == "waiting")
    away = watched.folder / "away"
    watched.inbox.rename(away)
    watched.inbox.mkdir()
    log = watched.folder / "filmdocket.log"
    watched.wait_for(lambda: "inbox-gone" in log.read_text(encoding="utf-8"))
    assert watched.files() == {"order.json": "waiting"}
    watched.inbox.rmdir()
    away.rename(watched.inbox)
    watched.drop("crest.png", artwork())
    watched.wait_for(lambda: watched.standing("OB-1") == "in work")
    assert log.read_text(encoding="utf-8").count("slug=inbox-gone") == 1


@needs_kill
@pytest.mark.slow
@pytest.mark.parametrize("point", [point for point in POINTS if point != SLIP_POINT])
def test_after_a_death_at_any_step_the_next_start_finishes_the_work(watched: Watched, point: str) -> None:
    """Killed there, started again: each order once, with one ticket and its paper, and no byte lost."""
    art, coarse, broken = artwork(1), artwork(2, 300), b'{"order": 7}'
    dropped = {
        "a/order.json": as_file(order("OB-1")),
        "a/crest.png": art,
        "b/order.json": as_file(order("CT-1")),
        "b/crest.png": coarse,
        "broken.json": broken,
    }
    for name, content in dropped.items():
        watched.drop(name, content)
    killed = watched.command("watch", "--once", fault_point=point)
    assert killed.returncode == -signal.SIGKILL, f"{point} was never reached: {killed.stderr}"
    codes = {number: found for number, found in watched.tickets().items() if found}
    again = watched.command("watch", "--once")
    assert again.returncode == 0, again.stderr
    tickets = watched.tickets()
    assert {number: len(found) for number, found in tickets.items()} == {"OB-1": 1, "CT-1": 1}
    assert all(tickets[number] == found for number, found in codes.items())
    assert (watched.standing("OB-1"), watched.standing("CT-1")) == ("in work", "queried")
    assert watched.paper("OB-1", tickets["OB-1"][0]).is_file()
    assert list((watched.folder / "outbox" / "CT-1").iterdir())
    assert watched.files() == {**dict.fromkeys(dropped, "taken"), "broken.json": "refused"}
    assert [p.name for p in watched.inbox.rglob("*") if p.is_file()] == [".filmdocket-inbox"]
    assert_nothing_is_lost(watched, *dropped.values())
    if _grow_old(watched.folder / "derived"):  # pictures are made beside, and what is left of one is swept
        assert watched.command("watch", "--once").returncode == 0
    assert _leftovers(watched.folder) == []


@needs_kill
@pytest.mark.slow
def test_after_a_death_at_dispatch_the_slip_is_there_and_nothing_is_sent_twice(watched: Watched) -> None:
    """Killed between the slip and its note in the books: the next start notes it, the scan counts once."""
    watched.drop("order.json", as_file(order("OB-1")))
    watched.drop("crest.png", artwork(1))
    assert watched.command("watch", "--once").returncode == 0
    [code] = watched.tickets()["OB-1"]
    killed = watched.command("scan", code, "--at", "dispatch", "--catch-up", fault_point=SLIP_POINT)
    assert killed.returncode == -signal.SIGKILL, f"{SLIP_POINT} was never reached: {killed.stderr}"
    assert watched.command("watch", "--once").returncode == 0
    assert watched.standing("OB-1") == "dispatched"
    assert [p.name for p in (watched.folder / "papers" / "OB-1").glob("packing-*.pdf")] == ["packing-1.pdf"]
    assert watched.command("scan", code, "--at", "dispatch").returncode == 5
    assert _leftovers(watched.folder) == []


def _grow_old(folder: Path) -> list[Path]:
    """Half-written files, now so old that no writer can be at them any more."""
    found = list(folder.glob(".tmp-*"))
    for path in found:
        os.utime(path, (0, 0))
    return found


def _leftovers(folder: Path) -> list[str]:
    """Half-written files that nobody would ever finish."""
    found = [p for p in folder.rglob("*") if ".tmp" in p.name or ".clearing" in p.parts]
    return [str(p) for p in found if p.is_file()]
