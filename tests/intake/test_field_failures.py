"""Failures that watched folders have in the field, each made here, and the right answer to it."""

from __future__ import annotations

import json
import logging
import os
import sys
import unicodedata
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from config.settings import load_settings
from intake.order import read_order
from tests.intake.shops import NOON, Bench, as_file, order, png
from tickets.codes import read_code
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
