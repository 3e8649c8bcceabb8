"""Where people say who they are: their names as large buttons, and a keypad for a PIN where one is wanted."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response

from tickets import wording_people as wording
from tickets.ledger.sign_ins import PinRefused
from tickets.problems import NotFound, ShopProblem
from tickets.web.door import DeviceDep, Web, WebDep
from tickets.web.showing import go_to, own_path, show

router = APIRouter()
Words = Annotated[str, Form(max_length=200)]
Asked = Annotated[str, Query(max_length=200)]
Back = Annotated[str, Form(max_length=500)]


@router.get("/sign-in")
def choose_name(request: Request, web: WebDep, name: Asked = "", back: str = "/") -> Response:
    """The names; or, for one that needs a PIN, the keypad."""
    return _page(request, web, name, back[:500])


@router.post("/sign-in")
def sign_in(
    request: Request, web: WebDep, device: DeviceDep, name: Words, pin: Words = "", back: Back = "/"
) -> Response:
    """Somebody is at this device from now on."""
    try:
        person = web.sign_ins.sign_in(device.id, name, pin)
    except ShopProblem as problem:
        if problem.slug == "pin-wanted":
            return go_to(request, f"/sign-in?{urlencode({'name': name, 'back': own_path(back)})}")
        return _page(request, web, name, back, problem)
    return go_to(request, own_path(back), wording.signed_in(person.name))


@router.post("/sign-out")
def sign_out(request: Request, web: WebDep, device: DeviceDep, back: Back = "/") -> Response:
    """Nobody is at this device any more."""
    web.sign_ins.sign_out(device.id)
    return go_to(request, own_path(back), wording.SIGNED_OUT)


def _page(request: Request, web: Web, name: str, back: str, problem: ShopProblem | None = None) -> Response:
    try:
        person = web.people.find(name) if name else None
    except NotFound as unknown:
        person, problem = None, unknown
    is_asked = person is not None and person.has_pin and web.sign_ins.needs_pin(person)
    return show(
        request,
        "pin.html" if is_asked else "names.html",
        problem.http_status if problem else 200,
        problem=problem,
        person=person.name if person else "",
        people=web.people.people(),
        wait_seconds=problem.wait.total_seconds() if isinstance(problem, PinRefused) else 0,
        back=own_path(back),
    )
