"""The page where artwork is dropped: its check is seen at once, and what is sent is an ordinary order."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile

from tickets import wording_drop
from tickets.lookup import list_arrivals, order_answer
from tickets.problems import NotFound, ShopProblem
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.drops import ITEM_FIELDS, ORDER_FIELDS, Draft, Drops
from tickets.web.showing import go_to, show

router = APIRouter(dependencies=[Depends(require_desk)])
PIECE_BYTES = 1 << 18
LONGEST_FIELD = 2000


async def _form(request: Request) -> FormData:
    # Not FastAPI's own fields: they would read the body before the gate has seen who sends it.
    return await request.form()


FormDep = Annotated[FormData, Depends(_form)]


@router.get("/drop")
def show_drop(request: Request, web: WebDep) -> Response:
    """Where artwork is dropped, and what lies in the inbox without an order."""
    return _start(request, web)


def _start(request: Request, web: Web, problem: ShopProblem | None = None) -> Response:
    drops = web.folders.drops
    status = problem.http_status if problem else 200
    shown = {"lying": drops.lying(), "largest": drops.largest_bytes, "problem": problem}
    return show(request, "drop.html", status, drop_words=wording_drop, **shown)


@router.post("/drop/new")
async def begin(request: Request, web: WebDep, form: FormDep) -> Response:
    """Begin an order: with files of a form, with artwork of the inbox, or as an earlier one was."""
    try:
        draft = await run_in_threadpool(_begin, web.folders.drops, form)
    except ShopProblem as problem:
        return await run_in_threadpool(_start, request, web, problem)
    return go_to(request, f"/drop/{draft}")


def _begin(drops: Drops, form: FormData) -> str:
    draft = str(form.get("draft") or "") or drops.begin().id
    drops.read(draft)
    try:
        for file in form.getlist("files"):
            if isinstance(file, UploadFile) and file.filename:
                _copy(drops, draft, file)
        for path in form.getlist("lying"):
            drops.add_lying(draft, str(path))
        if str(form.get("earlier") or "").strip():
            drops.add_earlier(draft, str(form["earlier"]).strip())
        if not drops.check(draft).items:
            raise ShopProblem("drop-incomplete", wording_drop.NOTHING_CHOSEN, wording_drop.CHOOSE_FIRST)
    except ShopProblem:
        if not drops.read(draft).items:
            drops.forget(draft)
        raise
    return draft


def _copy(drops: Drops, draft: str, file: UploadFile) -> None:
    with drops.receive(draft, file.filename or "") as write:
        while piece := file.file.read(PIECE_BYTES):
            write(piece)


@router.post("/drop/art")
async def receive(request: Request, web: WebDep, name: str, draft: str = "") -> Response:
    """One file as the page's script sends it: the bytes alone, so that its progress can be told."""
    drops = web.folders.drops
    known = drops.read(draft) if draft else drops.begin()
    with drops.receive(known.id, name[:500]) as write:
        async for piece in request.stream():
            await run_in_threadpool(write, piece)
    await run_in_threadpool(drops.check, known.id)
    return JSONResponse({"draft": known.id})


@router.get("/drop/sent")
def show_sent(request: Request, web: WebDep, order: str) -> Response:
    """What became of an order that was sent; its own page once intake has taken it."""
    number = order[:64]
    try:
        order_answer(web.store, web.settings, number)
    except NotFound:
        inbox = list_arrivals(web.store, web.clock())
        told = [file for file in inbox.files if file.order == number]
        shown: dict[str, Any] = {"order": number, "files": told, "heartbeat": inbox.heartbeat}
        return show(request, "drop_sent.html", drop_words=wording_drop, **shown)
    return RedirectResponse(f"/orders/{quote(number)}", 303)


@router.get("/drop/{draft_id}")
def show_draft(request: Request, web: WebDep, draft_id: str) -> Response:
    """The order as far as it is written, each artwork with the picture of its check."""
    return _page(request, web.folders.drops.read(draft_id), web)


def _page(request: Request, draft: Draft, web: Web, problem: ShopProblem | None = None) -> Response:
    return show(
        request,
        "drop_order.html",
        problem.http_status if problem else 200,
        draft=draft,
        problem=problem,
        largest=web.folders.drops.largest_bytes,
        film_kinds=web.settings.film.kinds,
        drop_words=wording_drop,
    )


@router.post("/drop/{draft_id}")
async def write_draft(request: Request, web: WebDep, draft_id: str, form: FormDep) -> Response:
    """Keep what was typed; then check, leave an item out, or send it."""
    return await run_in_threadpool(_write, request, web, draft_id, form)


def _write(request: Request, web: Web, draft_id: str, form: FormData) -> Response:
    drops, act = web.folders.drops, str(form.get("act") or "check")
    draft = _typed(drops.read(draft_id), form)
    if act.startswith("remove-"):
        kept = tuple(item for item in draft.items if item.key != act.removeprefix("remove-"))
        draft = Draft(draft.id, draft.fields, kept)
    drops.save(draft)
    if not draft.items or act == "forget":
        drops.forget(draft_id)
        return go_to(request, "/drop")
    try:
        draft = drops.check(draft_id)
        if act != "send":
            return _page(request, draft, web)
        number = drops.send(draft_id)
    except ShopProblem as problem:
        return _page(request, drops.read(draft_id), web, problem)
    return go_to(request, f"/drop/sent?order={quote(number, safe='')}", wording_drop.sent(number))


def _typed(draft: Draft, form: FormData) -> Draft:
    def read(name: str) -> str:
        return str(form.get(name) or "").strip()[:LONGEST_FIELD]

    items = tuple(i.typed(**{f: read(f"{i.key}-{f}") for f in ITEM_FIELDS}) for i in draft.items)
    return Draft(draft.id, {name: read(name) for name in ORDER_FIELDS}, items)


@router.get("/drop/{draft_id}/{key}.png")
def show_picture(web: WebDep, draft_id: str, key: str) -> Response:
    """The check's picture of one artwork, its places marked."""
    picture = web.folders.drops.picture(draft_id, key)
    if not picture:
        raise NotFound("no-picture", wording_drop.NO_PICTURE, wording_drop.OPEN_FILE)
    return Response(picture, media_type="image/png")
