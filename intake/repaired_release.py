"""Releasing a queried ticket with repairs: a new revision of its artwork, checked, then let go on."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from intake.facts import Preflight, RepairOrder
from intake.inbox.claiming import keep_bytes, want_room
from intake.judging import job_for, judge_item
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.lookup import ticket_item
from tickets.problems import ShopProblem
from tickets.requests import RepairedArtwork
from tickets.standing import QUERIED, UNCHECKED


def release_repaired(shop: Shop, code: str, names: Sequence[str], by: str, note: str = "") -> str:
    """Repair the artwork of a queried ticket, book it as a revision, check that, and release what it asks.

    The customer's original is kept, and dropped again it is known. Nothing is booked when a repair has
    nothing to do. Raises ShopProblem `nothing-to-repair`, `artwork-changed`, and what releasing raises.
    """
    found = ticket_item(shop.store, code)
    if found is None or found[1] != QUERIED:
        shop.ledger.repair_artwork(code, RepairedArtwork("", "", 0, tuple(names)), by)  # says why it can't be
        raise AssertionError("what is not queried cannot be repaired")
    item = found[0].item
    with Sandbox(shop.settings.sandbox) as sandbox, tempfile.TemporaryDirectory() as aside:
        out = Path(aside) / "repaired.png"
        job = replace(job_for(shop, found[0]), repair=RepairOrder(names=tuple(names), into=str(out)))
        answer = sandbox.preflight(job)
        _refuse_idle(code, names, answer)
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
        return f"{says} {shop.ledger.release(code, by, note)}"
    return says


def _refuse_idle(code: str, names: Sequence[str], answer: Preflight) -> None:
    """Every repair that was asked for must have something to do."""
    idle = [told.says for told in answer.repairs if told.repair in names and not told.done]
    if answer.repaired is not None and not idle:
        return
    why = " ".join(dict.fromkeys(idle)) or " ".join(f.says for f in answer.findings[:1])
    says = f"The artwork of {code} was not repaired: {why}"
    raise ShopProblem("nothing-to-repair", says, "Leave that repair out, or release it without.")
