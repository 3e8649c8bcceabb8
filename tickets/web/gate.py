"""Who gets through: a device that was let in, and changes only from the shop's own pages."""

from __future__ import annotations

import secrets
from typing import Annotated
from urllib.parse import urlsplit

from fastapi import Depends, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tickets.ledger.devices import DeviceAnswer, form_token
from tickets.ledger.sign_ins import AtDevice
from tickets.web.door import NotAllowed, NotLetIn, Web, web_of

COOKIE = "filmdocket_device"
COOKIE_SECONDS = 400 * 24 * 3600  # the longest that browsers keep one (RFC 6265bis, 5.5)
TOKEN_FIELD, TOKEN_HEADER = "token", "X-Filmdocket-Token"
CUSTOMERS_PATH = "o"
_OPEN_PATHS = ("pair", "root-certificate.crt", CUSTOMERS_PATH)
_SAFE = ("GET", "HEAD")

SECURITY = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # Not "no-referrer": browsers would then send `Origin: null` with forms, which is refused below.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store, max-age=0",
}
# A customer's page is nobody else's: no search engine keeps it, and no page that it leads to learns of it.
CUSTOMERS_SECURITY = SECURITY | {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
}


def security_of(path: str) -> dict[str, str]:
    """The headers that every answer at a path carries, errors included."""
    return CUSTOMERS_SECURITY if path.startswith(f"/{CUSTOMERS_PATH}/") else SECURITY


class Headers:
    """Sends the security headers with every answer, errors included; pictures and scripts may be kept."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                there = {name.lower() for name, _ in message.setdefault("headers", [])}
                message["headers"] += [
                    (name.encode(), value.encode())
                    for name, value in security_of(scope["path"]).items()
                    if name.lower().encode() not in there
                ]
            await send(message)

        await self._app(scope, receive, send_with_headers if scope["type"] == "http" else send)


def find_device(request: Request, web: Annotated[Web, Depends(web_of)]) -> DeviceAnswer | None:
    """The device that carries the request's cookie."""
    return web.devices.recognise(request.cookies.get(COOKIE, ""))


def find_person(
    request: Request,
    web: Annotated[Web, Depends(web_of)],
    device: Annotated[DeviceAnswer | None, Depends(find_device)],
) -> AtDevice:
    """Who is signed in at the device that asks."""
    if device is None:
        return AtDevice("")
    return web.sign_ins.at_device(device.id, is_doing=request.method not in _SAFE)


async def pass_gate(
    request: Request,
    device: Annotated[DeviceAnswer | None, Depends(find_device)],
    person: Annotated[AtDevice, Depends(find_person)],
) -> None:
    """Let a request through, or raise NotLetIn `device-not-let-in`, NotAllowed `foreign-form`.

    Whatever changes something must come from a page of this very address, and carry its device's token: in a
    field of the form, or in a header.
    """
    is_open = request.url.path.split("/")[1] in _OPEN_PATHS
    request.state.device = device
    request.state.person = person
    if device is None and not is_open:
        raise NotLetIn(
            "device-not-let-in",
            "This device is not let in.",
            "Get a pairing code from the owner, or with: filmdocket device add",
        )
    if request.method in _SAFE:
        return
    _require_same_origin(request)
    if not is_open:
        await _require_token(request)


def _require_same_origin(request: Request) -> None:
    origin, site = request.headers.get("origin"), request.headers.get("sec-fetch-site")
    is_own = site in (None, "same-origin", "none")
    if origin is not None:
        is_own = is_own and urlsplit(origin).netloc == request.headers.get("host", "")
    if not is_own:
        raise _foreign()


async def _require_token(request: Request) -> None:
    sent = request.headers.get(TOKEN_HEADER)
    if sent is None and "form" in request.headers.get("content-type", ""):
        sent = str((await request.form()).get(TOKEN_FIELD, ""))
    wanted = form_token(request.cookies.get(COOKIE, ""))
    if not secrets.compare_digest((sent or "").encode(), wanted.encode()):
        raise _foreign()


def _foreign() -> NotAllowed:
    return NotAllowed(
        "foreign-form",
        "This change did not come from one of the shop's own pages.",
        "Load the page again and repeat it there.",
    )
