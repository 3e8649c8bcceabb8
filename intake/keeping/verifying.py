"""Looking over a whole shop: originals by hash, books by events, papers; and mending what can be made."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from intake.inbox.claiming import original_path
from intake.outbox import write_due_reports
from intake.papers import paper_path, write_due_papers, write_paper
from intake.pictures import picture_of
from intake.shop import Shop
from tickets.ledger.audit import audit
from tickets.lookup import KeptFile, due_papers, kept_files, written_papers
from tickets.problems import ShopProblem

_TAIL_BYTES = 1024
_PNG, _PNG_END = b"\x89PNG\r\n\x1a\n", b"IEND\xaeB`\x82"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is not as it must be. `kind`: books, original, paper or picture."""

    kind: str
    name: str
    says: str
    do: str
    is_mended: bool = False


@dataclass
class VerifyAnswer:
    """All that was looked at, by kind, and what is wrong with it."""

    looked_at: dict[str, int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    @property
    def is_well(self) -> bool:
        """Whether nothing is wrong, or all that was is mended."""
        return all(fault.is_mended for fault in self.faults)

    @property
    def next_step(self) -> str:
        """The first thing to do."""
        open_faults = [fault for fault in self.faults if not fault.is_mended]
        return open_faults[0].do if open_faults else "Nothing must be done."

    def as_json(self) -> dict[str, Any]:
        """The document that `verify --json` prints."""
        rows = [
            {"kind": f.kind, "name": f.name, "says": f.says, "do": f.do, "mended": f.is_mended}
            for f in self.faults
        ]
        return {"looked_at": self.looked_at, "wrong": rows, "next": self.next_step}

    def as_lines(self) -> list[str]:
        """For people: what is wrong, how much was looked at, what to do next."""
        lines = [f"{'mended' if f.is_mended else 'WRONG '}  {f.kind}: {f.says}" for f in self.faults]
        seen = ", ".join(f"{count:,} {kind}" for kind, count in self.looked_at.items())
        return [*lines, f"Looked at: {seen}.", f"Next: {self.next_step}"]


def verify(shop: Shop, *, mend: bool = False) -> VerifyAnswer:
    """Look at everything in a shop folder that the books speak of; the daemon may go on meanwhile.

    `mend` prints papers again and makes pictures again; customers' bytes and the books are never changed.
    """
    answer = VerifyAnswer()
    for look in (_books, _originals, _papers, _pictures):
        answer.faults += look(shop, answer, mend)
    return answer


def _books(shop: Shop, answer: VerifyAnswer, _mend: bool) -> Iterator[Fault]:
    from tickets.lookup import list_orders

    answer.looked_at["orders"] = len(list_orders(shop.store, shop.settings))
    for says in audit(shop.store):
        yield Fault("books", "", says, "Stop the daemon, keep the folder, and restore the last good backup.")


def _originals(shop: Shop, answer: VerifyAnswer, _mend: bool) -> Iterator[Fault]:
    kept = kept_files(shop.store)
    answer.looked_at["originals"] = len(kept)
    for one in kept:
        says = _what_is_wrong(original_path(shop, one.sha256), one)
        if says:
            do = f"Put originals/{one.sha256[:2]}/{one.sha256} back from a backup, or ask for the file."
            yield Fault("original", one.sha256, f"{one.why}: {says}", do)


def _what_is_wrong(path: Path, kept: KeptFile) -> str:
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return f"its original is gone ({path})."
    except OSError as error:
        return f"its original cannot be read ({path}): {error.strerror}."
    return (
        ""
        if found == kept.sha256
        else f"its original is damaged ({path}): the bytes are not what was taken in."
    )


def _papers(shop: Shop, answer: VerifyAnswer, mend: bool) -> Iterator[Fault]:
    """Of orders that are still open: who has sent everything off needs no tickets any more."""
    written = written_papers(shop.store)
    due = due_papers(shop.store)
    answer.looked_at["papers"] = len(written) + len(due)
    for paper in written:
        path = paper_path(shop, paper)
        if not _is_whole(path, b"%PDF", b"%%EOF"):
            state = "damaged" if path.exists() else "gone"
            says = f"the paper of {paper.code} ({paper.order.number}) is {state}."
            yield _mended(
                "paper",
                paper.code,
                says,
                mend,
                lambda p=paper: bool(write_paper(shop, p)),  # type: ignore[misc]
            )
    if mend and due:
        write_due_papers(shop)
    if mend:
        write_due_reports(shop)
    still_due = {paper.code for paper in due_papers(shop.store)} if mend else set()
    for paper in due:
        says = f"the paper of {paper.code} ({paper.order.number}) is due and not written yet."
        do = "Start the daemon, or run: filmdocket verify --mend"
        yield Fault("paper", paper.code, says, do, is_mended=mend and paper.code not in still_due)


def _pictures(shop: Shop, answer: VerifyAnswer, mend: bool) -> Iterator[Fault]:
    """A picture that is not there is made when it is needed; one that is not whole would be printed."""
    pictures = sorted(shop.derived.glob("*.png"))
    answer.looked_at["pictures"] = len(pictures)
    for path in pictures:
        if not path.name.startswith(".") and not _is_whole(path, _PNG, _PNG_END):
            says = f"the small picture derived/{path.name} is damaged."
            yield _mended("picture", path.name, says, mend, lambda p=path: _draw_again(shop, p))  # type: ignore[misc]


def _draw_again(shop: Shop, path: Path) -> bool:
    sha256, _, page = path.stem.partition("-")
    path.unlink()
    return bool(page.isdecimal() and picture_of(shop, sha256, int(page)))


def _mended(kind: str, name: str, says: str, mend: bool, again: Callable[[], bool]) -> Fault:
    do = "Run: filmdocket verify --mend"
    if not mend:
        return Fault(kind, name, says, do)
    try:
        return Fault(kind, name, says, do, is_mended=again())
    except (OSError, ShopProblem, ValueError) as error:
        return Fault(
            kind, name, f"{says} It cannot be made again: {error}", "Mend what it names; run it again."
        )


def _is_whole(path: Path, begins: bytes, ends: bytes) -> bool:
    """Whether a file of our own making has its beginning and its end: what is written whole has both."""
    try:
        with path.open("rb") as file:
            head = file.read(len(begins))
            file.seek(max(0, path.stat().st_size - _TAIL_BYTES))
            return head == begins and ends in file.read()
    except OSError:
        return False
