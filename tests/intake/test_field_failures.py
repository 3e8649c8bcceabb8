"""Failures that watched folders have in the field, each made here, and the right answer to it."""

from __future__ import annotations

import hashlib
import json
import logging
import os
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from config.settings import load_settings
from intake.inbox.claiming import original_path
from intake.order import read_order
from intake.shop import make_shop, open_shop
from tests.intake.shops import NOON, Bench, as_file, order, png
from tickets.codes import read_code
from tickets.lookup import list_arrivals, list_orders, unchecked_items
from tickets.problems import OrderRefused, ShopProblem

is_linux = pytest.mark.skipif(sys.platform != "linux", reason="only on Linux are file names any bytes")


@pytest.mark.parametrize("seconds", [0, -1, 315_532_800, 4_102_444_800], ids=["1970", "1969", "1980", "2100"])
def test_a_copy_with_an_old_or_a_future_date_is_taken_like_any_other(bench: Bench, seconds: int) -> None:
    """Clocks of customers are wrong and copies keep old dates: settled means unchanged, not old."""
    for path in (bench.drop("order.json", as_file(order())), bench.drop("crest.png", png())):
        os.utime(path, (seconds, seconds))
    bench.round()
    assert bench.standing("crest.png") == "settling"
    bench.round(3.0)
    assert bench.numbers() == ["OB-1"]


