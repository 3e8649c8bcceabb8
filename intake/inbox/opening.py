"""Opening strangers' files where they lie: plain files only, never through a link; and does anybody write?"""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import stat
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from intake.inbox.listing import Entry, fingerprint_of

READ_PLAIN = os.O_RDONLY
for _flag in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY"):
    READ_PLAIN |= getattr(os, _flag, 0)
_FOLDER = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | getattr(os, "O_CLOEXEC", 0)


class Changed(Exception):
    """The file is not what the scan saw: written to, replaced or taken away meanwhile. Look again later."""


class StillOpen(Exception):
    """Somebody has the file open for writing: however long it keeps still, it may not be finished."""


@contextlib.contextmanager
def opened_as_seen(inbox: Path, entry: Entry) -> Iterator[BinaryIO]:
    """The file of a scan's entry, opened for reading, as long as it is still the very same.

    A pipe does not block, a link is not followed, on no level of the path. Raises Changed at the start or at
    the end when the file is or becomes another one; OSError when it cannot be read.
    """
    with os.fdopen(_open_below(inbox, entry.path), "rb") as file:
        status = os.fstat(file.fileno())
        if not stat.S_ISREG(status.st_mode) or fingerprint_of(status) != entry.fingerprint:
            raise Changed(entry.path)
        yield file
        if fingerprint_of(os.fstat(file.fileno())) != entry.fingerprint:
            raise Changed(entry.path)


def _open_below(root: Path, path: str) -> int:
    try:
        if os.open not in os.supports_dir_fd:
            return os.open(root.joinpath(*path.split("/")), READ_PLAIN)
        *folders, name = path.split("/")
        at = os.open(root, _FOLDER)
        try:
            for folder in folders:
                inner = os.open(folder, _FOLDER | os.O_NOFOLLOW, dir_fd=at)
                os.close(at)
                at = inner
            return os.open(name, READ_PLAIN, dir_fd=at)
        finally:
            os.close(at)
    except OSError as error:
        # Gone, or now a link (ELOOP), or its folder is none any more: what the scan saw is no longer there.
        if error.errno in (errno.ENOENT, errno.ELOOP, errno.ENOTDIR, errno.ENXIO):
            raise Changed(path) from error
        raise


# Numbers of linux/fcntl.h; Python names the first only.
_F_SETLEASE, _F_SETSIG = 1024, 10


def has_writer(descriptor: int) -> bool | None:
    """Whether anybody on this machine has the file open or mapped for writing; None: it cannot be told.

    Linux only: a read lease is granted only when nobody writes (fcntl(2), F_SETLEASE; measured with files
    kept open and with mappings, hot-folder notes, finding 4). It needs to own the file, and is let go at
    once, since a lease that is held would keep writers waiting. A closed file may still be unfinished: this
    settles nothing alone.
    """
    if sys.platform != "linux":
        return None
    import fcntl

    try:
        # Should a writer come in this very moment, the kernel tells us by a signal that is ignored by
        # default, instead of SIGIO, which would end the program.
        fcntl.fcntl(descriptor, _F_SETSIG, signal.SIGURG)
        fcntl.fcntl(descriptor, _F_SETLEASE, fcntl.F_RDLCK)
    except OSError as error:
        return True if error.errno == errno.EAGAIN else None
    except (AttributeError, ValueError):
        return None
    with contextlib.suppress(OSError):
        fcntl.fcntl(descriptor, _F_SETLEASE, fcntl.F_UNLCK)
    return False


def is_being_copied(inbox: Path, entry: Entry, beside: list[str]) -> bool:
    """Whether a Mac's side file says that the Finder is still copying: type `brok`, creator `MACS`.

    Source: the Finder's mark on copies in progress, as reported by several developers (hot-folder notes, row
    41).
    """
    shadow = f"._{entry.name}"
    if shadow not in beside:
        return False
    path = f"{entry.folder}/{shadow}" if entry.folder else shadow
    try:
        descriptor = _open_below(inbox, path)
    except (OSError, Changed):
        return False
    with os.fdopen(descriptor, "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            return False
        return b"brokMACS" in file.read(4096)
