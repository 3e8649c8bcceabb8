"""The JSON twins of the pages: the same answers as the commands' `--json`, from the same functions."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Annotated, Any, Literal

from fastapi import APIRouter, BackgroundTasks, Depends, Query, Request
from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field

from tickets.codes import read_code
from tickets.lookup import (
    list_arrivals,
    list_orders,
    order_answer,
    order_history,
    ticket_answer,
    waiting_at,
    where_is,
)
from tickets.lookup.acted import desk_document, scan_document
from tickets.lookup.items import done_lately, open_questions
from tickets.lookup.line import line_answer
from tickets.lookup.naming import keyboard_hint, name_thing
from tickets.places import DISPATCHED
from tickets.web.acting import Acted, Scanned, act_at_desk, take_scan, undo
from tickets.web.describing import describe
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.queries_page import question_about
from tickets.web.showing import actor_named, person_named
from tickets.wording_change import needs_one_change

router = APIRouter(prefix="/api")
Document = dict[str, Any]
INBOX_DAYS = 30
_DAY_FIRST = re.compile(r"\d{4}-\d{2}-\d{2}(?:$|[Tt ])")
Text = Annotated[str, Field(max_length=1000)]
Repair = Literal["srgb", "background", "harden", "specks", "trim", "thicken"]
Pieces = Annotated[int, Field(ge=0, le=1_000_000)]


def _as_written(value: object) -> object:
    """A day or moment as RFC 3339 writes it; a bare number, which pydantic takes too, is neither."""
    if value is not None and not (isinstance(value, str) and _DAY_FIRST.match(value)):
        raise ValueError("it is written as 2026-12-04, or as 2026-12-04T10:20:00Z")
    return value


Day = Annotated[date, BeforeValidator(_as_written)]
Moment = Annotated[AwareDatetime, BeforeValidator(_as_written)]


class _Asked(BaseModel):
    model_config = ConfigDict(extra="forbid")


class ScanAsked(_Asked):
    """A scan; numbers left out: all that wait."""

    code: Text
    station: Text
    good: Pieces | None = None
    spoiled: Pieces = 0
    why: Text = ""
    by: Text | None = None  # left out: who is signed in at the device; "": nobody
    key: Text = ""
    catch_up: bool = False
    part: bool = False
    collected_by: Text = ""
    device_at: Moment | None = None  # the device's own clock and count, where it kept the scan
    device_sequence: Annotated[int, Field(ge=0, le=2**31 - 1)] | None = None


class UndoAsked(_Asked):
    """An undo."""

    code: Text
    by: Text | None = None
    key: Text = ""


class ActAsked(_Asked):
    """An act of the desk; CODE may be an order number."""

    code: Text
    why: Text = ""
    note: Text = ""
    by: Text = ""
    pieces: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    due: Annotated[str, Field(max_length=10)] = ""


class ReleaseAsked(ActAsked):
    """A release; with `repair` the artwork is repaired first; `this_once`: it is not remembered."""

    repair: Annotated[list[Repair], Field(max_length=10)] = []
    this_once: bool = False


@router.get("/where")
def where(web: WebDep, words: Annotated[str, Query(max_length=300)] = "") -> Document:
    """As `where --json`."""
    return where_is(web.store, web.settings, words, now=web.clock(), foresee=web.foresee).as_json()


@router.get("/orders")
def orders(web: WebDep, standing: str | None = None, since: Day | None = None) -> Document:
    """As `orders --json`."""
    found = list_orders(web.store, web.settings, standing, since, web.clock(), foresee=web.foresee)
    return {"asked": "", "orders": [order.as_json() for order in found]}


@router.get("/orders/{number:path}")
def order(web: WebDep, number: str) -> Document:
    """One order as `where --json` has it, with its history."""
    answer = order_answer(web.store, web.settings, number, web.clock(), foresee=web.foresee).as_json()
    return {**answer, "history": [line.as_json() for line in order_history(web.store, number)]}


@router.get("/t/{code}")
def ticket(web: WebDep, code: str) -> Document:
    """One ticket as `where --json` has it."""
    return ticket_answer(web.store, web.settings, read_code(code), web.clock()).as_json()


@router.get("/at/{station}")
def station(web: WebDep, station: str) -> Document:
    """What waits at a station, and what was done there lately."""
    waiting = [w.as_json() for w in waiting_at(web.store, web.settings, station)]
    return {"waiting": waiting, "done": [d.as_json() for d in done_lately(web.store, station)]}


@router.get("/line")
def line(web: WebDep) -> Document:
    """The line page."""
    return line_answer(web.store, web.settings, web.clock(), web.foresee).as_json()


@router.get("/inbox")
def inbox(web: WebDep, all: bool = False) -> Document:
    """As `inbox --json`."""
    since = None if all else web.clock() - timedelta(days=INBOX_DAYS)
    return list_arrivals(web.store, since).as_json()


@router.get("/queries")
def queries(web: WebDep) -> Document:
    """Every open question."""
    return {"queries": [question.as_json() for question in open_questions(web.store)]}


@router.post("/scan")
def scan(request: Request, web: WebDep, later: BackgroundTasks, asked: ScanAsked) -> Document:
    """As `scan --json`."""
    fields = {**asked.model_dump(), "by": person_named(request, web, asked.by)}
    answer = take_scan(web, Scanned(**fields))
    is_dispatch = answer.moved is not None and answer.moved.to_place == DISPATCHED
    if answer.reprint or is_dispatch:  # most scans make no paper, nor a packing slip
        later.add_task(web.folders.write_due_papers)
    return scan_document(web.store, web.settings, answer, keyboard_hint(asked.code, answer.code))


@router.post("/undo")
def take_back(request: Request, web: WebDep, later: BackgroundTasks, asked: UndoAsked) -> Document:
    """As `undo --json`."""
    answer = undo(web, asked.code, person_named(request, web, asked.by), asked.key)
    later.add_task(web.folders.write_due_papers)
    return scan_document(web.store, web.settings, answer)


@router.post("/hold", dependencies=[Depends(require_desk)])
def hold(request: Request, web: WebDep, later: BackgroundTasks, asked: ActAsked) -> Document:
    """As `hold --json`."""
    return _act(request, web, later, "hold", asked)


@router.post("/release", dependencies=[Depends(require_desk)])
def release(request: Request, web: WebDep, later: BackgroundTasks, asked: ReleaseAsked) -> Document:
    """As `release --json`, with `--repair` and `--this-once` where asked."""
    asked = asked.model_copy(update={"by": actor_named(request, web, asked.by, may_be_customer=True)})
    if not asked.repair:
        said = Acted(note=asked.note, by=asked.by, remember=not asked.this_once)
        named, says = act_at_desk(web, "release", asked.code, said)
    else:
        named, says = release_repaired(web, asked)
    later.add_task(web.folders.write_due_papers)
    return desk_document(web.store, web.settings, named, says)


def release_repaired(web: WebDep, asked: ReleaseAsked) -> tuple[str, str]:
    """What was named, and the sentence. Raises ShopProblem as the page of questions does."""
    named = name_thing(web.store, asked.code, orders=True)
    item = question_about(web.store, named)
    remember = not asked.this_once
    says = web.folders.mends.release(item, asked.repair, asked.by, asked.note, remember=remember)
    return named, says


@router.post("/change", dependencies=[Depends(require_desk)])
def change(request: Request, web: WebDep, later: BackgroundTasks, asked: ActAsked) -> Document:
    """As `change --json`: another due day of an order, or so many `pieces` of an item in all."""
    if bool(asked.due) == (asked.pieces is not None):
        raise needs_one_change()
    return _act(request, web, later, "change-due" if asked.due else "change-quantity", asked)


@router.post("/cancel", dependencies=[Depends(require_desk)])
def cancel(request: Request, web: WebDep, later: BackgroundTasks, asked: ActAsked) -> Document:
    """As `cancel --json`."""
    return _act(request, web, later, "cancel", asked)


def _act(request: Request, web: Web, later: BackgroundTasks, act: str, asked: ActAsked) -> Document:
    said = Acted(asked.why, asked.note, actor_named(request, web, asked.by), asked.pieces, asked.due)
    named, says = act_at_desk(web, act, asked.code, said)
    later.add_task(web.folders.write_due_papers)
    return desk_document(web.store, web.settings, named, says)


@router.get("/openapi.json", include_in_schema=False)
def openapi(request: Request) -> Document:
    """What all of these take and answer (OpenAPI)."""
    return describe(request.app)
