"""The page of papers: tickets not printed yet, of today or of an order, as one PDF or to the printer."""

from __future__ import annotations

from datetime import datetime, time
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import Response

from tickets import wording_papers as paper_words
from tickets.lookup.finding import order_answer
from tickets.lookup.printing import PaperRow, papers_of, recent_papers, unprinted_papers
from tickets.problems import BadInput, ShopProblem
from tickets.web.door import Web, WebDep, require_desk
from tickets.web.showing import go_to, person_of, show

router = APIRouter(dependencies=[Depends(require_desk)])
Codes = Annotated[list[str], Form(default_factory=list, max_length=500)]


@router.get("/papers")
def show_papers(request: Request, web: WebDep, order: str = "", of: str = "") -> Response:
    """Which papers there are to print: `order`: of that order; `of` "today": issued today; else unprinted."""
    return _page(request, web, order[:300], is_today=of == "today")


@router.post("/papers/file")
def make_file(request: Request, web: WebDep, code: Codes) -> Response:
    """The chosen tickets as one PDF; they count as printed."""
    try:
        rows = _chosen(web, code)
        content = web.folders.joined_papers(rows)
    except ShopProblem as problem:
        return _page(request, web, problem=problem)
    web.ledger.note_printed({row.code: row.asked for row in rows}, person_of(request) or paper_words.AT_DESK)
    shown = {"Content-Disposition": 'inline; filename="tickets.pdf"'}
    return Response(content, media_type="application/pdf", headers=shown)


@router.post("/papers/send")
def send_to_printer(request: Request, web: WebDep, code: Codes) -> Response:
    """Have the shop's printer print the chosen tickets; the daemon does it."""
    try:
        rows = _chosen(web, code)
        if not web.settings.papers.print_command:
            raise BadInput("no-printer", paper_words.NO_PRINTER, paper_words.MAKE_A_FILE)
        web.ledger.ask_print([row.code for row in rows], person_of(request))
    except ShopProblem as problem:
        return _page(request, web, problem=problem)
    return go_to(request, "/papers", paper_words.sent_to_printer(len(rows)))


def _chosen(web: Web, codes: list[str]) -> list[PaperRow]:
    rows = papers_of(web.store, codes)
    if not rows:
        raise BadInput("no-paper-chosen", paper_words.NONE_CHOSEN, paper_words.CHOOSE_SOME)
    return rows


def _page(
    request: Request,
    web: Web,
    order: str = "",
    *,
    is_today: bool = False,
    problem: ShopProblem | None = None,
) -> Response:
    zone = web.settings.shop.zone
    if order:
        rows = papers_of(web.store, [order_answer(web.store, web.settings, order).order])
    elif is_today:
        midnight = datetime.combine(web.clock().astimezone(zone).date(), time.min, zone)
        rows = recent_papers(web.store, midnight)
    else:
        rows = unprinted_papers(web.store)
    return show(
        request,
        "papers.html",
        problem.http_status if problem else 200,
        problem=problem,
        papers=rows,
        order=order,
        is_today=is_today,
        has_printer=bool(web.settings.papers.print_command),
        paper_words=paper_words,
        state=lambda row: paper_words.print_state(row, zone),
        is_chosen=lambda row: bool(order) or row.printed_at is None,
    )
