"""Which language a device is spoken to in: its own choice, else the shop's."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from tickets.languages import NAMES, speak
from tickets.web.gate import COOKIE_SECONDS
from tickets.web.showing import go_to, own_path, set_cookie

router = APIRouter()
LANGUAGE = "filmdocket_language"
Words = Annotated[str, Form(max_length=500)]


class Spoken:
    """Middleware: what a request leads to is said in its device's language."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request; the server gives each a task of its own, so no other one hears of it."""
        if scope["type"] == "http":
            speak(Request(scope).cookies.get(LANGUAGE, ""))
        await self._app(scope, receive, send)


@router.post("/language")
def choose_language(request: Request, language: Words = "", back: Words = "/") -> Response:
    """Keep in the device how it is spoken to."""
    response = go_to(request, own_path(back))
    if language in NAMES:
        set_cookie(request, response, LANGUAGE, language, COOKIE_SECONDS)
    return response
