"""The page of one station, for a screen with a scanner that types: a scan anywhere on it counts."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, BackgroundTasks, Form, Request
from fastapi.responses import Response

from tickets.lookup import waiting_at
from tickets.lookup.items import done_lately
from tickets.lookup.line import waiting_since
from tickets.problems import ShopProblem
from tickets.requests import ScanAnswer
from tickets.web.acting import Scanned, take_scan, undo
from tickets.web.door import Web, WebDep
from tickets.web.showing import go_to, named_stations, person_named, show

router = APIRouter()
MOST_SHOWN = 40  # a screen two metres away holds fewer


@router.get("/at/{station}")
def show_station(request: Request, web: WebDep, station: str) -> Response:
    """What waits here, the soonest due first, and what was just done."""
    return _page(request, web, station)


def _page(request: Request, web: Web, station: str, problem: ShopProblem | None = None) -> Response:
    waiting = waiting_at(web.store, web.settings, station)
    shown = waiting[:MOST_SHOWN]
    label = next(s.label for s in named_stations(web) if s.name == station)
    return show(
        request,
        "station.html",
        problem.http_status if problem else 200,
        problem=problem,
        station=station,
        label=label,
        waiting=shown,
        left_out=max(0, len(waiting) - MOST_SHOWN),
        pieces=sum(w.pieces for w in waiting),
        since=waiting_since(web.store, station, [w.code for w in shown]),
        done=done_lately(web.store, station),
    )


@router.post("/at/{station}/scan")
def scan_by_hand(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    station: str,
    code: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """A code typed into the field that browsers without scripts show."""
    try:
        answer = take_scan(web, Scanned(code, station, by=person_named(request, web, None)))
    except ShopProblem as problem:
        return _page(request, web, station, problem)
    return _done(request, web, later, station, answer)


@router.post("/at/{station}/undo")
def undo_here(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    station: str,
    code: Annotated[str, Form(max_length=500)],
) -> Response:
    """Take back the last scan of what is named."""
    try:
        answer = undo(web, code, person_named(request, web, None))
    except ShopProblem as problem:
        return _page(request, web, station, problem)
    return _done(request, web, later, station, answer)


def _done(request: Request, web: Web, later: BackgroundTasks, station: str, answer: ScanAnswer) -> Response:
    later.add_task(web.folders.write_due_papers)  # of a reprint, or a packing slip
    response = go_to(request, f"/at/{station}", answer.says)
    response.background = later
    return response
