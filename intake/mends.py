"""Repairs as the queries page offers them: tried aside in the sandbox, their pictures kept for a while."""

from __future__ import annotations

import contextlib
import hashlib
import json
import secrets
import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from intake.durable import make_folder
from intake.shop import Shop
from tickets import wording_floor
from tickets.lookup import ticket_item
from tickets.lookup.items import ItemPage
from tickets.problems import ShopProblem
from tickets.standing import QUERIED
from tickets.web.mends import VIEWS, Offer, Tried
from tickets.wording_mends import NOT_REPAIRABLE, NOTHING_CHOSEN, TAKE_NEW, nothing_repaired

if TYPE_CHECKING:
    from intake.facts import Preflight
    from intake.preflight import PreflightJob
    from intake.sandbox import Sandbox

KEPT_SECONDS = 14 * 86400  # pictures of repairs that nobody has asked for so long are thrown away
TOLD = "told.json"


@dataclass(frozen=True)
class ShopMends:
    """The repairs of one shop. `sandbox` gives the processes that open strangers' files."""

    shop: Shop
    sandbox: Callable[[], Sandbox]
    _lock: Lock = field(default_factory=Lock)

    @property
    def _folder(self) -> Path:
        return self.shop.derived / "repairs"

    def helping(self, item: ItemPage) -> tuple[str, ...]:
        """By the names of what was found alone."""
        from intake.repairs import OFFERED

        found = self._found(item)
        return tuple(name for name, (mends, _) in OFFERED.items() if mends in found)

    def _found(self, item: ItemPage) -> dict[str, str]:
        """The checks that found something, by the check that a repair names for them."""
        from intake.repairs import ALIKE

        checks = (str(finding.get("check")) for finding in item.findings)
        return {ALIKE.get(check, check): check for check in checks}

    def offers(self, item: ItemPage) -> tuple[Offer, ...]:
        """Each by itself; those that answer a finding first."""
        told, folder = self._made(item, ())
        found = self._found(item)
        offers = [
            Offer(
                name=str(one["repair"]),
                says=str(one["says"]),
                answers=found.get(str(one["mends"]), ""),
                views=_views(folder, str(one["repair"])),
            )
            for one in told["repairs"]
            if one["applies"]
        ]
        return tuple(sorted(offers, key=lambda offer: not offer.answers))

    def tried(self, item: ItemPage, names: Sequence[str]) -> Tried:
        """All of them in order, and the check of what comes out."""
        chosen = _in_order(names)
        told, folder = self._made(item, chosen)
        again = told["repaired"]
        size = again["print_mm"]
        return Tried(
            names=chosen,
            verdict=str(again["verdict"]),
            findings=tuple(again["findings"]),
            print_mm=(size[0], size[1]) if size else None,
            views=_views(folder, "+".join(chosen)),
        )

    def view(self, item: ItemPage, name: str, view: str) -> bytes:
        """Of what was made before; a picture alone makes nothing."""
        if view not in VIEWS:
            return b""
        names = tuple(name.split("+"))
        try:
            chosen = _in_order(names)
            job = self._job(item)
        except ShopProblem:
            return b""
        for asked in ((), chosen):
            path = self._folder / _key(job, asked) / f"{'+'.join(chosen)}-{view}.png"
            if path.is_file():
                return path.read_bytes()
        return b""

    def release(self, item: ItemPage, names: Sequence[str], by: str, note: str, *, remember: bool) -> str:
        """As `release --repair`, of the artwork that was looked at and no other."""
        from intake.repaired_release import Wanted, release_repaired

        self._job(item)  # says so when other artwork came meanwhile
        wanted = Wanted(item.code, _in_order(names), by, note, remember)
        return release_repaired(self.shop, wanted, self.sandbox())

    @contextlib.contextmanager
    def receive(self, item: ItemPage) -> Iterator[Callable[[bytes], object]]:
        """Under the name of the artwork that is asked about."""
        from intake.corrected_drop import corrected_artwork

        with corrected_artwork(self.shop, item) as write:
            yield write

    def _job(self, item: ItemPage) -> PreflightJob:
        """The question about an item's artwork. Raises ShopProblem when it has other artwork by now."""
        from intake.judging import job_for

        found = ticket_item(self.shop.store, item.code)
        if found is None or found[1] != QUERIED:
            raise wording_floor.not_queried(item.code)
        if found[0].item.artwork_sha256 != item.artwork_sha256:
            raise wording_floor.artwork_changed(item.code)
        return job_for(self.shop, found[0])

    def _made(self, item: ItemPage, names: tuple[str, ...]) -> tuple[dict[str, Any], Path]:
        """What the worker told of these repairs (none: of each alone), and the folder of its pictures."""
        job = self._job(item)
        folder = self._folder / _key(job, names)
        with self._lock:
            if not (folder / TOLD).is_file():
                self._sweep()
                self._make(job, names, folder)
        return json.loads((folder / TOLD).read_text("utf-8")), folder

    def _make(self, job: PreflightJob, names: tuple[str, ...], folder: Path) -> None:
        """Aside first: what stands under its name is whole."""
        from intake.facts import RepairOrder

        make_folder(self._folder)
        aside = self._folder / f".{secrets.token_hex(8)}"
        aside.mkdir()
        try:
            into = str((aside / "repaired.png").absolute()) if names else ""
            order = RepairOrder(names=names, into=into, views_into=str(aside.absolute()))
            answer = self.sandbox().preflight(replace(job, repair=order))
            _refuse_unrepairable(job.name, answer, names)
            (aside / "repaired.png").unlink(missing_ok=True)
            (aside / TOLD).write_text(json.dumps(answer.as_json()), "utf-8")
            with contextlib.suppress(OSError):  # another process was faster: it has made the same
                aside.replace(folder)
        finally:
            shutil.rmtree(aside, ignore_errors=True)

    def _sweep(self) -> None:
        oldest = time.time() - KEPT_SECONDS
        for folder in self._folder.glob("*"):
            with contextlib.suppress(OSError):
                if folder.stat().st_mtime < oldest:
                    shutil.rmtree(folder, ignore_errors=True)


