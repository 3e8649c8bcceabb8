"""What a device needs while the network is away: the page of its kept scans, and what opens pages then."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import FileResponse, Response

from tickets.problems import ShopProblem
from tickets.web.acting import Scanned, take_scan
from tickets.web.door import WebDep
from tickets.web.showing import FOLDER, go_to, person_named, show

router = APIRouter()
Words = Annotated[str, Form(max_length=500)]


@router.get("/kept")
def show_kept(request: Request) -> Response:
    """Scans that wait in the device; also what it opens for a page that it has never seen."""
    return show(request, "kept.html")


@router.post("/kept")
def scan_here(
    request: Request, web: WebDep, code: Words, station: Words, good: Annotated[str, Form(max_length=7)] = ""
) -> Response:
    """The same form sent by a browser without scripts."""
    number = int(good) if good.strip().isdecimal() else None
    try:
        answer = take_scan(web, Scanned(code, station, number, by=person_named(request, web, None)))
    except ShopProblem as problem:
        return show(request, "kept.html", problem.http_status, problem=problem)
    return go_to(request, "/kept", answer.says)


@router.get("/service-worker.js")
def send_worker() -> Response:
    """The worker, at the root: it may only open pages below its own address."""
    return FileResponse(FOLDER / "static" / "service-worker.js", media_type="text/javascript")
