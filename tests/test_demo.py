"""The demo: artwork with the faults that are meant, honest drops, readable words, and the whole story."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from PIL import Image
from rich.console import Console

from config.settings import Settings, load_settings
from hotfolder_demo.drawing import ARTWORKS
from hotfolder_demo.dropping import HALF, Dropper
from hotfolder_demo.scenario import (
    BROKEN_KEY,
    CLIMBERS,
    DANCERS,
    MEANT_KEY,
    ORDERS,
    REGATTA,
    REPEAT,
    SHOP_SETTINGS,
    SURFERS,
    CustomerOrder,
    broken_order,
)
from hotfolder_demo.showing import WIDTH, Show
from intake.order import read_order
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from tickets.problems import OrderRefused

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
ITEMS = [(order, item) for order in ORDERS if order is not REPEAT for item in order.items]


@pytest.fixture(scope="module")
def artwork() -> dict[str, bytes]:
    """All artworks, drawn once."""
    return {name: draw() for name, draw in ARTWORKS.items()}


@pytest.fixture(scope="module")
def settings() -> Settings:
    """The shipped settings."""
    return load_settings(None, {})


@pytest.fixture(scope="module")
def sandbox(settings: Settings) -> Iterator[Sandbox]:
    """Workers that measure."""
    with Sandbox(settings.sandbox) as workers:
        yield workers


@pytest.mark.parametrize(("order", "item"), ITEMS, ids=[i.artwork for _, i in ITEMS])
def test_artwork_has_the_fault_that_its_order_is_there_to_show(
    order: CustomerOrder,
    item: object,
    artwork: dict[str, bytes],
    settings: Settings,
    sandbox: Sandbox,
    tmp_path: Path,
) -> None:
    """Good artwork is clear; the other kind gets the finding that the story promises, at its print size."""
    ordered = next(i for i in order.items if i is item)
    path = tmp_path / ordered.artwork
    path.write_bytes(artwork[ordered.artwork])
    job = PreflightJob(
        path=path,
        name=path.name,
        page=None,
        width_mm=ordered.width_mm,
        height_mm=None,
        ppi=None,
        garment=None,
        limits=settings.limits,
        film=settings.film,
        want_picture=False,
    )
    answer = sandbox.preflight(job)
    asked = {f.check for f in answer.findings if f.level == "query"}
    assert str(answer.verdict) == ("query" if order.check else "clear"), [f.says for f in answer.findings]
    assert (order.check in asked) if order.check else not asked


def test_artwork_is_the_same_every_time(artwork: dict[str, bytes]) -> None:
    """Drawing depends on nothing but the program: the same bytes every time."""
    for name in ("mountain.png", "foxglove.pdf"):
        assert ARTWORKS[name]() == artwork[name]


@pytest.mark.parametrize("order", ORDERS, ids=lambda o: o.number)
def test_orders_are_what_the_shop_reads(order: CustomerOrder, settings: Settings) -> None:
    """Every order file of the story keeps the contract, and names only what the reader knows."""
    document = read_order(order.as_file(NOW.date()), settings, NOW)
    assert document.order == order.number
    assert [i.artwork for i in document.items] == [i.artwork for i in order.items]


def test_broken_order_is_refused_with_every_slip(settings: Settings) -> None:
    """The misspelt key and the size of nothing are both told, the key with the one that was meant."""
    with pytest.raises(OrderRefused) as caught:
        read_order(broken_order(NOW.date()), settings, NOW)
    said = str(caught.value)
    assert BROKEN_KEY in said
    assert MEANT_KEY in said
    assert "width_mm" in said


def test_settings_of_the_demo_are_settings(tmp_path: Path) -> None:
    """The demo's shop.toml is read without a complaint."""
    (tmp_path / "shop.toml").write_text(SHOP_SETTINGS, encoding="utf-8")
    assert load_settings(tmp_path, {}).shop.name == "Tern Street Prints"


def dropper(inbox: Path, artwork: dict[str, bytes]) -> Dropper:
    """Somebody who drops files without taking his time."""
    return Dropper(inbox, artwork, date(2026, 11, 2))


