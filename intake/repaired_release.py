"""Releasing a queried ticket with repairs: a new revision of its artwork, checked, then let go on."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from intake.facts import Preflight, RepairOrder
from intake.inbox.claiming import keep_bytes, want_room
from intake.judging import job_for, judge_item
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.languages import as_the_house_speaks
from tickets.lookup import ticket_item
from tickets.problems import ShopProblem
from tickets.requests import RepairedArtwork
from tickets.standing import QUERIED, UNCHECKED


@dataclass(frozen=True, slots=True)
class Wanted:
    """The ticket, the repairs by name, who says so and what the customer said; whether to remember that."""

    code: str
    names: Sequence[str]
    by: str
    note: str = ""
    remember: bool = True


@as_the_house_speaks()
def release_repaired(shop: Shop, wanted: Wanted, workers: Sandbox | None = None) -> str:
    """Repair the artwork of a queried ticket, book it as a revision, check that, and release what it asks.

    The customer's original is kept, and dropped again it is known. Nothing is booked when a repair has
    nothing to do. Raises ShopProblem `nothing-to-repair`, `artwork-changed`, and what releasing raises.
    """
    code, by = wanted.code, wanted.by
    found = ticket_item(shop.store, code)
    if found is None or found[1] != QUERIED:
        nothing = RepairedArtwork("", "", 0, tuple(wanted.names))
        shop.ledger.repair_artwork(code, nothing, by)  # says why it can't be
        raise AssertionError("what is not queried cannot be repaired")
    item = found[0].item
    with _started(shop, workers) as sandbox, tempfile.TemporaryDirectory() as aside:
        out = Path(aside) / "repaired.png"
        job = replace(job_for(shop, found[0]), repair=RepairOrder(names=tuple(wanted.names), into=str(out)))
        answer = sandbox.preflight(job)
        _refuse_idle(code, wanted.names, answer)
        want_room(shop, out.stat().st_size)
        with out.open("rb") as file:
            kept = keep_bytes(shop, file)
        done = tuple(told.repair for told in answer.repairs if told.done)
        repaired = RepairedArtwork(item.artwork_sha256, kept.sha256, kept.size, done)
        says = shop.ledger.repair_artwork(code, repaired, by)
        again = ticket_item(shop.store, code)
        if again is not None and again[1] == UNCHECKED:
            judge_item(shop, sandbox, again[0])
    now = ticket_item(shop.store, code)
    if now is not None and now[1] == QUERIED:
        return f"{says} {shop.ledger.release(code, by, wanted.note, remember=wanted.remember)}"
    return says


@contextlib.contextmanager
def _started(shop: Shop, workers: Sandbox | None) -> Iterator[Sandbox]:
    """The workers that were handed in, else some that end with this."""
    if workers is not None:
        yield workers
        return
    with Sandbox(shop.settings.sandbox) as sandbox:
        yield sandbox


def _refuse_idle(code: str, names: Sequence[str], answer: Preflight) -> None:
    """Every repair that was asked for must have something to do."""
    idle = [told.says for told in answer.repairs if told.repair in names and not told.done]
    if answer.repaired is not None and not idle:
        return
    why = " ".join(dict.fromkeys(idle)) or " ".join(f.says for f in answer.findings[:1])
    says = f"The artwork of {code} was not repaired: {why}"
    raise ShopProblem("nothing-to-repair", says, "Leave that repair out, or release it without.")
