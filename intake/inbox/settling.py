"""Has this file stopped changing? Fingerprints and the time are handed in; nothing here looks at a disk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Fingerprint(NamedTuple):
    """What tells one state of a file from another without reading it; times in nanoseconds.

    The change time is part of it: copying programs give the old modification time and the full size from the
    first second, but no program can set the change time (measured, hot-folder notes, finding 3).
    """

    device: int
    inode: int
    size: int
    mtime_ns: int
    ctime_ns: int

    def as_text(self) -> str:
        """As the books keep it."""
        return ":".join(str(part) for part in self)


@dataclass(frozen=True, slots=True)
class _Seen:
    fingerprint: Fingerprint
    since: float


class Settling:
    """Since when each file has kept its fingerprint, on the daemon's own monotonic clock, in seconds.

    Neither the file's own times nor the wall clock are ever compared with now: other machines' clocks are
    wrong, and copies keep old dates (hot-folder notes, rows 5 and 6).
    """

    def __init__(self) -> None:
        self._seen: dict[str, _Seen] = {}

    def note(self, path: str, fingerprint: Fingerprint, now: float) -> float:
        """Take down a look at a file; returns for how long it has been the same, 0 at first sight."""
        seen = self._seen.get(path)
        if seen is None or seen.fingerprint != fingerprint:
            seen = self._seen[path] = _Seen(fingerprint, now)
        return now - seen.since

    def forget_others(self, paths: set[str]) -> None:
        """Drop what is no longer there."""
        for path in self._seen.keys() - paths:
            del self._seen[path]

    def forget(self, path: str) -> None:
        """Begin anew with a file: it turned out to have a writer, or changed while it was read."""
        self._seen.pop(path, None)

    def seconds_to_go(self, settle_seconds: float, path: str, now: float) -> float:
        """How long until the file counts as settled, when nothing changes."""
        seen = self._seen.get(path)
        return settle_seconds if seen is None else max(0.0, settle_seconds - (now - seen.since))


def is_settled(unchanged_seconds: float, settle_seconds: float) -> bool:
    """Whether a file that has been the same for so long may be looked into."""
    return unchanged_seconds >= settle_seconds
