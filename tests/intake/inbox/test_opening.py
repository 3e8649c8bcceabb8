"""Opening strangers' files: the very file that was seen, never through a link; and does somebody write?"""

from __future__ import annotations

import mmap
import os
import sys
from pathlib import Path

import pytest

from intake.inbox.listing import Entry, fingerprint_of
from intake.inbox.opening import Changed, has_writer, is_being_copied, opened_as_seen

on_linux = pytest.mark.skipif(sys.platform != "linux", reason="only on Linux: leases are its own")
needs_posix = pytest.mark.skipif(os.name == "nt", reason="only on POSIX systems")


def entry_of(inbox: Path, path: str) -> Entry:
    """The entry that a scan would give."""
    folder, _, name = path.rpartition("/")
    return Entry(path, folder, name, fingerprint_of(os.lstat(inbox / path)))


def test_the_file_that_was_seen_is_opened(tmp_path: Path) -> None:
    """In folders too."""
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.png").write_bytes(b"art")
    with opened_as_seen(tmp_path, entry_of(tmp_path, "a/x.png")) as file:
        assert file.read() == b"art"


def test_a_file_that_was_replaced_is_not_the_one_that_was_seen(tmp_path: Path) -> None:
    """Another file under the name, one that is gone, and one that changes while it is read."""
    path = tmp_path / "x.png"
    path.write_bytes(b"one")
    entry = entry_of(tmp_path, "x.png")
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        path.write_bytes(b"changed while it was read")
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        pass
    path.unlink()
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        pass


@needs_posix
def test_a_link_or_pipe_that_took_the_place_is_not_opened(tmp_path: Path) -> None:
    """Neither the file itself nor a folder above it may be a link by then; a pipe does not hang us."""
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "x.png").write_bytes(b"art")
    entry = entry_of(tmp_path, "in/x.png")
    (tmp_path / "in" / "x.png").rename(tmp_path / "y.png")
    (tmp_path / "in" / "x.png").symlink_to(tmp_path / "y.png")
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        pass
    (tmp_path / "in" / "x.png").unlink()
    os.mkfifo(tmp_path / "in" / "x.png")
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        pass
    (tmp_path / "in").rename(tmp_path / "elsewhere")
    (tmp_path / "in").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(Changed), opened_as_seen(tmp_path, entry):
        pass


@on_linux
def test_a_writer_is_noticed_however_it_writes(tmp_path: Path) -> None:
    """Open for writing, or mapped writable with the file closed; readers are no writers."""
    path = tmp_path / "x.png"
    path.write_bytes(b"x" * 4096)
    with path.open("rb") as reader:
        if has_writer(reader.fileno()) is None:
            pytest.skip("only on file systems that grant leases")
        assert has_writer(reader.fileno()) is False
        with path.open("ab"):
            assert has_writer(reader.fileno()) is True
        with path.open("r+b") as file:
            mapped = mmap.mmap(file.fileno(), 0)
        assert has_writer(reader.fileno()) is True
        mapped.close()
        assert has_writer(reader.fileno()) is False


@on_linux
def test_asking_for_a_writer_holds_nobody_up(tmp_path: Path) -> None:
    """The lease is let go of at once: a writer may come right after."""
    path = tmp_path / "x.png"
    path.write_bytes(b"x")
    with path.open("rb") as reader:
        has_writer(reader.fileno())
        descriptor = os.open(path, os.O_WRONLY | os.O_NONBLOCK)
        os.close(descriptor)


def test_a_copy_that_the_finder_has_marked_is_waited_for(tmp_path: Path) -> None:
    """Its side file names type `brok` and creator `MACS`."""
    (tmp_path / "x.png").write_bytes(b"x")
    (tmp_path / "._x.png").write_bytes(b"\x00\x05\x16\x07" + b"\0" * 60 + b"brokMACS")
    entry = entry_of(tmp_path, "x.png")
    assert is_being_copied(tmp_path, entry, ["x.png", "._x.png"])
    (tmp_path / "._x.png").write_bytes(b"\x00\x05\x16\x07" + b"\0" * 68)
    assert not is_being_copied(tmp_path, entry, ["x.png", "._x.png"])
    assert not is_being_copied(tmp_path, entry, ["x.png"])