def _refuse_unrepairable(name: str, answer: Preflight, names: tuple[str, ...]) -> None:
    """Raises ShopProblem `nothing-to-repair` with what the worker said."""
    if names and answer.repaired is None:
        told = [one.says for one in answer.repairs if one.repair in names]
        raise ShopProblem("nothing-to-repair", nothing_repaired(name, told or [NOT_REPAIRABLE]), TAKE_NEW)
    if not any(one.applies for one in answer.repairs):
        told = [one.says for one in answer.repairs] if len({o.says for o in answer.repairs}) == 1 else []
        told = told or [f.says for f in answer.findings if answer.slug]
        raise ShopProblem("nothing-to-repair", nothing_repaired(name, told[:1] or [NOT_REPAIRABLE]), TAKE_NEW)


def _views(folder: Path, name: str) -> tuple[str, ...]:
    return tuple(view for view in VIEWS if (folder / f"{name}-{view}.png").is_file())


def _in_order(names: Sequence[str]) -> tuple[str, ...]:
    """The repairs named, in the order in which they are done. Raises ShopProblem `nothing-to-repair`."""
    from intake.repairs import NAMES

    chosen = tuple(name for name in NAMES if name in names)
    if not chosen:
        raise ShopProblem("nothing-to-repair", *NOTHING_CHOSEN)
    return chosen


def _key(job: PreflightJob, names: tuple[str, ...]) -> str:
    """A name for these repairs of this artwork at this size, under these limits."""
    from intake.sandbox.wire import job_as_json

    told = json.dumps([job_as_json(replace(job, repair=None)), names], sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:32]
