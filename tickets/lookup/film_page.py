"""What the film page shows: the runs with their maps, and what waits for film outside of any run."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from sqlmodel import col, select

from config.settings import Settings
from tickets.film.lots import sort_jobs
from tickets.film.model import Job
from tickets.lookup.film_jobs import film_jobs
from tickets.lookup.film_runs import FilmRunAnswer, film_runs
from tickets.models import Ticket
from tickets.models_film import FilmWish
from tickets.store import Store


@dataclass(frozen=True, slots=True)
class FilmPage:
    """`waiting`: tickets with pieces in no run, how many of each; `out`: those that a person took out."""

    runs: tuple[FilmRunAnswer, ...]
    waiting: tuple[Job, ...]
    out: tuple[str, ...]


def film_page(store: Store, settings: Settings) -> FilmPage:
    """The open runs, oldest first, and what waits beside them, as it is to be printed."""
    runs = film_runs(store)
    laid: Counter[str] = Counter()
    for answer in runs:
        if answer.run.standing == "planned":
            laid.update(p.code for p in answer.run.pieces if not p.spare)
    jobs = sort_jobs(film_jobs(store, settings))
    waiting = [
        replace(job, quantity=job.quantity - laid[job.code]) for job in jobs if job.quantity > laid[job.code]
    ]
    with store.reading() as session:
        asked = select(Ticket.code).join(FilmWish, col(FilmWish.ticket_id) == Ticket.id)
        out = session.exec(asked.where(col(FilmWish.run_id).is_(None)).order_by(col(Ticket.code))).all()
    return FilmPage(tuple(runs), tuple(waiting), tuple(out))