def test_an_empty_placeholder_waits_and_is_taken_once_it_is_filled(bench: Bench) -> None:
    """Browsers and scanners reserve the name first; the bytes come later."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", b"")
    bench.settle()
    bench.round(60.0)
    assert bench.numbers() == []
    assert bench.standing("crest.png").startswith("waiting")
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]


def test_a_burst_of_files_without_one_event_is_taken_whole(bench: Bench) -> None:
    """Every source of events overflows: here none arrives at all, and the scan finds all eighty."""
    for number in range(40):
        bench.drop(f"art-{number}.png", png(number))
        bench.drop(f"order-{number}.json", as_file(order(f"B-{number}", f"art-{number}.png")))
    bench.settle()
    assert len(bench.numbers()) == 40
    assert bench.lying() == []


@pytest.mark.skipif(os.name == "nt", reason="only on systems with links that everybody may make")
def test_links_that_run_in_a_circle_stop_nobody(bench: Bench) -> None:
    """`a` leads to `b` leads to `a`; a folder leads to itself; the order beside them is taken."""
    (bench.inbox / "a").symlink_to(bench.inbox / "b")
    (bench.inbox / "b").symlink_to(bench.inbox / "a")
    (bench.inbox / "self").symlink_to(bench.inbox, target_is_directory=True)
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("a") == "ignored"


def test_a_name_as_long_as_names_can_be_is_taken(bench: Bench) -> None:
    """255 bytes leave no room for an ending or a date: originals have names of their own."""
    name = "x" * 251 + ".png"
    bench.drop("order.json", as_file(order(artwork=name)))
    bench.drop(name, png())
    bench.drop("y" * 250 + ".json", b'{"order": 7}')
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("y" * 250 + ".json").startswith("refused")
    assert bench.lying() == []


@is_linux
@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_a_name_composed_on_one_machine_and_not_on_the_other_is_the_same(bench: Bench, form: str) -> None:
    """Macs write names decomposed; the order file says them composed, or the other way round."""
    other = {"NFC": "NFD", "NFD": "NFC"}[form]
    bench.drop("order.json", as_file(order(artwork=unicodedata.normalize(form, "Café.png"))))  # type: ignore[arg-type]
    bench.drop(unicodedata.normalize(other, "Café.png"), png())  # type: ignore[arg-type]
    bench.settle()
    assert bench.numbers() == ["OB-1"]


@is_linux
def test_names_that_differ_only_in_case_are_a_question(bench: Bench) -> None:
    """Neither `Logo.png` nor `LOGO.png` is chosen for `logo.png`, and neither is lost."""
    bench.drop("order.json", as_file(order(artwork="logo.png")))
    bench.drop("Logo.png", png(1))
    bench.drop("LOGO.png", png(2))
    bench.settle()
    assert bench.numbers() == []
    assert bench.standing("order.json") == "waiting artwork-ambiguous"
    assert bench.lying() == ["LOGO.png", "Logo.png", "order.json"]


def a_name(name: bytes) -> bool:
    """What a file system of Linux takes as a name."""
    return 0 < len(name) <= 255 and name not in (b".", b"..") and not name.startswith(b".filmdocket")


ODD = [b"\n", b"\r", b"\x1b[2J", "\u202e".encode(), "\u2028".encode(), b"\xff", b" ", b"~", b"'"]
TEXTS = st.text(max_size=20).map(lambda text: text.encode("utf-8", "replace"))
PIECES = st.one_of(st.sampled_from(ODD), st.binary(max_size=40), TEXTS)
ENDINGS = st.sampled_from([b"", b".json", b".png", b".zip"])
NAMES = (
    st.builds(lambda parts, end: b"".join(parts) + end, st.lists(PIECES, max_size=6), ENDINGS)
    .map(lambda name: name.replace(b"/", b"").replace(b"\0", b""))
    .filter(a_name)
)


@is_linux
@settings(max_examples=6, suppress_health_check=[HealthCheck.function_scoped_fixture], database=None)
@given(names=st.lists(NAMES, min_size=1, max_size=8, unique=True))
def test_no_name_stops_the_line(
    new_bench: Callable[..., Bench], caplog: pytest.LogCaptureFixture, names: list[bytes]
) -> None:
    """Any bytes as names: the order beside them is taken, each file is listed, no log line is torn."""
    caplog.clear()
    bench = new_bench()
    with caplog.at_level(logging.DEBUG):
        for name in names:
            (bench.inbox / os.fsdecode(name)).write_bytes(b'{"order": 7}')
        bench.drop("Otter/order.json", as_file(order()))
        bench.drop("Otter/crest.png", png())
        bench.settle()
    assert bench.numbers() == ["OB-1"]
    listed = json.dumps(list(bench.files()), ensure_ascii=False).encode()  # all text, whatever the names were
    assert listed
    assert len(bench.files()) == len(names) + 2
    assert all(line.isascii() and "\x1b" not in line for line in caplog.messages)
    assert all(len(line.splitlines()) == 1 for line in caplog.messages if "Traceback" not in line)
    outside = [p for p in bench.folder.rglob("*.txt") if bench.shop.refused not in p.parents]
    assert outside == []


SHIPPED = load_settings(None, {})
WHOLE = as_file(order("OB-1", customer={"name": "Otter", "email": "a@b.example", "phone": "+44 1632 960123"}))


@settings(max_examples=100)
@given(
    st.lists(st.tuples(st.integers(0, len(WHOLE) - 1), st.binary(max_size=3), st.integers(0, 3)), max_size=4)
)
def test_a_spoilt_order_file_is_read_or_refused_in_words(changes: list[tuple[int, bytes, int]]) -> None:
    """A real order file with bytes put in, taken out and changed raises nothing but OrderRefused."""
    spoilt = bytearray(WHOLE)
    for at, new, gone in changes:
        spoilt[at : at + gone] = new
    problem = None
    try:
        read_order(bytes(spoilt), SHIPPED, NOON)
    except OrderRefused as refused:
        problem = refused
    assert problem is None or problem.errors


SCANNED = st.one_of(st.text(max_size=40), st.from_regex(r"(\]Q1|https?://x/t/)?[0-9A-Za-z \-]{3,12}[\r\n]*"))


@settings(max_examples=150)
@given(SCANNED)
def test_whatever_a_scanner_types_is_a_code_or_refused_in_words(text: str) -> None:
    """Nothing but `code-not-read` comes of it."""
    said = None
    try:
        assert read_code(text)
    except ShopProblem as problem:
        said = problem
    assert said is None or said.slug == "code-not-read"


def notes_of(bench: Bench) -> list[tuple[str, str]]:
    """(path, standing) of each file that the books have ever noted."""
    return [(n["path"], n["standing"]) for n in list_arrivals(bench.shop.store, None).as_json()["files"]]


def test_a_file_that_is_told_of_many_times_is_taken_once(bench: Bench) -> None:
    """A server that writes attributes while a file is looked at tells of it again and again."""
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png())
    for look in range(11):
        path.chmod(0o600 if look % 2 else 0o644)
        bench.round(0.2)
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert sorted(notes_of(bench)) == [("crest.png", "taken"), ("order.json", "taken")]
    bench.restart()
    bench.settle()
    assert len(notes_of(bench)) == 2


def test_the_file_of_a_killed_worker_is_judged_by_the_next(bench: Bench) -> None:
    """The work to do is in the books, not in a queue: a daemon that dies with its workers starts it again."""
    bench.drop("order.json", as_file(order()))
    art = png()
    bench.drop("crest.png", art)
    bench.settle()
    (waiting,) = unchecked_items(bench.shop.store)
    bench.restart()
    assert unchecked_items(bench.shop.store) == [waiting]
    assert original_path(bench.shop, waiting.item.artwork_sha256).read_bytes() == art
    bench.judge()
    assert unchecked_items(bench.shop.store) == []
    (found,) = list_orders(bench.shop.store, bench.shop.settings)
    assert len(found.as_json()["tickets"]) == 1


def test_what_cannot_be_removed_is_taken_once_and_said(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the right to remove it, it is done all the same, over a restart too; with the right it goes."""
    rename = Path.rename

    def refused(self: Path, target: Path) -> Path:
        if self.is_relative_to(bench.inbox):
            raise PermissionError(13, "Permission denied", str(self))
        return rename(self, target)

    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    with monkeypatch.context() as locked:
        locked.setattr(Path, "rename", refused)
        bench.settle()
        bench.round(60)
        bench.restart()
        bench.settle()
        bench.round(60)
        assert bench.numbers() == ["OB-1"]
        assert bench.lying() == ["crest.png", "order.json"]
        assert "cannot be taken out" in bench.files()["order.json"]["says"]
    bench.round(60)
    assert bench.lying() == []
    assert bench.numbers() == ["OB-1"]


