"""The page of one ticket, that a phone's own camera opens from its QR code: one big button."""

from __future__ import annotations

import secrets
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, BackgroundTasks, Form, Request
from fastapi.responses import RedirectResponse, Response

from tickets.codes import is_run_code, read_code
from tickets.lookup import order_answer, run_answer, ticket_answer
from tickets.lookup.items import items_of
from tickets.problems import ShopProblem
from tickets.requests import ScanAnswer
from tickets.web.acting import Scanned, take_scan, undo
from tickets.web.door import Web, WebDep
from tickets.web.showing import go_to, own_path, person_named, remember, show, station_of

router = APIRouter()
Number = Annotated[int | None, Form(ge=0, le=1_000_000)]
Words = Annotated[str, Form(max_length=500)]


@router.get("/t/{code}")
def show_ticket(request: Request, web: WebDep, code: str) -> Response:
    """Where its pieces are, and the next thing to do with them at this device's station."""
    right = read_code(code)
    if right != code:
        return RedirectResponse(f"/t/{right}", 307)
    return _page(request, web, code)


def _page(request: Request, web: Web, code: str, problem: ShopProblem | None = None) -> Response:
    status = problem.http_status if problem else 200
    shown = {"code": code, "problem": problem, "key": secrets.token_hex(8)}
    if is_run_code(code):
        run = run_answer(web.store, web.settings, code).as_json()
        return show(request, "run.html", status, run=run, **shown)
    ticket = ticket_answer(web.store, web.settings, code)
    order = order_answer(web.store, web.settings, ticket.order)
    item = next(item for item in items_of(web.store, ticket.order) if item.number == ticket.item)
    here = station_of(request, web)
    waits = ticket.waiting.get(here, 0)
    return show(request, "ticket.html", status, ticket=ticket, order=order, item=item, waits=waits, **shown)


@router.post("/t/{code}/scan")
def scan_ticket(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    code: str,
    key: Words = "",
    good: Annotated[str, Form(max_length=7)] = "",
    spoiled: Annotated[str, Form(max_length=7)] = "",
    why: Words = "",
    other: Words = "",
) -> Response:
    """Book the work of this device's station."""
    try:
        asked = Scanned(
            code=code,
            station=station_of(request, web),
            good=_number(good),
            spoiled=_number(spoiled) or 0,
            why=other.strip() or why,
            by=person_named(request, web, None),
            key=key,
        )
        answer = take_scan(web, asked)
    except ShopProblem as problem:
        return _page(request, web, read_code(code), problem)
    return _done(request, web, later, code, answer)


@router.post("/t/{code}/undo")
def undo_ticket(
    request: Request, web: WebDep, later: BackgroundTasks, code: str, key: Words = ""
) -> Response:
    """Take the last scan of it back."""
    try:
        answer = undo(web, code, person_named(request, web, None), key)
    except ShopProblem as problem:
        return _page(request, web, read_code(code), problem)
    return _done(request, web, later, code, answer)


@router.post("/me")
def remember_station(request: Request, station: Words = "", back: Words = "/") -> Response:
    """Keep in this device where it is."""
    response = go_to(request, own_path(back))
    remember(request, response, station)
    return response


def _done(request: Request, web: Web, later: BackgroundTasks, code: str, answer: ScanAnswer) -> Response:
    later.add_task(web.folders.write_due_papers)  # of a reprint, or a packing slip
    response = go_to(request, f"/t/{quote(code, safe='')}", answer.says)
    response.background = later
    return response


def _number(written: str) -> int | None:
    return int(written) if written.strip().isdecimal() else None
