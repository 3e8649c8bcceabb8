"""The questions that customers have not answered: art, marked places, the message, and how each can end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, BackgroundTasks, Depends, Form, Query, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from tickets import wording_drop, wording_film_pages, wording_floor, wording_mends
from tickets.lookup.items import ItemPage, open_questions
from tickets.lookup.line import line_answer
from tickets.lookup.size_advice import advise_questions
from tickets.problems import BadInput, NotFound, ShopProblem
from tickets.store import Store
from tickets.web.door import Web, WebDep, device_of, require_desk
from tickets.web.mends import AFTER, BEFORE, CLOSE_AFTER, CLOSE_BEFORE, MARKED
from tickets.web.showing import go_to, person_of, show
from tickets.wording_sizes import no_advice

router = APIRouter()
desk = APIRouter(prefix="/queries", dependencies=[Depends(require_desk)])
Words = Annotated[str, Form(max_length=1000)]
PIECE_BYTES = 1 << 18
VIEW_ROWS = ((BEFORE, AFTER, MARKED), (CLOSE_BEFORE, CLOSE_AFTER))


async def _form(request: Request) -> FormData:
    # Not FastAPI's own field: it would read the body before the gate has seen who sends it.
    return await request.form()


FormDep = Annotated[FormData, Depends(_form)]


@router.get("/queries")
def show_queries(request: Request, web: WebDep) -> Response:
    """Every open question, the soonest due first."""
    return _page(request, web)


def _smaller(web: Web, questions: Sequence[ItemPage]) -> dict[str, str]:
    """What a few millimetres less would save, by ticket: a thing to ask in the same message."""
    return {code: says for code, (_, says) in advise_questions(web.store, web.settings, questions).items()}


def _page(request: Request, web: Web, problem: ShopProblem | None = None) -> Response:
    questions = open_questions(web.store)
    since = {(a.order, a.item): a.since for a in line_answer(web.store, web.settings, web.clock()).asked}
    messages = {q.order: web.folders.message_words(q.order) for q in questions}
    return show(
        request,
        "queries.html",
        problem.http_status if problem else 200,
        problem=problem,
        questions=questions,
        since=since,
        smaller=_smaller(web, questions),
        film=wording_film_pages,
        messages=messages,
        helping={q.code: web.folders.mends.helping(q) for q in questions},
        person=person_of(request),
        may_remember=web.settings.queries.remember_releases,
        mend_words=wording_mends,
        drop_words=wording_drop,
        largest=web.folders.drops.largest_bytes,
    )


@desk.get("/{code}/repairs")
def show_repairs(
    request: Request, web: WebDep, code: str, do: Annotated[tuple[str, ...], Query(max_length=10)] = ()
) -> Response:
    """Each repair with its pictures before and after; those that `do` names together, and checked again."""
    item = question_about(web.store, code)
    try:
        return _repairs(request, web, item, do)
    except ShopProblem as problem:
        return _page(request, web, problem)


def _repairs(
    request: Request, web: Web, item: ItemPage, chosen: tuple[str, ...], problem: ShopProblem | None = None
) -> Response:
    mends = web.folders.mends
    offers = mends.offers(item)
    tried = mends.tried(item, chosen) if chosen else None
    ticked = tried.names if tried else tuple(offer.name for offer in offers if offer.answers)
    return show(
        request,
        "repairs.html",
        problem.http_status if problem else 200,
        problem=problem,
        item=item,
        offers=offers,
        tried=tried,
        ticked=ticked,
        rows=VIEW_ROWS,
        person=person_of(request),
        may_remember=web.settings.queries.remember_releases,
        mend_words=wording_mends,
    )


@desk.get("/{code}/repairs/{name}/{view}.png")
def show_view(web: WebDep, code: str, name: str, view: str) -> Response:
    """A picture of one repair, or of several together."""
    picture = web.folders.mends.view(question_about(web.store, code), name, view)
    if not picture:
        raise NotFound("no-picture", f"There is no such picture of {code}.", "Load the page again.")
    return Response(picture, media_type="image/png", headers={"Cache-Control": "private, max-age=300"})


@desk.post("/{code}/repairs")
def release_repaired(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    code: str,
    act: Words,
    sha256: Words = "",
    do: Annotated[tuple[str, ...], Form(max_length=10)] = (),
    by: Words = "",
    note: Words = "",
    remember: Words = "",
) -> Response:
    """Book the repaired artwork as a revision and let the ticket go on; or show the chosen ones together."""
    item = question_about(web.store, code)
    if act == "see":
        return go_to(request, f"/queries/{code}/repairs?{urlencode({'do': do}, doseq=True)}#together")
    try:
        if not by.strip():
            raise wording_floor.needs_name()
        seen = replace(item, artwork_sha256=sha256)
        says = web.folders.mends.release(seen, do, by, note, remember=bool(remember))
    except ShopProblem as problem:
        return _again(request, web, item, do, problem)
    later.add_task(web.folders.write_due_papers)
    response = go_to(request, "/queries", says)
    response.background = later
    return response


def _again(
    request: Request, web: Web, item: ItemPage, chosen: tuple[str, ...], problem: ShopProblem
) -> Response:
    """The repairs once more with what is wrong; all questions where this one is answered by now."""
    try:
        return _repairs(request, web, question_about(web.store, item.code), chosen, problem)
    except ShopProblem:
        return _page(request, web, problem)


@desk.post("/{code}/size")
def answer_size(request: Request, web: WebDep, code: str, act: Words) -> Response:
    """What the customer said to a smaller size: after a yes it is checked anew at that size."""
    item = question_about(web.store, code)
    advised = advise_questions(web.store, web.settings, [item]).get(item.code)
    try:
        if advised is None:
            raise no_advice(item.code)
        by = person_of(request) or device_of(request).name
        says = web.ledger.answer_size(advised[0], by, is_yes=act == "smaller")
    except ShopProblem as problem:
        return _page(request, web, problem)
    return go_to(request, "/queries", says)


@desk.post("/{code}/artwork")
async def receive_artwork(request: Request, web: WebDep, code: str, form: FormDep) -> Response:
    """New artwork for one item: into the inbox, like any other."""
    return await run_in_threadpool(_receive, request, web, code, form)


def _receive(request: Request, web: Web, code: str, form: FormData) -> Response:
    item, file = question_about(web.store, code), form.get("file")
    try:
        if not isinstance(file, UploadFile) or not file.filename:
            raise BadInput("file-empty", *wording_mends.NO_FILE)
        with web.folders.mends.receive(item) as write:
            while piece := file.file.read(PIECE_BYTES):
                write(piece)
    except ShopProblem as problem:
        return _page(request, web, problem)
    return go_to(request, "/queries", wording_mends.sent_in(item.artwork, item.order))


def question_about(store: Store, code: str) -> ItemPage:
    """The open question about a ticket. Raises NotFound `no-open-question`."""
    for item in open_questions(store):
        if item.code and item.code == code:
            return item
    raise NotFound("no-open-question", *wording_mends.no_open_question(code))
