"""Rounds of the intake on a real shop: unfinished files, faults, deaths, and folders that are left."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.intake.shops import Bench, as_file, order, png
from tickets.problems import SetupProblem

Benches = Callable[..., Bench]


def test_an_unfinished_file_waits_its_grace_is_refused_and_judged_again(bench: Bench) -> None:
    """It stays where it lies all the time, for whoever is copying it may go on."""
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png()[:40])
    bench.settle()
    assert bench.standing("crest.png") == "waiting artwork-unfinished"
    assert "unfinished" in bench.files()["order.json"]["says"]
    bench.round(600)
    assert bench.standing("crest.png") == "refused artwork-unfinished"
    assert [p.read_bytes() for p in bench.shop.refused.rglob("crest.png")] == [png()[:40]]
    bench.restart()
    bench.settle()
    assert bench.standing("crest.png") == "refused artwork-unfinished"
    path.write_bytes(png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.lying() == []


def test_an_order_file_cut_short_waits_for_its_rest(bench: Bench) -> None:
    """Half an order is no broken order."""
    whole = as_file(order())
    path = bench.drop("order.json", whole[:30])
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.standing("order.json") == "waiting order-cut-short"
    path.write_bytes(whole)
    bench.settle()
    assert bench.numbers() == ["OB-1"]


def test_the_grace_of_an_unfinished_file_outlives_a_restart(bench: Bench) -> None:
    """A daemon that is restarted every few minutes must not wait for ever."""
    bench.drop("crest.png", png()[:40])
    bench.settle()
    bench.wall += timedelta(seconds=700)
    bench.restart()
    bench.settle()
    assert bench.standing("crest.png") == "refused artwork-unfinished"


def test_taken_files_stay_where_the_folder_says_so(new_bench: Benches) -> None:
    """They are remembered by fingerprint and hash, over a restart too; only other bytes are a new arrival."""
    bench = new_bench('[[intake.folder]]\npath = "Otter"\nclear = "leave"\n')
    path = bench.drop("Otter/order.json", as_file(order()))
    art = bench.drop("Otter/crest.png", png())
    bench.settle()
    assert bench.lying() == ["Otter/crest.png", "Otter/order.json"]
    for _ in range(2):
        bench.settle()
        bench.restart()
    os.utime(path)
    art.touch()
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert {r["standing"] for r in bench.files().values()} == {"taken"}
    path.write_bytes(as_file(order("OB-2")))
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2"]


def test_a_file_that_was_withdrawn_is_no_longer_waited_for(bench: Bench) -> None:
    """Its row is closed with a word on why."""
    path = bench.drop("crest.png", png())
    bench.settle()
    path.unlink()
    bench.round()
    assert "taken out of the inbox" in bench.files()["crest.png"]["says"]


def test_nothing_is_concluded_while_the_inbox_is_away(bench: Bench) -> None:
    """An unmounted folder looks empty: without its marker the round says so and closes nothing."""
    bench.drop("crest.png", png())
    bench.settle()
    bench.inbox.rename(bench.folder / "away")
    bench.inbox.mkdir()
    with pytest.raises(SetupProblem) as caught:
        bench.round()
    assert caught.value.slug == "inbox-gone"
    bench.inbox.rmdir()
    (bench.folder / "away").rename(bench.inbox)
    bench.settle()
    assert bench.standing("crest.png") == "waiting"


def test_one_file_that_cannot_be_read_stops_nothing_else(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It waits with its reason; all others are taken."""
    from intake import pipeline
    from intake.inbox import contents

    read = contents.read_contents

    def read_all_but_one(shop: object, entry: object, pulse: object) -> object:
        if getattr(entry, "name", "") == "poison.png":
            raise RuntimeError("boom")
        if getattr(entry, "name", "") == "locked.png":
            raise PermissionError(13, "Permission denied")
        return read(shop, entry, pulse)  # type: ignore[arg-type]

    monkeypatch.setattr(pipeline, "read_contents", read_all_but_one)
    for name in ("poison.png", "locked.png", "crest.png"):
        bench.drop(name, png())
    bench.drop("order.json", as_file(order()))
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("poison.png") == "waiting unexpected"
    assert bench.standing("locked.png") == "waiting file-unreadable"


def test_a_full_disk_pauses_intake_and_loses_nothing(new_bench: Benches) -> None:
    """With less room than the reserve nothing is taken; the files stay."""
    bench = new_bench("[intake]\nmin_free_mb = 100000000\n")
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.round()
    with pytest.raises(SetupProblem) as caught:
        bench.round(3)
    assert caught.value.slug == "disk-full"
    assert bench.lying() == ["crest.png", "order.json"]


