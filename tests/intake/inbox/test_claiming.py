"""Claiming and clearing: bytes are safe before anything leaves the inbox, and nothing is ever overwritten."""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path

import pytest

from intake.inbox import clearing
from intake.inbox.claiming import claim_file, original_path, sweep_unfinished
from intake.inbox.clearing import Clearing, clear_file, is_aside, put_back, return_strays
from intake.inbox.listing import Entry, list_inbox
from intake.inbox.opening import Changed
from tests.intake.shops import Bench

needs_posix = pytest.mark.skipif(os.name == "nt", reason="only on POSIX systems")


def entry_of(bench: Bench, path: str) -> Entry:
    """What a scan says of a file now."""
    return list_inbox(bench.inbox).entries[path]


def test_claimed_bytes_lie_read_only_under_their_hash_and_the_file_stays(bench: Bench) -> None:
    """Once however often; the copy cannot be written by accident."""
    bench.drop("a.png", b"art" * 1000)
    bench.drop("b.png", b"art" * 1000)
    claims = [claim_file(bench.shop, entry_of(bench, name)) for name in ("a.png", "b.png", "a.png")]
    digest = hashlib.sha256(b"art" * 1000).hexdigest()
    assert {c.sha256 for c in claims} == {digest}
    place = original_path(bench.shop, digest)
    assert place.read_bytes() == b"art" * 1000
    assert place.stat().st_mode & 0o222 == 0
    assert bench.lying() == ["a.png", "b.png"]
    assert list((bench.shop.originals / ".tmp").iterdir()) == []


def test_a_file_that_changes_while_it_is_copied_is_not_claimed(bench: Bench) -> None:
    """Nothing of the half-way state is kept."""
    path = bench.drop("a.png", b"x" * 3_000_000)
    entry = entry_of(bench, "a.png")
    with pytest.raises(Changed):
        claim_file(bench.shop, entry, lambda: _overwrite(path))
    assert [p for p in bench.shop.originals.rglob("*") if p.is_file()] == []


def _overwrite(path: Path) -> None:
    path.write_bytes(b"y" * 3_000_000)


def test_what_a_dead_daemon_was_copying_is_swept(bench: Bench) -> None:
    """The next start finds no half copies."""
    part = bench.shop.originals / ".tmp" / "abc"
    part.parent.mkdir()
    part.write_bytes(b"half")
    sweep_unfinished(bench.shop)
    assert not part.exists()


def test_a_damaged_original_is_replaced_by_the_good_copy(bench: Bench) -> None:
    """Its length gives it away."""
    bench.drop("a.png", b"art")
    place = original_path(bench.shop, hashlib.sha256(b"art").hexdigest())
    place.parent.mkdir()
    place.write_bytes(b"ar")
    claim_file(bench.shop, entry_of(bench, "a.png"))
    assert place.read_bytes() == b"art"


def claimed(bench: Bench, name: str, content: bytes) -> str:
    """Drop and claim a file; its hash."""
    bench.drop(name, content)
    return claim_file(bench.shop, entry_of(bench, name)).sha256


def test_a_safe_file_is_cleared(bench: Bench) -> None:
    """It is gone from the inbox, nothing stands aside, and once more is no fault."""
    sha256 = claimed(bench, "Otter/a.png", b"art")
    assert clear_file(bench.shop, "Otter/a.png", sha256, is_patient=True) is Clearing.GONE
    assert clear_file(bench.shop, "Otter/a.png", sha256, is_patient=True) is Clearing.GONE
    assert bench.lying() == []
    assert list(bench.shop.clearing.rglob("*")) == []


def test_a_file_that_is_another_one_by_then_goes_back_into_the_inbox(bench: Bench) -> None:
    """Not a byte that is not safe is removed."""
    sha256 = claimed(bench, "a.png", b"one")
    bench.drop("a.png", b"two")
    assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.RETURNED
    assert (bench.inbox / "a.png").read_bytes() == b"two"


def test_an_original_that_has_vanished_keeps_the_file_in_the_inbox(bench: Bench) -> None:
    """What is to be removed is looked for in originals/ once more."""
    sha256 = claimed(bench, "a.png", b"one")
    original_path(bench.shop, sha256).unlink()
    assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.RETURNED
    assert bench.lying() == ["a.png"]


