"""Repairs on the command line: what is asked for, where the result goes, and how it is told."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from intake.commands.options import print_aside

if TYPE_CHECKING:
    from intake.facts import Preflight, RepairOrder
    from intake.preflight import PreflightJob

RepairOption = Annotated[
    Path | None, typer.Option("--repair", help="Write the artwork, repaired, into this PNG.")
]
RepairsOption = Annotated[
    str, typer.Option("--repairs", help="Which, as in 'trim,background'; default: what answers a query.")
]
EnclosedOption = Annotated[bool, typer.Option("--enclosed", help="The background inside the art goes too.")]
HardenOption = Annotated[
    float, typer.Option("--harden-at", help="Soft ink becomes solid from this share of coverage on.")
]
ChangesOption = Annotated[
    Path | None,
    typer.Option("--changes", help="Draw before, what goes or comes, and after, into this PNG."),
]
REPAIR_NAMES = ("srgb", "background", "harden", "specks", "trim", "thicken")


@dataclass(frozen=True, slots=True)
class RepairOptions:
    """What the command line asks for. `harden_at`: a share of coverage, over 0 and under 1."""

    into: Path | None = None
    names: str = ""
    takes_enclosed: bool = False
    harden_at: float = 0.5
    changes: Path | None = None

    @property
    def is_asked(self) -> bool:
        """Whether there is anything to repair or to show."""
        return self.into is not None or self.changes is not None

    def refuse_wrong_usage(self, files: Sequence[Path]) -> None:
        """Raises typer.BadParameter for what can't be meant; never lets a repair overwrite its artwork."""
        read_names(self.names)
        if not self.is_asked:
            if self.names:
                raise typer.BadParameter(
                    "--repairs needs --repair OUT.png: artwork is never changed in place"
                )
            return
        if len(files) > 1:
            raise typer.BadParameter("--repair takes one file: repair them one by one")
        if not 0 < self.harden_at < 1:
            raise typer.BadParameter("--harden-at takes a share over 0 and under 1, such as 0.5")
        for path in (self.into, self.changes):
            if path is not None and path.suffix.lower() != ".png":
                raise typer.BadParameter(f"{path.name}: what is written is a PNG, so its name ends in .png")
            if path is not None and _is_same(path, files[0]):
                raise typer.BadParameter(f"{path.name} is the artwork itself: choose another name")
        if self.into is not None and self.changes is not None and _is_same(self.into, self.changes):
            raise typer.BadParameter("--repair and --changes name the same file")

    def order(self, into: Path | None, changes: Path | None) -> RepairOrder:
        """The order for the worker, which writes where it is told."""
        from intake.facts import RepairOrder

        return RepairOrder(
            names=read_names(self.names),
            into=str(into.absolute()) if into else "",
            changes_into=str(changes.absolute()) if changes else "",
            level=min(254, max(1, round(self.harden_at * 255))),
            takes_enclosed=self.takes_enclosed,
        )


def read_names(text: str) -> tuple[str, ...]:
    """The repairs in a list such as 'trim, background'. Raises typer.BadParameter on others."""
    names = tuple(dict.fromkeys(name.strip().lower() for name in text.split(",") if name.strip()))
    unknown = [name for name in names if name not in REPAIR_NAMES]
    if unknown:
        raise typer.BadParameter(f"no repair is called {unknown[0]!r}: there are {', '.join(REPAIR_NAMES)}")
    return names


@dataclass(slots=True)
class Repairing:
    """A job with its repairs, and what to do with the answer."""

    asked: RepairOptions
    job: PreflightJob
    into: Path | None = None
    changes: Path | None = None

    def keep(self, answer: Preflight) -> Preflight:
        """Put what the worker wrote where it was asked for; tells on stderr."""
        for aside, path in ((self.into, self.asked.into), (self.changes, self.asked.changes)):
            if aside is None or path is None:
                continue
            if aside.is_file():
                aside.replace(path)
                print_aside(f"Written: {path}.")
            else:
                print_aside(f"{path} was not written: there is nothing to repair.")
        if answer.repaired is not None and self.asked.into is not None:
            return replace(answer, repaired=replace(answer.repaired, file=self.asked.into.name))
        return answer


@contextlib.contextmanager
def repaired_into(asked: RepairOptions, job: PreflightJob) -> Iterator[Repairing]:
    """Have the worker write beside the place asked for, so that nothing half written ever stands there."""
    if not asked.is_asked:
        yield Repairing(asked, job)
        return
    into, changes = (_aside(path) for path in (asked.into, asked.changes))
    try:
        yield Repairing(asked, replace(job, repair=asked.order(into, changes)), into, changes)
    finally:
        for path in (into, changes):
            if path is not None:
                path.unlink(missing_ok=True)


def repair_lines(answer: Preflight) -> list[str]:
    """What was repaired and what could be, for people."""
    if not answer.repairs:
        return []
    lines = []
    for told in answer.repairs:
        if told.applies:
            lines.append(f"  {'repaired' if told.done else 'could be repaired'} ({told.repair}): {told.says}")
    if answer.repaired is None:
        return lines or ["  repaired: nothing, there is nothing that these repairs could do."]
    words = {"clear": "clear", "query": "ask the customer", "refuse": "refused"}
    lines.append(f"{answer.repaired.file}, checked again: {words[str(answer.repaired.verdict)]}")
    lines += [f"  {finding.level}: {finding.says}" for finding in answer.repaired.findings]
    return lines


def _aside(path: Path | None) -> Path | None:
    if path is None:
        return None
    if not path.absolute().parent.is_dir():
        raise typer.BadParameter(f"there is no folder {path.absolute().parent}")
    return path.absolute().with_name(f".{secrets.token_hex(6)}.part.png")


def _is_same(one: Path, other: Path) -> bool:
    with contextlib.suppress(OSError):
        return one.samefile(other)
    return one.absolute() == other.absolute()
