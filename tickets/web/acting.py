"""What the pages change: scans, undo and the desk's acts, each through the ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tickets.ledger.meaning import scan_as_meant
from tickets.lookup.naming import name_thing
from tickets.requests import ScanAnswer, ScanRequest
from tickets.web.door import Web


@dataclass(frozen=True, slots=True)
class Scanned:
    """One scan as a page or a device sends it."""

    code: str
    station: str
    good: int | None = None
    spoiled: int = 0
    why: str = ""
    by: str = ""
    key: str = ""
    catch_up: bool = False
    part: bool = False
    collected_by: str = ""
    device_at: datetime | None = None
    device_sequence: int | None = None


def take_scan(web: Web, scanned: Scanned) -> ScanAnswer:
    """Book a scan. Raises ShopProblem; then nothing is booked."""
    last = web.settings.station[-1].name
    request = ScanRequest(
        code=name_thing(web.store, scanned.code, orders=scanned.station == last),
        station=scanned.station,
        good=scanned.good,
        spoiled=scanned.spoiled,
        why=scanned.why,
        by=scanned.by,
        key=scanned.key,
        catch_up=scanned.catch_up,
        part=scanned.part,
        collected_by=scanned.collected_by,
        device_at=scanned.device_at,
        device_sequence=scanned.device_sequence,
    )
    return scan_as_meant(web.ledger, request, scanned.code)


def undo(web: Web, code: str, by: str = "", key: str = "") -> ScanAnswer:
    """Take the last scan back."""
    return web.ledger.undo(name_thing(web.store, code, orders=True), by, key)


def act_at_desk(web: Web, act: str, code: str, acted: Acted) -> tuple[str, str]:
    """Hold, release, cancel or change; what was named, and the sentence. Raises ShopProblem."""
    named = name_thing(web.store, code, orders=True)
    if act == "hold":
        return named, web.ledger.hold(named, acted.why, acted.by)
    if act == "release":
        return named, web.ledger.release(named, acted.by, acted.note, remember=acted.remember)
    if act == "change-due":
        return named, web.ledger.change_due(named, acted.due, acted.why, acted.by)
    if act == "change-quantity":
        return named, web.ledger.change_quantity(named, acted.pieces or 0, acted.why, acted.by)
    return named, web.ledger.cancel(named, acted.pieces, acted.why, acted.by)


@dataclass(frozen=True, slots=True)
class Acted:
    """What the desk says about an act: its reason, the customer's words, how many, who, and a due day.

    `remember`: a release answers the same question of the same art from now on, where the shop wants that.
    """

    why: str = ""
    note: str = ""
    by: str = ""
    pieces: int | None = None
    due: str = ""
    remember: bool = True
