"""The page that a customer's link opens: how far one order is, read only; and the desk's making of links."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import Response

from tickets import wording_progress as wording
from tickets.lookup import order_answer
from tickets.lookup.progress import progress_of
from tickets.problems import NotFound
from tickets.web.door import WebDep, require_desk
from tickets.web.showing import go_to, person_of, show

router = APIRouter()


@router.get("/o/{word}")
def show_progress(request: Request, web: WebDep, word: str) -> Response:
    """How far the order is. Whoever has the link sees it, let in or not."""
    address = request.client.host if request.client else ""
    web.views.require_left(address)
    web.views.note_wrong(address)
    number = web.links.order_of(word) if web.settings.links.on else None
    if number is None:
        raise NotFound("link-not-known", f"{wording.NO_LINK}.", wording.NO_LINK_DO)
    zone, now = web.settings.shop.zone, web.clock()
    order = order_answer(web.store, web.settings, number, now, foresee=web.foresee)
    progress = progress_of(order, tuple(s.name for s in web.settings.station), now, zone)
    return show(request, "customer.html", progress=progress, as_of=wording.as_of(now, zone))


@router.post("/desk/link", dependencies=[Depends(require_desk)])
def change_link(
    request: Request,
    web: WebDep,
    order: Annotated[str, Form(max_length=1000)],
    act: Annotated[str, Form(pattern="^(make|off)$")],
) -> Response:
    """Make the link of an order, or revoke it."""
    if act == "make":
        web.links.make(order, person_of(request))
        says = wording.link_made(order)
    else:
        says = wording.link_revoked(order, was_there=web.links.revoke(order, person_of(request)))
    return go_to(request, f"/orders/{quote(order)}", says)
