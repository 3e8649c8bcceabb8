"""The page that answers a caller who has not ordered yet: by which day it can be ready, and its JSON twin."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Body, Depends, Request
from fastapi.responses import Response

from tickets import wording_promise
from tickets.places import SERVICES
from tickets.problems import ShopProblem
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.showing import show

router = APIRouter(dependencies=[Depends(require_desk)])
ROWS = range(1, 4)  # items that the page has room for; more come as an order file
FIELDS = (
    "due",
    "rush",
    *(f"{name}_{row}" for row in ROWS for name in ("quantity", "width_mm", "height_mm", "service")),
)
_LONGEST = 60


@router.get("/promise")
def show_promise(request: Request, web: WebDep) -> Response:
    """A form of what a caller says, and the answer to what was typed."""
    typed = {name: request.query_params.get(name, "").strip()[:_LONGEST] for name in FIELDS}
    document = order_of_form(typed)
    problem, answer = None, None
    if document["items"]:
        try:
            answer = _answer(web, document)
        except ShopProblem as wrong:
            problem = wrong
    return show(
        request,
        "promise.html",
        problem.http_status if problem else 200,
        problem=problem,
        answer=answer,
        typed=typed,
        rows=ROWS,
        services=SERVICES,
        promise_words=wording_promise,
    )


@router.post("/api/promise")
def promise(web: WebDep, order: Annotated[dict[str, Any], Body()]) -> dict[str, Any]:
    """As `promise --json`, of an order document in which number, customer and artwork may be left out."""
    answer: dict[str, Any] = _answer(web, order).as_json()
    return answer


def order_of_form(typed: Mapping[str, str]) -> dict[str, Any]:
    """The order document that the form says; a row without a quantity is none."""
    items = [_item(typed, row) for row in ROWS if typed.get(f"quantity_{row}")]
    due = {"due": typed["due"]} if typed.get("due") else {}
    return {**due, "rush": bool(typed.get("rush")), "items": items}


def _item(typed: Mapping[str, str], row: int) -> dict[str, Any]:
    numbers = {name: typed.get(f"{name}_{row}", "") for name in ("quantity", "width_mm", "height_mm")}
    service = {"service": typed[f"service_{row}"]} if typed.get(f"service_{row}") else {}
    return {**service, **{name: _number(written) for name, written in numbers.items() if written}}


def _number(written: str) -> int | float | str:
    """A number, also with a decimal comma; what is none stays as written, and is refused by its name."""
    for read in (int, float):
        try:
            return read(written.replace(",", "."))
        except ValueError:
            continue
    return written


def _answer(web: Web, document: Mapping[str, Any]) -> Any:
    from tickets.lookup.promising import promise as promise_order  # numpy comes with it

    asked = web.folders.asked_order(json.dumps(document).encode())
    return promise_order(web.store, web.settings, asked, web.clock())
