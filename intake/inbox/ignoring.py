"""Which names in an inbox are never anybody's order or artwork, by which rule; ignored is not deleted."""

from __future__ import annotations

from collections.abc import Sequence
from fnmatch import fnmatchcase

# Names that systems, editors, browsers and copying programs write for themselves; collected from the
# documentation and the issue lists of general-purpose synchronising and copying programs. A name is tested in
# lower case.
TEMPORARY_ENDINGS = (
    "~",
    ".tmp",
    ".temp",
    ".part",
    ".partial",
    ".filepart",
    ".crdownload",
    ".download",
    ".opdownload",
    ".swp",
    ".swx",
    ".lock",
    ".aria2",
    ".!ut",
)
TEMPORARY_BEGINNINGS = ("~$", "~syncthing~")
SYSTEM_FILES = ("thumbs.db", "desktop.ini", "ehthumbs.db", "icon\r", "4913")
SYSTEM_FOLDERS = (
    "@eadir",
    "__macosx",
    ".trash*",
    ".stfolder",
    ".stversions",
    "#recycle",
    "lost+found",
    "$recycle.bin",
    "system volume information",
)
APPLE_DOUBLE = bytes.fromhex("00051607")  # the magic of a Mac's side file on a foreign file system


def why_ignored(name: str, *, is_folder: bool, patterns: Sequence[str] = ()) -> str | None:
    """The rule, in words, by which a file or folder of this name is ignored; None when it is not.

    `patterns` are the shop's own, as in `intake.ignore`.
    """
    low = name.lower()
    if low.startswith("."):
        return "names that begin with a dot belong to the system or to a copy in progress"
    if is_folder:
        if any(fnmatchcase(low, pattern) for pattern in SYSTEM_FOLDERS):
            return "this is a folder of the system or of a synchronising program"
    else:
        if low in SYSTEM_FILES:
            return "this is a file that the system writes for itself"
        if is_temporary(name):
            return "this is the name of a copy in progress or of an editor's own file"
    matching = next((p for p in patterns if fnmatchcase(low, p.lower())), None)
    return f"the shop ignores {matching}" if matching else None


def is_temporary(name: str) -> bool:
    """Whether programs give such names to files that are not finished."""
    low = name.lower()
    return low.startswith(TEMPORARY_BEGINNINGS) or low.endswith(TEMPORARY_ENDINGS)