def test_a_customers_folder_holds_artwork_and_order(tmp_path: Path, artwork: dict[str, bytes]) -> None:
    """The regatta club drops into its own folder, byte for byte."""
    dropped = dropper(tmp_path, artwork).drop(REGATTA)
    assert dropped == ["Heron Reach/crest.png", "Heron Reach/back.png", "Heron Reach/HR-2061.json"]
    assert (tmp_path / "Heron Reach" / "crest.png").read_bytes() == artwork["crest.png"]


def test_a_half_copied_file_is_half_and_then_whole(tmp_path: Path, artwork: dict[str, bytes]) -> None:
    """First a part that no decoder takes for whole, then every byte."""
    hand = dropper(tmp_path, artwork)
    hand.drop(SURFERS)
    half = (tmp_path / "wave.png").read_bytes()
    assert half == artwork["wave.png"][: int(len(artwork["wave.png"]) * HALF)]
    with pytest.raises(OSError, match="truncated"), Image.open(io.BytesIO(half)) as picture:
        picture.load()
    assert hand.bring_the_rest(SURFERS) == "wave.png"
    assert (tmp_path / "wave.png").read_bytes() == artwork["wave.png"]


def test_an_order_may_come_before_its_artwork(tmp_path: Path, artwork: dict[str, bytes]) -> None:
    """Only the order file is there until the rest is brought."""
    hand = dropper(tmp_path, artwork)
    assert hand.drop(CLIMBERS) == ["LS-0831.json"]
    assert hand.bring_the_rest(CLIMBERS) == "mountain.png"


def test_a_zip_holds_order_and_artwork(tmp_path: Path, artwork: dict[str, bytes]) -> None:
    """The dancers' zip unpacks to both."""
    (name,) = dropper(tmp_path, artwork).drop(DANCERS)
    with zipfile.ZipFile(tmp_path / name) as packed:
        assert sorted(packed.namelist()) == ["ZO-0101.json", "star.png"]
        assert packed.read("star.png") == artwork["star.png"]


def test_a_repeat_order_comes_alone(tmp_path: Path, artwork: dict[str, bytes]) -> None:
    """The crest isn't sent a second time."""
    assert dropper(tmp_path, artwork).drop(REPEAT) == ["Heron Reach/HR-2074.json"]


def test_words_fit_a_terminal_of_80_columns() -> None:
    """Without a terminal the story is plain lines, none over 80 columns, no control codes."""
    into = io.StringIO()
    show = Show(Console(file=into, width=WIDTH, highlight=False), pace=0)
    show.heading("A scene")
    show.tell("word " * 60)
    show.happened("Ансамбль «Зоря»", "waiting", "because " * 40)
    show.command("filmdocket where salt", "An answer that is long. " * 20)
    show.table(("order", "artwork"), [("HR-2061", "a-name-" * 30)])
    with show.progress("dropping", 3) as bar:
        bar.advance(bar.task_ids[0])
    lines = into.getvalue().splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert "\x1b" not in into.getvalue()


@pytest.mark.slow
def test_the_whole_story_comes_out_as_it_ought_to(tmp_path: Path) -> None:
    """The demo plays with the real daemon, finds all as it expected, and leaves tickets and reports."""
    shop = tmp_path / "shop"
    ended = subprocess.run(
        [sys.executable, "-m", "hotfolder_demo", "--fast", "--keep", str(shop)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    assert ended.returncode == 0, ended.stdout[-3000:] + ended.stderr[-3000:]
    assert "All as it ought to be" in ended.stdout
    assert len(list((shop / "papers").rglob("*.pdf"))) >= 9
    assert len(list((shop / "outbox").rglob("*.pdf"))) >= 4
    assert max(map(len, ended.stdout.splitlines())) <= WIDTH or str(shop) in ended.stdout


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    """The demo never plays in a folder that somebody uses."""
    (tmp_path / "letter.txt").write_text("mine", encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, "-m", "hotfolder_demo", "--fast", "--keep", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 5
    assert "not empty" in ended.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]
