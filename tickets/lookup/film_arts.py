"""Which artwork the pieces of a ticket are made of, and jobs with the outlines of their ink."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sqlmodel import Session, col, select

from tickets.film.model import Job, Ring
from tickets.film.outlined import Art, Outlines, boxes_only, outlined_shape
from tickets.film.placing import ArtKey
from tickets.models import Item, Ticket
from tickets.store import Store


def outlined_jobs(store: Store, jobs: Sequence[Job], outlines: Outlines) -> list[Job]:
    """The jobs with the outlines of their artworks; nothing is read meanwhile, for making some takes time."""
    if outlines is boxes_only or not jobs:
        return list(jobs)
    with store.reading() as session:
        arts = _arts_of(session, [job.code for job in jobs])
    known = outlines([art.key for art in arts.values()])
    return [_outlined(job, arts[job.code], known) if job.code in arts else job for job in jobs]


def _outlined(job: Job, art: Art, known: Mapping[ArtKey, tuple[Ring, ...]]) -> Job:
    size_mm = (job.shape.width_mm, job.shape.height_mm)
    return replace(job, shape=outlined_shape(art, size_mm, known.get(art.key, ())))


def _arts_of(session: Session, codes: Sequence[str]) -> dict[str, Art]:
    """The artwork of each of some tickets, by code; of those alone whose print has a size."""
    asked = select(Ticket.code, Item).join(Item, col(Item.id) == Ticket.item_id)
    found = session.exec(asked.where(col(Ticket.code).in_(codes))).all()
    return {
        code: Art(
            ArtKey(
                item.artwork_sha256,
                item.page or 1,
                round(item.print_width_mm, 2),
                round(item.print_height_mm, 2),
            ),
            item.mirrored,
        )
        for code, item in found
        if item.print_width_mm and item.print_height_mm
    }