def test_after_a_death_between_booking_and_clearing_nothing_is_taken_twice(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next start finds the rows, clears the inbox, and the order is there once."""
    from intake.inbox import leaving

    class PowerCut(BaseException):
        pass

    def die(*_args: object, **_kwargs: object) -> None:
        raise PowerCut

    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.round()
    with monkeypatch.context() as cut:
        cut.setattr(leaving, "clear_file", die)
        with pytest.raises(PowerCut):
            bench.round(3)
    assert bench.lying() == ["crest.png", "order.json"]
    bench.restart()
    bench.round()
    assert bench.lying() == []
    assert bench.standing("order.json") == "taken"
    assert bench.numbers() == ["OB-1"]


def test_a_new_file_under_the_name_of_one_that_is_not_cleared_yet_is_a_new_arrival(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its bytes are looked at before anything is removed."""
    from intake.inbox import leaving

    def cannot(*_args: object, **_kwargs: object) -> None:
        raise PermissionError(13, "Permission denied")

    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.round()
    with monkeypatch.context() as locked:
        locked.setattr(leaving, "clear_file", cannot)
        bench.round(3)
    assert "cannot be taken out" in bench.files()["order.json"]["says"]
    bench.drop("order.json", as_file(order("OB-2")))
    bench.settle()
    bench.round(40)
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert bench.lying() == []


def test_a_name_that_is_no_text_goes_the_same_way_as_all_others(bench: Bench) -> None:
    """It is listed with its bytes escaped, waits like other artwork, and stops nobody."""
    try:
        (bench.inbox / os.fsdecode(b"logo_\xe9.png")).write_bytes(png(9))
    except OSError:
        pytest.skip("this file system takes no such name")
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("logo_\\xe9.png") == "waiting"


def test_what_systems_write_is_ignored_by_a_named_rule(bench: Bench) -> None:
    """Ignored files are listed with the rule, and left where they are."""
    for name in (".DS_Store", "Thumbs.db", "crest.png.part", "~$order.json"):
        bench.drop(name, b"x")
    bench.settle()
    assert {bench.standing(n) for n in ("Thumbs.db", ".DS_Store", "crest.png.part")} == {"ignored"}
    assert "copy in progress" in bench.files()["crest.png.part"]["says"]
    assert len(bench.lying()) == 4


def test_hasty_rounds_wait_for_no_company_and_no_grace(bench: Bench) -> None:
    """`watch --once` asks the books at once, and leaves what is unfinished waiting."""
    bench.is_hasty = True
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.drop("half.png", png()[:40])
    bench.settle()
    bench.drop("next.json", as_file(order("OB-2")))
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert bench.standing("half.png") == "waiting artwork-unfinished"


def test_job_folders_that_taking_has_emptied_go_after_an_hour(bench: Bench) -> None:
    """A customer's own folder stays, and so does one into which something came meanwhile."""
    for folder, number in (("Otter/job 1", "OB-1"), ("Otter/job 2", "OB-2"), ("Heron", "HB-1")):
        bench.drop(f"{folder}/order.json", as_file(order(number)))
        bench.drop(f"{folder}/crest.png", png())
    bench.settle()
    bench.drop("Otter/job 2/more.png", png(2))
    bench.round(1800)
    assert (bench.inbox / "Otter" / "job 1").is_dir()
    bench.round(1801)
    bench.round(3601)
    assert sorted(p.name for p in bench.inbox.iterdir() if p.is_dir()) == ["Heron", "Otter"]
    assert [p.name for p in (bench.inbox / "Otter").iterdir()] == ["job 2"]


def test_a_file_that_is_too_large_for_the_disk_waits_alone(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All others are taken; only when the reserve is touched does everything wait."""
    import shutil
    from collections import namedtuple

    usage = namedtuple("usage", "total used free")
    free = bench.shop.settings.intake.min_free_mb * 1_000_000 + 100_000
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage(free, 0, free))
    bench.drop("big/order.json", as_file(order("BIG-1")))
    bench.drop("big/crest.png", png() + b"x" * 60_000)
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("big/crest.png") == "waiting file-needs-room"


def test_a_copy_that_seems_to_have_stopped_is_worth_a_word(bench: Bench) -> None:
    """Ignored is not forgotten."""
    bench.drop("crest.png.part", b"half")
    bench.settle()
    assert "stopped" not in bench.files()["crest.png.part"]["says"]
    bench.round(3600)
    assert "stopped" in bench.files()["crest.png.part"]["says"]


def test_a_file_over_the_limit_is_refused_where_it_lies(new_bench: Benches) -> None:
    """Copying it would only fill the disk; a smaller one in its place is taken."""
    bench = new_bench("[intake]\nlargest_file_mb = 1\n")
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png() + b"x" * 1_100_000)
    bench.settle()
    assert bench.standing("crest.png") == "refused file-too-large"
    assert bench.lying() == ["crest.png", "order.json"]
    bench.restart()
    bench.settle()
    assert bench.standing("crest.png") == "refused file-too-large"
    path.write_bytes(png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]


@pytest.mark.skipif(sys.platform != "linux", reason="only on Linux: writers can be asked about there")
def test_a_file_that_is_kept_open_for_writing_is_not_taken(bench: Bench) -> None:
    """However long it keeps still; the list says why, and it is taken once it is closed."""
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png())
    with path.open("ab"):
        bench.settle()
        bench.round(100)
        assert "open for writing" in bench.files()["crest.png"]["says"]
        assert bench.numbers() == []
    bench.settle()
    assert bench.numbers() == ["OB-1"]
