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
SPOKEN_TO = ("at", "t", "kept", "sign-in", "sign-out", "me")  # pages of the floor; the desk's are English
SCANS = ("/api/scan", "/api/undo")
Words = Annotated[str, Form(max_length=500)]


class Spoken:
    """Middleware: what a request of the floor leads to is said in its device's language."""

    def __init__(self, app: ASGIApp, language: str) -> None:
        self._app = app
        self._language = language

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request; the server gives each a task of its own, so no other one hears of it."""
        if scope["type"] == "http" and is_of_the_floor(scope["path"]):
            chosen = Request(scope).cookies.get(LANGUAGE, "")
            speak(chosen if chosen in NAMES else self._language)
        await self._app(scope, receive, send)


def is_of_the_floor(path: str) -> bool:
    """Whether a page is translated, as a whole."""
    return path in SCANS or path.split("/")[1] in SPOKEN_TO


@router.post("/language")
def choose_language(request: Request, language: Words = "", back: Words = "/") -> Response:
    """Keep in the device how it is spoken to."""
    response = go_to(request, own_path(back))
    if language in NAMES:
        set_cookie(request, response, LANGUAGE, language, COOKIE_SECONDS)
    return response
