"""What the system says of a disk or a folder, as a problem that a person can put right."""

from __future__ import annotations

import errno
from pathlib import Path

from intake.durable import TEMPORARY
from tickets.problems import SetupProblem

_ROOM = ("disk-full", "Free some space and run it again; nothing that was taken in is lost.")
_RIGHTS = ("folder-not-writable", "Let this user read and write there, and run it again.")
_DISK = (
    "disk-trouble",
    "Look after the disk or the network folder, and run it again; nothing taken in is lost.",
)
DISK_TROUBLE = {errno.ENOSPC: _ROOM, errno.EACCES: _RIGHTS, errno.EPERM: _RIGHTS, errno.EROFS: _RIGHTS}
DISK_TROUBLE |= {errno.EIO: _DISK, errno.EMFILE: _DISK, getattr(errno, "EDQUOT", errno.ENOSPC): _ROOM}


def disk_problem(error: OSError) -> SetupProblem:
    """A failed call as a problem; of a file that is still being written the folder is named.

    Raises KeyError when it is no trouble of the disk: see `DISK_TROUBLE`.
    """
    slug, do = DISK_TROUBLE[error.errno or 0]
    path = Path(error.filename) if isinstance(error.filename, str) and error.filename else None
    if path is not None and path.name.startswith(TEMPORARY):
        path = path.parent  # its own name is another one each time, and trouble is told once
    where = f" ({path})" if path else ""
    return SetupProblem(slug, f"The system says: {error.strerror}{where}.", do)
