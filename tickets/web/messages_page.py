"""What customers are told: all that is due, written, sent or failed, sending again, and the words of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from tickets import wording_messages as message_words
from tickets.lookup.naming import name_thing
from tickets.lookup.telling import find_telling, list_tellings
from tickets.problems import NotFound, ShopProblem
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.letters import Specimen
from tickets.web.showing import actor_named, go_to, person_of, show

router = APIRouter(dependencies=[Depends(require_desk)])
Document = dict[str, Any]
Template = Annotated[str, Form(max_length=60_000)]


class AgainAsked(BaseModel):
    """Which message is to be sent once more."""

    model_config = ConfigDict(extra="forbid")
    message: Annotated[int, Field(ge=1, le=2**31 - 1)]
    by: Annotated[str, Field(max_length=1000)] = ""


@router.get("/messages")
def show_messages(request: Request, web: WebDep, order: str = "") -> Response:
    """The newest messages, of one order when asked, and how each kind is worded."""
    return _page(request, web, order[:100])


def _page(request: Request, web: Web, order: str = "", problem: ShopProblem | None = None) -> Response:
    named = ""
    try:
        named = name_thing(web.store, order, orders=True) if order.strip() else ""
    except ShopProblem as unknown:
        problem = problem or unknown
    return show(
        request,
        "messages.html",
        problem.http_status if problem else 200,
        problem=problem,
        message_words=message_words,
        asked=order,
        messages=list_tellings(web.store, named),
        kinds=web.folders.letters.kinds(),
        may_send=bool(web.settings.smtp.host),
        sent_kinds=web.settings.messages.send,
    )


@router.get("/messages/{number}.eml")
def show_file(web: WebDep, number: int) -> Response:
    """A message as it lies in the outbox, to be opened in a mail program."""
    told = find_telling(web.store, number)
    content = web.folders.letters.file(told.order, told.file)
    if not content:
        raise NotFound("no-message-yet", f"{told.file} is no longer in the outbox.", "Look into a backup.")
    saved = {"Content-Disposition": f'attachment; filename="message-{number}.eml"'}
    return Response(content, media_type="message/rfc822", headers=saved)


@router.post("/messages/again")
def send_again(
    request: Request,
    web: WebDep,
    message: Annotated[int, Form(ge=1, le=2**31 - 1)],
    order: Annotated[str, Form(max_length=100)] = "",
) -> Response:
    """Have a message sent once more; the daemon does it in a moment."""
    try:
        says = web.ledger.send_again(message, person_of(request))
    except ShopProblem as problem:
        return _page(request, web, order, problem)
    return go_to(request, "/messages", says)


@router.get("/messages/words/{kind}")
def show_words(request: Request, web: WebDep, kind: str) -> Response:
    """The words of one kind, to be changed, and what they say of invented orders."""
    found = next((one for one in web.folders.letters.kinds() if one.kind == kind), None)
    if found is None:
        raise NotFound("no-such-page", f"There is no kind of message {kind!r}.", "See the page Messages.")
    return _words(request, web, kind, found.text)


@router.post("/messages/words/{kind}")
def change_words(
    request: Request,
    web: WebDep,
    kind: str,
    text: Template = "",
    act: Annotated[str, Form(max_length=10)] = "try",
) -> Response:
    """Try words, keep them, or go back to the shipped ones."""
    letters = web.folders.letters
    if act == "shipped":
        letters.use_shipped(kind)
        return go_to(request, f"/messages/words/{kind}", message_words.back_to_shipped(kind))
    try:
        letters.specimens(kind, text)
        if act == "save":
            letters.save(kind, text)
            return go_to(request, f"/messages/words/{kind}", message_words.kept(kind))
    except NotFound:
        raise
    except ShopProblem as problem:
        return _words(request, web, kind, text, problem)
    return _words(request, web, kind, text)


def _words(request: Request, web: Web, kind: str, text: str, problem: ShopProblem | None = None) -> Response:
    letters = web.folders.letters
    specimens: tuple[Specimen, ...] = ()
    try:
        specimens = letters.specimens(kind, text)
    except ShopProblem as wrong:
        problem = problem or wrong
    kept = next(one for one in letters.kinds() if one.kind == kind)
    return show(
        request,
        "message_words.html",
        problem.http_status if problem else 200,
        problem=problem,
        message_words=message_words,
        kind=kept,
        text=text,
        specimens=specimens,
    )


@router.get("/api/messages")
def messages(web: WebDep, order: str = "") -> Document:
    """As `messages list --json`."""
    named = name_thing(web.store, order, orders=True) if order.strip() else ""
    return {"messages": [told.as_json() for told in list_tellings(web.store, named)]}


@router.post("/api/messages/again")
def again(request: Request, web: WebDep, asked: AgainAsked) -> Document:
    """As `messages again --json`, but sent by the daemon."""
    says = web.ledger.send_again(asked.message, actor_named(request, web, asked.by))
    return {**find_telling(web.store, asked.message).as_json(), "did": says}
