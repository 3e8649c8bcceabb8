"""The owner's page of people: who may be named on scans, and their PINs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import Response

from tickets import wording_people as wording
from tickets.problems import ShopProblem
from tickets.web.door import Web, WebDep, require_owner
from tickets.web.showing import go_to, show

router = APIRouter(dependencies=[Depends(require_owner)])
Words = Annotated[str, Form(max_length=200)]


@router.get("/people")
def list_people(request: Request, web: WebDep) -> Response:
    """Everybody who may be named."""
    return _page(request, web)


@router.post("/people/add")
def add_person(request: Request, web: WebDep, name: Words = "", pin: Words = "") -> Response:
    """Somebody new."""
    return _do(request, web, lambda: wording.added(web.people.add(name, pin).name, has_pin=bool(pin)))


@router.post("/people/pin")
def set_pin(request: Request, web: WebDep, name: Words, pin: Words = "") -> Response:
    """Another PIN, or none."""
    return _do(request, web, lambda: wording.pin_set(web.people.set_pin(name, pin).name, has_pin=bool(pin)))


@router.post("/people/remove")
def remove_person(request: Request, web: WebDep, name: Words) -> Response:
    """Somebody has left."""
    return _do(request, web, lambda: wording.removed(web.people.remove(name).name))


def _do(request: Request, web: Web, act: Callable[[], str]) -> Response:
    try:
        return go_to(request, "/people", act())
    except ShopProblem as problem:
        return _page(request, web, problem)


def _page(request: Request, web: Web, problem: ShopProblem | None = None) -> Response:
    status = problem.http_status if problem else 200
    return show(request, "people.html", status, problem=problem, people=web.people.people())
