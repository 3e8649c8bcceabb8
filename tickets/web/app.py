"""Puts the pages together into one application."""

from __future__ import annotations

import logging
from collections.abc import Callable

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from tickets.problems import BadInput, NotFound, ShopProblem
from tickets.web import (
    api,
    customer_page,
    desk_page,
    drop_page,
    film_page,
    kept_page,
    language_page,
    line_page,
    messages_page,
    packing_page,
    pairing,
    papers_page,
    people_page,
    promise_page,
    queries_page,
    sign_in_page,
    station_page,
    ticket_page,
)
from tickets.web.bounding import Bounded
from tickets.web.door import Web
from tickets.web.gate import Headers, pass_gate, security_of
from tickets.web.showing import FOLDER, answer_problem

_log = logging.getLogger(__name__)
PAGES = (
    pairing,
    ticket_page,
    station_page,
    line_page,
    messages_page,
    desk_page,
    packing_page,
    drop_page,
    papers_page,
    film_page,
    promise_page,
    queries_page,
    kept_page,
    language_page,
    customer_page,
    sign_in_page,
    people_page,
    api,
)


def build_app(web: Web, is_stopping: Callable[[], bool] = lambda: False) -> FastAPI:
    """The pages of one shop. Nothing is seen or changed through it by a device that was not let in.

    `is_stopping` tells open streams that the server is to end.
    """
    app = FastAPI(
        title="filmdocket",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,  # served behind the gate, by `api`
        dependencies=[Depends(pass_gate)],
    )
    app.state.web = web
    app.state.is_stopping = is_stopping
    app.add_middleware(Bounded, largest_upload=web.folders.drops.largest_bytes)
    app.add_middleware(Headers)
    app.add_middleware(language_page.Spoken)
    for page in PAGES:
        app.include_router(page.router)
    app.include_router(pairing.owner)
    app.include_router(queries_page.desk)
    app.mount("/static", StaticFiles(directory=FOLDER / "static"), name="static")
    app.add_exception_handler(ShopProblem, answer_problem)
    app.add_exception_handler(RequestValidationError, _answer_unreadable)
    app.add_exception_handler(HTTPException, _answer_http)
    app.add_exception_handler(Exception, _answer_fault)
    return app


async def _answer_unreadable(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    wrong = "; ".join(f"{'.'.join(map(str, e['loc'][1:]))}: {e['msg']}" for e in error.errors())
    problem = BadInput("request-not-read", f"What was sent cannot be read: {wrong}.", "Load the page again.")
    return await answer_problem(request, problem)


async def _answer_http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    problem: ShopProblem = NotFound("no-such-page", "There is no such page.", "Begin at the line.")
    if isinstance(error.__cause__, ShopProblem):  # of a body that could not be read: the reason is ours
        problem = error.__cause__
    elif error.status_code == 400:  # a body that is not what it says it is
        problem = BadInput("request-not-read", "What was sent cannot be read.", "Load the page again.")
    elif error.status_code == 405:
        says = f"There is nothing at this address that takes {request.method}."
        problem = ShopProblem("no-such-method", says, "See /api/openapi.json.")
    if not isinstance(error.__cause__, ShopProblem):
        problem.http_status = error.status_code
    response = await answer_problem(request, problem)
    response.headers.update(error.headers or {})
    return response


async def _answer_fault(request: Request, error: Exception) -> Response:
    _log.exception("event=page-failed path=%s", ascii(request.url.path), exc_info=error)
    problem = ShopProblem(
        "unexpected",
        "Something went wrong that filmdocket was not built for: a fault in the program.",
        "Nothing that was booked is lost. Try once more, and report it.",
    )
    problem.http_status = 500
    response = await answer_problem(request, problem)
    response.headers.update(security_of(request.url.path))  # such an answer is made outside of all middleware
    return response
