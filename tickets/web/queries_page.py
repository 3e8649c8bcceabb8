"""The questions that customers have not answered: art, marked places, the message, and how each can end."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from tickets.lookup.items import open_questions
from tickets.lookup.line import line_answer
from tickets.web.door import WebDep
from tickets.web.showing import person_of, show

router = APIRouter()


@router.get("/queries")
def show_queries(request: Request, web: WebDep) -> Response:
    """Every open question, the soonest due first."""
    questions = open_questions(web.store)
    since = {(a.order, a.item): a.since for a in line_answer(web.store, web.settings, web.clock()).asked}
    messages = {q.order: web.folders.message_words(q.order) for q in questions}
    return show(
        request,
        "queries.html",
        questions=questions,
        since=since,
        messages=messages,
        person=person_of(request),
    )
