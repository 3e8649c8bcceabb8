"""What lies in the inbox now: a directory scan that follows no link, opens nothing and trips over nothing."""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from intake.inbox.ignoring import why_ignored
from intake.inbox.settling import Fingerprint
from intake.shop import MARKER
from tickets.problems import SetupProblem

OWN = ".filmdocket-"  # begins the names of what this program itself puts into an inbox

# Files whose contents are still with the provider of a cloud folder. Windows: OFFLINE, RECALL_ON_OPEN and
# RECALL_ON_DATA_ACCESS of "File Attribute Constants" (Microsoft); macOS: SF_DATALESS of sys/stat.h.
_AWAY_ATTRIBUTES = 0x1000 | 0x40000 | 0x400000
_DATALESS = 0x40000000
_KINDS = (
    (stat.S_ISLNK, "a link to somewhere else"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing in the inbox. `path` is relative to it, with `/` between; bytes that are no text escaped.

    ignored: the rule by which it is, in words. away: why its contents cannot be read yet. Both "" for a plain
    file.
    """

    path: str
    folder: str
    name: str
    fingerprint: Fingerprint
    ignored: str = ""
    away: str = ""

    @property
    def path_bytes(self) -> bytes:
        """The path as the books keep it: names need not be text."""
        return os.fsencode(self.path)


@dataclass(slots=True)
class Listing:
    """One scan. `unreadable` has the folders that could not be listed, with the reason: of what lies below
    them nothing is known, least of all that it is gone."""

    entries: dict[str, Entry] = field(default_factory=dict)
    folders: dict[str, list[Entry]] = field(default_factory=dict)
    unreadable: dict[str, str] = field(default_factory=dict)

    def beside(self, folder: str) -> Sequence[Entry]:
        """What lies in one folder."""
        return self.folders.get(folder, ())

    def knows_about(self, path: str) -> bool:
        """Whether the absence of `path` from this scan means that it is gone."""
        return not any(path.startswith(f"{folder}/") for folder in self.unreadable)


def first_level(path: str) -> str:
    """The first-level folder that a path lies in; "" for files in the inbox itself."""
    head, slash, _ = path.partition("/")
    return head if slash else ""


def list_inbox(inbox: Path, patterns: Sequence[str] = ()) -> Listing:
    """Look at everything in the inbox, at any depth.

    Raises SetupProblem `inbox-gone` when the inbox or its marker is not there: a network folder that is away
    looks just like an empty one, and nothing may be concluded from that.
    """
    tells_blocks = look_at_marker(inbox)
    listing = Listing()
    waiting = [""]
    while waiting:
        folder = waiting.pop()
        place = inbox.joinpath(*folder.split("/")) if folder else inbox
        try:
            with os.scandir(place) as found:
                names = sorted(entry.name for entry in found)
        except OSError as error:
            if not folder:
                raise _gone(inbox, error) from error
            listing.unreadable[folder] = error.strerror or str(error)
            continue
        for name in names:
            path = f"{folder}/{name}" if folder else name
            if name.startswith(OWN):
                continue
            _add(listing, waiting, _look_at(place, path, folder, name), patterns, tells_blocks)
    return listing


@dataclass(frozen=True, slots=True)
class _Look:
    path: str
    folder: str
    name: str
    status: os.stat_result


def _look_at(place: Path, path: str, folder: str, name: str) -> _Look | None:
    # One lstat an entry, never the methods of DirEntry: they raise on links that run in a circle, and give
    # no inode on Windows.
    try:
        return _Look(path, folder, name, os.lstat(place / name))
    except OSError:
        return None  # gone again, or not ours to see: the next scan may know more


def _add(
    listing: Listing, waiting: list[str], look: _Look | None, patterns: Sequence[str], tells_blocks: bool
) -> None:
    if look is None:
        return
    mode = look.status.st_mode
    is_folder = stat.S_ISDIR(mode)
    ignored = why_ignored(look.name, is_folder=is_folder, patterns=patterns) or _why_not_opened(mode)
    if is_folder and not ignored:
        waiting.append(look.path)
        return
    away = "" if ignored else _why_away(look.status, tells_blocks)
    entry = Entry(look.path, look.folder, look.name, fingerprint_of(look.status), ignored, away)
    listing.entries[look.path] = entry
    listing.folders.setdefault(look.folder, []).append(entry)


def fingerprint_of(status: os.stat_result) -> Fingerprint:
    """The fingerprint in a stat answer."""
    return Fingerprint(status.st_dev, status.st_ino, status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def _why_not_opened(mode: int) -> str:
    kind = next((words for is_kind, words in _KINDS if is_kind(mode)), "")
    return f"{kind} is never followed or opened; put a copy of the file itself there" if kind else ""


def _why_away(status: os.stat_result, tells_blocks: bool) -> str:
    if not stat.S_ISREG(status.st_mode):
        return ""
    attributes = getattr(status, "st_file_attributes", 0)
    flags = getattr(status, "st_flags", 0)
    no_blocks = tells_blocks and status.st_size > 0 and getattr(status, "st_blocks", 1) == 0
    if attributes & _AWAY_ATTRIBUTES or flags & _DATALESS or no_blocks:
        return "its contents are not on this disk yet (a cloud folder's placeholder, or a copy to come)"
    return ""


def look_at_marker(inbox: Path) -> bool:
    """Make sure that this is the shop's inbox; returns whether its file system tells a file's blocks.

    Some keep small files in the inode, or never say: there a file without blocks proves nothing. Raises
    SetupProblem `inbox-gone`.
    """
    try:
        status = os.lstat(inbox / MARKER)
    except OSError as error:
        raise _gone(inbox, error) from error
    return getattr(status, "st_blocks", 0) > 0


def _gone(inbox: Path, error: OSError) -> SetupProblem:
    if isinstance(error, FileNotFoundError) and inbox.is_dir():
        return SetupProblem(
            "inbox-gone",
            f"{inbox} does not carry the shop's mark ({MARKER}): is a network folder away?",
            f"Bring the right folder back; for a new inbox run: filmdocket init {inbox.parent}",
        )
    return SetupProblem(
        "inbox-gone",
        f"The inbox {inbox} cannot be read: {error.strerror or error}.",
        "Bring the folder back or let this user read it; intake goes on by itself then.",
    )