def test_nothing_that_was_taken_lies_in_the_inbox_for_a_rebuild_to_take_again(bench: Bench) -> None:
    """Taken, duplicate and corrected files all leave; books made anew find no old file to import."""
    for number in range(6):
        bench.drop(f"art-{number}.png", png(number))
        bench.drop(f"order-{number}.json", as_file(order(f"B-{number}", f"art-{number}.png")))
    bench.settle()
    bench.drop("order-0.json", as_file(order("B-0", "art-0.png")))
    bench.drop("art-0.png", png(0))
    bench.settle()
    assert bench.lying() == []
    bench.shop.close()
    for books in bench.shop.folder.glob("filmdocket.db*"):
        books.unlink()
    make_shop(bench.shop.folder)
    with open_shop(bench.shop.folder) as rebuilt:
        again = Bench(bench.folder, rebuilt)
        again.settle()
        assert again.numbers() == []


@pytest.mark.parametrize(
    "name",
    ["../outside.png", "a/../../outside.png", "/{}", "C:\\outside.png", "..\\outside.png", "x\0.png", ""],
)
def test_an_order_that_names_a_path_outside_is_refused_and_nothing_is_opened(bench: Bench, name: str) -> None:
    """The file that it means is there and readable; still not one byte of it comes into the shop."""
    outside = bench.folder.parent / "outside.png"
    outside.write_bytes(png(200))
    bench.drop("order.json", as_file(order(artwork=name.format(str(outside).lstrip("/")))))
    bench.settle()
    bench.round(700)
    assert bench.standing("order.json").startswith("refused")
    assert bench.numbers() == []
    sha256 = hashlib.sha256(png(200)).hexdigest()
    assert not original_path(bench.shop, sha256).exists()
