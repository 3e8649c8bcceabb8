"""The whole line at a glance, and the stream that tells open pages when something has happened."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import Response, StreamingResponse

from tickets import wording_pages as words
from tickets import wording_risk
from tickets.lookup.line import AGE_BANDS_HOURS, line_answer, pulse
from tickets.lookup.stock import low_stock
from tickets.web.door import Web, WebDep
from tickets.web.showing import named_stations, show
from tickets.web.strip import draw_key, draw_line

router = APIRouter()
LOOK_SECONDS = 0.5
BEAT_SECONDS = 15.0  # a word now and then, so that a dead connection is noticed


@router.get("/")
def show_line(request: Request, web: WebDep) -> Response:
    """The strip, what is late, what is asked, and whether intake is alive."""
    line = line_answer(web.store, web.settings, web.clock(), web.foresee)
    labels = {s.name: s.label for s in named_stations(web)}
    line = replace(line, stations=tuple(replace(s, label=labels[s.name]) for s in line.stations))
    return show(
        request,
        "line.html",
        line=line,
        risk_words=wording_risk,
        low_stock=low_stock(web.store, web.settings, web.clock()),
        strip=draw_line(line.stations),
        key=draw_key(words.band_names(AGE_BANDS_HOURS)),
    )


@router.get("/events")
async def tell_changes(request: Request, web: WebDep) -> Response:
    """Server-sent events: `changed` whenever a page may look different."""
    headers = {"X-Accel-Buffering": "no"}
    return StreamingResponse(_changes(request, web), media_type="text/event-stream", headers=headers)


async def _changes(request: Request, web: Web) -> AsyncIterator[str]:
    known, quiet = await asyncio.to_thread(_pulse, web), 0.0
    yield "retry: 2000\n\n"
    while not await request.is_disconnected() and not request.app.state.is_stopping():
        await asyncio.sleep(LOOK_SECONDS)
        now = await asyncio.to_thread(_pulse, web)
        quiet += LOOK_SECONDS
        if now != known:
            known, quiet = now, 0.0
            yield "event: changed\ndata: 1\n\n"
        elif quiet >= BEAT_SECONDS:
            quiet = 0.0
            yield ": alive\n\n"


def _pulse(web: Web) -> str:
    """Changes with the books, and when a forecast that was made beside the pages is there."""
    from tickets.lookup.fresh import made_last  # numpy comes with it

    return f"{pulse(web.store)} {made_last(web.store)}"
