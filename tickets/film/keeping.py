"""What the books are to keep of a plan: which runs stay, which are laid anew, and whose code each takes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tickets.film.model import Layout, Shape, StoredRun


@dataclass(frozen=True, slots=True)
class RunToKeep:
    """One run as it is to stand in the books; `code` "": a new one. `is_changed`: not as it stands there."""

    code: str
    layout: Layout
    is_changed: bool = True


@dataclass(frozen=True, slots=True)
class FilmPlan:
    """All planned runs as they are to be, and what they were made from.

    `before`: the planned runs as they were read, code → revision; those that `runs` does not name are given
    up. `shapes`: of each ticket, by code, not turned.
    """

    runs: tuple[RunToKeep, ...]
    shapes: Mapping[str, Shape]
    before: Mapping[str, int]

    @property
    def given_up(self) -> list[str]:
        """The runs that are no more."""
        kept = {run.code for run in self.runs}
        return [code for code in self.before if code not in kept]

    @property
    def fingerprint(self) -> str:
        """The same for the same plan: who saw one books that one, or is told that it is out of date."""
        runs = [(run.code, sorted(map(repr, run.layout.placements))) for run in self.runs]
        return hashlib.sha256(repr((runs, sorted(self.before.items()))).encode()).hexdigest()[:32]

    @property
    def is_changing(self) -> bool:
        """Whether the books would look different afterwards."""
        return bool(self.given_up) or any(run.is_changed for run in self.runs)


def keep_runs(
    planned: Sequence[StoredRun], layouts: Iterable[Layout], shapes: Mapping[str, Shape]
) -> FilmPlan:
    """Give each layout its run: the one that it says, else the one it has most pieces of, else a new one.

    Codes stay as long as they can, because people have them in mind and on slips of paper.
    """
    before = {run.code: run.layout() for run in planned}
    free = dict(before)
    named: list[tuple[str, Layout]] = []
    unnamed: list[tuple[int, Layout]] = []
    for layout in layouts:
        if free.pop(layout.run, None):
            named.append((layout.run, layout))
        else:
            unnamed.append((len(named), layout))
            named.append(("", layout))
    for at, layout in unnamed:
        code = max(free, key=lambda code: _in_common(free[code], layout), default="")
        if code and _in_common(free[code], layout):
            del free[code]
            named[at] = (code, layout)
    runs = (RunToKeep(code, layout, _is_other(before.get(code), layout)) for code, layout in named)
    revisions = {run.code: run.revision for run in planned}
    return FilmPlan(tuple(runs), shapes, revisions)


def _in_common(one: Layout, other: Layout) -> int:
    if (one.film, one.width_mm, one.is_sheet) != (other.film, other.width_mm, other.is_sheet):
        return 0
    theirs = other.counts()
    return sum(min(count, theirs.get(code, 0)) for code, count in one.counts().items())


def _is_other(before: Layout | None, layout: Layout) -> bool:
    return before is None or sorted(before.placements, key=_key) != sorted(layout.placements, key=_key)


def _key(placement: object) -> str:
    return repr(placement)