@pytest.mark.skipif(sys.platform != "linux", reason="only on Linux: leases are its own")
def test_a_file_that_somebody_still_writes_is_only_removed_when_they_have_ended(bench: Bench) -> None:
    """It stands aside, out of everybody's reach; what is written meanwhile comes back as a new arrival."""
    sha256 = claimed(bench, "a.png", b"one")
    with (bench.inbox / "a.png").open("ab") as writer:
        assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.WATCHED
        assert is_aside(bench.shop, "a.png", sha256)
        writer.write(b" and more")
    assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.RETURNED
    assert (bench.inbox / "a.png").read_bytes() == b"one and more"


def test_where_writers_cannot_be_asked_about_a_file_stands_aside_for_a_while(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Patience first, then it is removed."""
    monkeypatch.setattr(clearing, "has_writer", lambda _descriptor: None)
    sha256 = claimed(bench, "a.png", b"one")
    assert clear_file(bench.shop, "a.png", sha256, is_patient=False) is Clearing.WATCHED
    assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.GONE


def test_an_inbox_of_another_file_system_is_cleared_within_it(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a rename into the shop folder is refused, the file stands aside in its own folder."""
    rename = Path.rename

    def across(self: Path, target: Path) -> Path:
        if self.is_relative_to(bench.inbox) != Path(target).is_relative_to(bench.inbox):
            raise OSError(18, "Invalid cross-device link")
        return rename(self, target)

    sha256 = claimed(bench, "Otter/a.png", b"one")
    monkeypatch.setattr(Path, "rename", across)
    assert clear_file(bench.shop, "Otter/a.png", sha256, is_patient=True) is Clearing.GONE
    assert list((bench.inbox / "Otter").iterdir()) == []


def test_putting_back_replaces_nothing(bench: Bench, tmp_path: Path) -> None:
    """A file that came meanwhile keeps its name; the returned one gets one like it, never too long."""
    name = "x" * 251 + ".png"
    bench.drop(name, b"new")
    for content in (b"old", b"older"):
        aside = tmp_path / name
        aside.write_bytes(content)
        put_back(aside, bench.inbox / name)
    contents = {(bench.inbox / n).read_bytes() for n in bench.lying()}
    assert contents == {b"new", b"old", b"older"}


def test_what_stands_aside_and_no_row_knows_of_goes_back_unless_it_is_safe(bench: Bench) -> None:
    """After a restored backup of the books, say."""
    safe = claimed(bench, "safe.png", b"safe")
    known = claimed(bench, "known.png", b"known")
    beside = bench.inbox / "Otter" / ".filmdocket-clearing-s3"
    for path, content in (
        (bench.shop.clearing / "s1/safe.png", b"safe"),
        (bench.shop.clearing / "s2/stray.png", b"stray"),
        (beside / "far.png", b"far"),
    ):
        path.parent.mkdir(parents=True)
        path.write_bytes(content)
    (bench.inbox / "safe.png").unlink()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clearing, "has_writer", lambda _descriptor: True)
        clear_file(bench.shop, "known.png", known, is_patient=True)
    return_strays(bench.shop, {("known.png", known)})
    assert bench.lying() == ["Otter/far.png", "stray.png"]
    assert not beside.exists()
    assert is_aside(bench.shop, "known.png", known)
    assert original_path(bench.shop, safe).exists()


@needs_posix
def test_a_link_that_came_under_the_name_is_put_back_unread(bench: Bench, tmp_path: Path) -> None:
    """It is never followed, not even to compare."""
    sha256 = claimed(bench, "a.png", b"one")
    target = tmp_path / "target"
    target.write_bytes(b"one")
    (bench.inbox / "a.png").unlink()
    (bench.inbox / "a.png").symlink_to(target)
    assert clear_file(bench.shop, "a.png", sha256, is_patient=True) is Clearing.RETURNED
    assert (bench.inbox / "a.png").is_symlink()
    assert target.read_bytes() == b"one"
