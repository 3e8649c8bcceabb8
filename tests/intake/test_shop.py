"""The shop folder: made, completed, opened, and refused where it cannot work."""

from __future__ import annotations

import os
import time
import tomllib
from pathlib import Path

import pytest

from config.settings import load_settings
from intake.durable import sweep_temporaries, write_whole
from intake.shop import FOLDERS, MARKER, make_shop, open_shop
from tickets.problems import SetupProblem

needs_links = pytest.mark.skipif(os.name == "nt", reason="only on systems with links for everybody")


def test_a_new_shop_has_all_it_needs_and_the_shipped_settings(tmp_path: Path) -> None:
    """Folders, marker, books, and a settings file that changes nothing yet but shows every setting."""
    folder = tmp_path / "new" / "shop"
    assert {"shop.toml", MARKER, "filmdocket.db", *FOLDERS} <= set(make_shop(folder))
    assert load_settings(folder).model_dump() == load_settings(None).model_dump()
    text = (folder / "shop.toml").read_text(encoding="utf-8")
    assert "# settle_seconds = 3.0" in text
    tomllib.loads(text)
    with open_shop(folder) as shop:
        assert shop.settings.origins == {}


def test_settings_that_are_uncommented_take_effect(tmp_path: Path) -> None:
    """Taking the sign away in front of a line is all it takes."""
    make_shop(tmp_path)
    toml = tmp_path / "shop.toml"
    toml.write_text(
        toml.read_text(encoding="utf-8").replace("# settle_seconds = 3.0", "settle_seconds = 7.0")
    )
    assert load_settings(tmp_path).intake.settle_seconds == 7.0


def test_completing_a_shop_leaves_what_is_there(tmp_path: Path) -> None:
    """Twice is nothing new; a missing marker or folder comes back, settings stay the shop's own."""
    make_shop(tmp_path)
    (tmp_path / "shop.toml").write_text('[shop]\nname = "Ours"\n')
    assert make_shop(tmp_path) == []
    (tmp_path / "inbox" / MARKER).unlink()
    (tmp_path / "outbox").rmdir()
    assert set(make_shop(tmp_path)) == {MARKER, "outbox"}
    assert load_settings(tmp_path).shop.name == "Ours"


def test_a_folder_without_a_shop_is_told_so(tmp_path: Path) -> None:
    """With what to do about it."""
    with pytest.raises(SetupProblem) as caught:
        open_shop(tmp_path)
    assert caught.value.slug == "no-shop-here"
    assert "init" in caught.value.do


@needs_links
@pytest.mark.parametrize("name", ["papers", "originals", "outbox", "refused"])
def test_a_shop_that_would_feed_itself_is_refused(tmp_path: Path, name: str) -> None:
    """What it writes would be taken in again, for ever (notes, row 34)."""
    make_shop(tmp_path)
    (tmp_path / "inbox" / "inner").mkdir()
    (tmp_path / name).rmdir()
    (tmp_path / name).symlink_to(tmp_path / "inbox" / "inner", target_is_directory=True)
    with pytest.raises(SetupProblem) as caught:
        open_shop(tmp_path)
    assert caught.value.slug == "shop-feeds-itself"


@needs_links
def test_an_inbox_that_is_a_link_to_the_shop_itself_is_refused(tmp_path: Path) -> None:
    """Everything of the shop would lie in it."""
    make_shop(tmp_path)
    (tmp_path / "inbox" / MARKER).unlink()
    (tmp_path / "inbox").rmdir()
    (tmp_path / "inbox").symlink_to(tmp_path, target_is_directory=True)
    with pytest.raises(SetupProblem):
        open_shop(tmp_path)


@needs_links
def test_an_inbox_may_be_a_link_to_a_cloud_folder(tmp_path: Path) -> None:
    """As long as nothing of the shop lies there."""
    cloud = tmp_path / "cloud"
    cloud.mkdir()
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "inbox").symlink_to(cloud, target_is_directory=True)
    make_shop(shop)
    open_shop(shop).close()
    assert (cloud / MARKER).is_file()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file stands in its place."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(SetupProblem) as caught:
        make_shop(tmp_path / "file")
    assert caught.value.slug == "folder-not-writable"


def test_a_file_is_whole_or_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk fails in the middle, the old content stands and nothing is left beside it."""
    path = tmp_path / "deep" / "a.pdf"
    write_whole(path, b"old")

    def fail(_descriptor: int) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", fail)
        with pytest.raises(OSError, match="Input"):
            write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [p.name for p in path.parent.iterdir()] == ["a.pdf"]
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"


def test_what_a_dead_program_was_writing_is_swept_and_the_living_left_alone(tmp_path: Path) -> None:
    """By age: a living one is done within moments."""
    (tmp_path / "a").mkdir()
    for name, age in ((".tmp-dead", 100), (".tmp-alive", 0), ("a.pdf", 100)):
        path = tmp_path / "a" / name
        path.write_bytes(b"x")
        os.utime(path, (time.time() - age,) * 2)
    sweep_temporaries(tmp_path, time.time() - 60)
    assert sorted(p.name for p in (tmp_path / "a").iterdir()) == [".tmp-alive", "a.pdf"]
