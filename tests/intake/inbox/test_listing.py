"""The directory scan: sees everything, opens nothing, trips over nothing."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from intake.inbox.ignoring import why_ignored
from intake.inbox.listing import first_level, list_inbox
from intake.shop import MARKER
from tickets.problems import SetupProblem

needs_posix = pytest.mark.skipif(os.name == "nt", reason="only on POSIX systems")


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    """An inbox with its marker."""
    (tmp_path / MARKER).write_text("mark\n" * 20)
    return tmp_path


def test_files_at_any_depth_are_seen_with_their_folder(inbox: Path) -> None:
    """A folder that was renamed in shows all that is in it at once."""
    deep = inbox / "Otter" / "job 7" / "art"
    deep.mkdir(parents=True)
    (deep / "a.png").write_bytes(b"x")
    (inbox / "b.png").write_bytes(b"x")
    entries = list_inbox(inbox).entries
    assert set(entries) == {"Otter/job 7/art/a.png", "b.png"}
    assert entries["Otter/job 7/art/a.png"].folder == "Otter/job 7/art"
    assert first_level("Otter/job 7/art/a.png") == "Otter"
    assert first_level("b.png") == ""


@needs_posix
def test_links_pipes_and_sockets_are_seen_and_never_opened(inbox: Path) -> None:
    """A pipe would hang the reader, a link could show it anything, a link in a circle ends most programs."""
    (inbox / "secret.png").symlink_to("/etc/passwd")
    (inbox / "circle").symlink_to(inbox / "circle")
    (inbox / "up").symlink_to(inbox.parent, target_is_directory=True)
    os.mkfifo(inbox / "pipe.png")
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(os.path.relpath(inbox / "s.png"))
        entries = list_inbox(inbox).entries
    assert set(entries) == {"secret.png", "circle", "up", "pipe.png", "s.png"}
    assert all("never followed or opened" in e.ignored for e in entries.values())


@needs_posix
def test_a_name_that_is_no_text_is_carried_as_its_bytes(inbox: Path) -> None:
    """The books get the very bytes back."""
    raw = os.fsencode(inbox) + b"/logo_\xe9.png"
    try:
        descriptor = os.open(raw, os.O_CREAT | os.O_WRONLY)
    except OSError:
        pytest.skip("only on file systems that take such names")
    os.close(descriptor)
    (entry,) = list_inbox(inbox).entries.values()
    assert entry.path_bytes == b"logo_\xe9.png"


@needs_posix
def test_a_folder_that_cannot_be_read_says_nothing_about_what_is_in_it(inbox: Path) -> None:
    """What lies below it is not gone; all the rest is seen."""
    if os.geteuid() == 0:
        pytest.skip("only on accounts that are not root: root may read everything")
    closed = inbox / "closed"
    closed.mkdir()
    (inbox / "a.png").write_bytes(b"x")
    closed.chmod(0)
    try:
        listing = list_inbox(inbox)
    finally:
        closed.chmod(0o700)
    assert set(listing.entries) == {"a.png"}
    assert not listing.knows_about("closed/b.png")
    assert listing.knows_about("b.png")


def test_without_its_marker_the_inbox_counts_as_away(inbox: Path) -> None:
    """An unmounted folder looks empty; the marker tells the two apart."""
    (inbox / MARKER).unlink()
    with pytest.raises(SetupProblem) as caught:
        list_inbox(inbox)
    assert caught.value.slug == "inbox-gone"
    with pytest.raises(SetupProblem):
        list_inbox(inbox / "nowhere")


@needs_posix
def test_space_that_is_only_set_aside_counts_as_away(inbox: Path) -> None:
    """A file with a size and no blocks is a placeholder or a copy to come (notes, row 42)."""
    if (inbox / MARKER).stat().st_blocks == 0:
        pytest.skip("only on file systems that tell the blocks of a file")
    with (inbox / "later.png").open("wb") as file:
        file.truncate(1_000_000)
    (inbox / "now.png").write_bytes(b"x" * 5000)
    entries = list_inbox(inbox).entries
    assert "not on this disk" in entries["later.png"].away
    assert entries["now.png"].away == ""


@pytest.mark.parametrize(
    "name",
    [
        *(".DS_Store", "._crest.png", ".nfs0001", ".crest.png.Xy12", "~$order.json", "~syncthing~a.png"),
        *("Thumbs.db", "DESKTOP.INI", "crest.png.part", "crest.PNG.CRDOWNLOAD", "a.tmp", "a~", "a.swp"),
    ],
)
def test_names_of_systems_and_copies_in_progress_are_ignored(name: str) -> None:
    """Each by a rule that can be told."""
    assert why_ignored(name, is_folder=False)


@pytest.mark.parametrize(
    "name", ["crest.png", "part.png", "my.tmp.png", "temp", "lock.pdf", "x.part.png", "Icon"]
)
def test_names_that_only_contain_such_words_are_not_ignored(name: str) -> None:
    """The endings stand at the end."""
    assert why_ignored(name, is_folder=False) is None


def test_folders_of_systems_are_not_entered_and_the_shop_may_ignore_more(inbox: Path) -> None:
    """`@eaDir` of a network disk, `__MACOSX` of an unpacked zip, and patterns of the shop's own."""
    for folder in ("@eaDir", "__MACOSX", "keep"):
        (inbox / folder).mkdir()
        (inbox / folder / "a.bak").write_bytes(b"x")
    entries = list_inbox(inbox, ("*.BAK",)).entries
    assert set(entries) == {"@eaDir", "__MACOSX", "keep/a.bak"}
    assert entries["keep/a.bak"].ignored == "the shop ignores *.BAK"
