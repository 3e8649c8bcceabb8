"""Sizes of what waits that would save film, and what was answered on them before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import ColumnElement, and_
from sqlmodel import Session, col, func, select

from config.settings import Settings
from tickets.film.advice import Advice, advise_all
from tickets.film.model import Job
from tickets.film.rules import rules_of
from tickets.film.sizing import advice_of_size
from tickets.lookup.film_jobs import film_jobs
from tickets.lookup.items import ItemPage
from tickets.models import Item, Ticket
from tickets.models_film import SizeAnswer
from tickets.store import Store
from tickets.wording_sizes import no_advice


@dataclass(frozen=True, slots=True)
class SizeAdvice:
    """One advice for a ticket's `pieces`; `is_agreed`: the customer said yes to it for an earlier order."""

    advice: Advice
    pieces: int
    is_agreed: bool = False


def advise_jobs(session: Session, settings: Settings, jobs: Sequence[Job]) -> list[SizeAdvice]:
    """What is advised of these jobs, the largest saving first; what was answered with no is left out."""
    found = advise_all(jobs, rules_of(settings.film), settings.film.laying.advise_percent / 100)
    pieces = {job.code: job.quantity for job in jobs}
    answers = _answers(session, [a.code for a in found])
    return [
        SizeAdvice(a, pieces[a.code], answers.get(a.code, False))
        for a in found
        if answers.get(a.code) is not False
    ]


@dataclass(frozen=True, slots=True)
class AgreedSize:
    """A ticket that is printed smaller than it was ordered first, as its customer said yes to."""

    code: str
    width_mm: float
    height_mm: float


def agreed_sizes(session: Session, jobs: Sequence[Job]) -> list[AgreedSize]:
    """Those of these jobs that are printed at a smaller size that was agreed to, by code."""
    asked = (
        select(Ticket.code, SizeAnswer.width_mm, SizeAnswer.height_mm)
        .join(Item, col(Item.id) == Ticket.item_id)
        .join(SizeAnswer, _is_of_artwork() & _alike(SizeAnswer.width_mm, Item.ordered_width_mm, 0.06))
        .where(col(Ticket.code).in_([job.code for job in jobs]), col(SizeAnswer.is_yes))
        .order_by(col(Ticket.code))
        .distinct()
    )
    return [AgreedSize(*found) for found in session.exec(asked)]


def _is_of_artwork() -> ColumnElement[bool]:
    """Whether an answer was about the artwork of the item beside it, and about that page of it."""
    return and_(
        col(SizeAnswer.artwork_sha256) == Item.artwork_sha256,
        col(SizeAnswer.page) == func.coalesce(Item.page, 0),
    )


def _alike(one: float | None, other: float | None, within_mm: float) -> ColumnElement[bool]:
    """Whether two columns of lengths differ by less."""
    return func.abs(col(one) - col(other)) < within_mm


def advice_for(store: Store, settings: Settings, code: str) -> Advice:
    """What is advised of one ticket that waits. Raises ShopProblem `no-size-advice`."""
    jobs = [job for job in film_jobs(store, settings) if job.code == code]
    with store.reading() as session:
        found = advise_jobs(session, settings, jobs)
    if not found:
        raise no_advice(code)
    return found[0].advice


def advise_questions(
    store: Store, settings: Settings, questions: Sequence[ItemPage]
) -> dict[str, tuple[Advice, str]]:
    """What is advised of items that wait for an answer, and in words, by ticket; not what was answered no."""
    with store.reading() as session:
        answers = _answers(session, [question.code for question in questions])
    found = {}
    for question in questions:
        told = advice_of_size(settings, question.print_mm, question.quantity) if question.print_mm else None
        if told is not None and answers.get(question.code) is not False:
            found[question.code] = (replace(told[0], code=question.code), told[1])
    return found


def _answers(session: Session, codes: Sequence[str]) -> dict[str, bool]:
    """What was answered of the artworks of some tickets at their size."""
    asked = (
        select(Ticket.code, SizeAnswer.is_yes)
        .join(Item, col(Item.id) == Ticket.item_id)
        .join(SizeAnswer, _is_of_artwork() & _alike(SizeAnswer.print_width_mm, Item.print_width_mm, 0.006))
        .where(col(Ticket.code).in_(codes))
    )
    return dict(session.exec(asked).all())
