"""No request is larger than the shop takes: what is sent is counted while it comes."""

from __future__ import annotations

import re

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tickets.problems import ShopProblem

FORM_BYTES = 1_000_000
UPLOADS = re.compile(r"/drop(/.*)?|/queries/[^/]+/artwork")
_FRAME_BYTES = 100_000  # of a form around its file


class TooLarge(ShopProblem):
    """More was sent than is taken."""

    http_status = 413


class Bounded:
    """Ends requests that send more than `largest_upload` bytes of artwork, or a megabyte elsewhere."""

    def __init__(self, app: ASGIApp, largest_upload: int) -> None:
        self._app = app
        self._largest_upload = largest_upload

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        is_upload = UPLOADS.fullmatch(scope["path"]) is not None
        most = self._largest_upload + _FRAME_BYTES if is_upload else FORM_BYTES
        came = 0

        async def receive_bounded() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > most:
                raise TooLarge(
                    "request-too-large",
                    f"More was sent than is taken here: the most is {most // 1_000_000} MB.",
                    "Send a smaller file, or lay it into the inbox.",
                )
            return message

        await self._app(scope, receive_bounded, send)
