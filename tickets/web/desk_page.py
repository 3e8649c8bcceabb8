"""The desk's pages: answers as one types, an order with its history, and the acts of the desk."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, BackgroundTasks, Depends, Form, Request
from fastapi.responses import Response

from tickets.lookup import order_answer, order_history, where_is
from tickets.lookup.items import ItemPage, items_of
from tickets.lookup.packing import order_parcels, order_slips
from tickets.problems import NotFound, ShopProblem
from tickets.web.acting import Acted, act_at_desk
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.showing import actor_named, go_to, person_of, show
from tickets.wording_packing import say_parcel, say_slip

router = APIRouter()
Words = Annotated[str, Form(max_length=1000)]
ACTS = ("hold", "release", "cancel", "change-due", "change-quantity")


@router.get("/where")
def ask_where(request: Request, web: WebDep, words: str = "") -> Response:
    """One field, and answers that can be read out."""
    asked = words[:300]
    now = web.clock()
    is_asked = bool(asked.strip())
    answer = where_is(web.store, web.settings, asked, now=now, foresee=web.foresee) if is_asked else None
    return show(request, "where.html", asked=asked, answer=answer)


@router.get("/orders/{number:path}")
def show_order(request: Request, web: WebDep, number: str) -> Response:
    """All about an order."""
    return show_order_with(request, web, number)


def show_order_with(request: Request, web: Web, number: str, problem: ShopProblem | None = None) -> Response:
    """An order's page, with what could not be done."""
    order = order_answer(web.store, web.settings, number, web.clock(), foresee=web.foresee)
    items = items_of(web.store, number)
    link = web.links.of_order(number)
    address = web.settings.links.address or web.address or str(request.base_url)
    return show(
        request,
        "order.html",
        problem.http_status if problem else 200,
        problem=problem,
        order=order,
        items=items,
        names={ticket.code: f"{ticket.code} · {ticket.artwork}" for ticket in order.tickets},
        slips=order_slips(web.store, number),
        parcels=order_parcels(web.store, number),
        parcel_says=say_parcel,
        slip_says=lambda slip: say_slip(slip, web.settings.shop.zone),
        history=list(reversed(order_history(web.store, number))),
        person=person_of(request),
        links_on=web.settings.links.on,
        link=link.at(address) if link else "",
    )


@router.post("/desk/act", dependencies=[Depends(require_desk)])
def act(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    order: Words,
    code: Words,
    act: Words,
    why: Words = "",
    note: Words = "",
    by: Words = "",
    pieces: Annotated[str, Form(max_length=7)] = "",
    due: Annotated[str, Form(max_length=10)] = "",
    back: Words = "",
    asked_to_remember: Words = "",
    remember: Words = "",
) -> Response:
    """An act on an order or one of its tickets; each has its reason, each is in the history."""
    if act not in ACTS:
        raise NotFound("no-such-act", f"There is no act {act!r}.", "Hold, release, cancel or change.")
    many = int(pieces) if pieces.isdecimal() else None
    wanted = not asked_to_remember or bool(remember)  # not asked: as the shop has set
    try:
        who = actor_named(request, web, by, may_be_customer=act == "release")
        said = Acted(why, note, who, many, due, wanted)
        _, says = act_at_desk(web, act, code, said)
    except ShopProblem as problem:
        return show_order_with(request, web, order, problem)
    later.add_task(web.folders.write_due_papers)
    response = go_to(request, "/queries" if back == "queries" else f"/orders/{quote(order)}", says)
    response.background = later
    return response


@router.get("/art")
def show_art(web: WebDep, order: str, item: int, marked: bool = False) -> Response:
    """The small picture of an item's artwork, with its places marked when asked."""
    found = _item(web, order, item)
    picture = web.folders.marked_art(found) if marked else web.folders.art(found)
    if not picture:
        raise NotFound("no-picture", f"There is no picture of {found.artwork}.", "Open the file itself.")
    keep = {"Cache-Control": "private, max-age=300"}
    return Response(picture, media_type="image/png", headers=keep)


@router.get("/papers/{code}.pdf")
def show_paper(web: WebDep, code: str, order: str) -> Response:
    """The job ticket, to be printed again."""
    paper = web.folders.ticket_paper(order, code)
    if not paper:
        raise NotFound(
            "no-paper-yet",
            f"The paper of {code} is not printed yet.",
            "It is in a moment, when its artwork is accepted.",
        )
    return Response(paper, media_type="application/pdf")


@router.get("/message.eml")
def show_message(web: WebDep, order: str) -> Response:
    """The newest message to the customer, to be opened in a mail program and sent."""
    message = web.folders.message(order)
    if not message:
        raise NotFound("no-message-yet", f"There is no message about {order}.", "It is written in a moment.")
    saved = {"Content-Disposition": 'attachment; filename="message.eml"'}
    return Response(message, media_type="message/rfc822", headers=saved)


def _item(web: Web, order: str, number: int) -> ItemPage:
    for item in items_of(web.store, order):
        if item.number == number:
            return item
    raise NotFound("no-such-item", f"{order} has no item {number}.", "See the order's own page.")
