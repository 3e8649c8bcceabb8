"""Film runs as the books keep them: one with all its pieces, or the list of those that matter now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, func, select

from tickets.film.model import Layout, RunPiece, StoredRun, Way
from tickets.lookup.answers import utc_text
from tickets.models import Item, Lot, Order, Ticket
from tickets.models_film import DROPPED, PLANNED, PRINTED, RELEASED, FilmPiece, FilmRun, FilmSheet
from tickets.store import Store
from tickets.wording_film import run_not_known

MOST_RUNS = 200  # in a list of all


@dataclass(frozen=True, slots=True)
class FilmRunAnswer:
    """A run, and where its pieces wait: place → so many; empty once they are cut, or gone."""

    run: StoredRun
    waiting: dict[str, int]

    def as_json(self, *, pieces: bool) -> dict[str, Any]:
        """The keys of `film runs --json`; with `pieces` those of `film show --json`."""
        run = self.run
        is_released = run.released_at is not None
        told: dict[str, Any] = {
            "run": run.code,
            "standing": run.standing,
            "film": run.film,
            "width_mm": run.width_mm,
            "length_mm": round(run.length_mm, 2),
            "sheet": run.is_sheet,
            "way": str(run.way),
            "straight_cut": run.is_straight_cut,
            "inked_share": round(run.inked_share, 4),
            "cutting_minutes": round(run.cutting_minutes, 1),
            "pinned": run.is_pinned,
            "planned_at": utc_text(run.planned_at),
            "released": {"at": utc_text(run.released_at), "by": run.released_by} if is_released else None,
            "waiting": self.waiting,
            "tickets": [
                {"code": code, "order": of[0].order, "pieces": sum(not p.spare for p in of), **_extra(of)}
                for code, of in pieces_by_ticket(run).items()
            ],
        }
        return told | ({"pieces": [_piece_json(p) for p in run.pieces]} if pieces else {})


def pieces_by_ticket(run: StoredRun) -> dict[str, list[RunPiece]]:
    """The pieces of each ticket on a run, in the order in which they come off the film."""
    found: dict[str, list[RunPiece]] = defaultdict(list)
    for piece in run.pieces:
        found[piece.code].append(piece)
    return dict(found)


def stored_run(store: Store, code: str) -> StoredRun:
    """A run by its code. Raises NotFound `run-not-known`."""
    return film_run(store, code).run


def film_run(store: Store, code: str) -> FilmRunAnswer:
    """A run by its code, with where its pieces are. Raises NotFound `run-not-known`."""
    with store.reading() as session:
        rows = list(session.exec(select(FilmRun).where(FilmRun.code == code)))
        if not rows:
            raise run_not_known(code)
        return _answers(session, rows)[0]


def film_runs(store: Store, *, everything: bool = False) -> list[FilmRunAnswer]:
    """The runs whose pieces wait as one film, oldest first; or the newest 200 of all that ever were."""
    with store.reading() as session:
        asked = select(FilmRun).order_by(col(FilmRun.id).desc())
        if everything:
            asked = asked.limit(MOST_RUNS)
        else:
            on_film = select(Lot.run).where(Lot.run != "")
            asked = asked.where(
                col(FilmRun.standing).in_([PLANNED, RELEASED])
                | ((col(FilmRun.standing) == PRINTED) & col(FilmRun.code).in_(on_film))
            )
        return _answers(session, list(reversed(session.exec(asked).all())))


def layout_of_run(session: Session, code: str) -> Layout | None:
    """What lies on a run, and how; None where the books have no layout of it."""
    rows = session.exec(select(FilmRun).where(FilmRun.code == code, FilmRun.standing != DROPPED)).all()
    return read_runs(session, rows)[0].layout() if rows else None


def runs_standing(session: Session, standings: Collection[str]) -> list[StoredRun]:
    """All runs of some standings, oldest first."""
    asked = select(FilmRun).where(col(FilmRun.standing).in_(standings)).order_by(col(FilmRun.id))
    return read_runs(session, session.exec(asked).all())


def read_runs(session: Session, rows: Sequence[FilmRun]) -> list[StoredRun]:
    """Some runs with their pieces, as plain values, in the order of the rows."""
    asked = (
        select(FilmPiece, Ticket.code, Order.number, Item)
        .join(Ticket, col(Ticket.id) == FilmPiece.ticket_id)
        .join(Item, col(Item.id) == Ticket.item_id)
        .join(Order, col(Order.id) == Item.order_id)
        .where(col(FilmPiece.run_id).in_([row.id for row in rows]))
        .order_by(col(FilmPiece.run_id), col(FilmPiece.number))
    )
    pieces: dict[int, list[RunPiece]] = defaultdict(list)
    for piece, code, order, item in session.exec(asked):
        pieces[piece.run_id].append(_piece(piece, code, order, item))
    ids = [row.id for row in rows]
    sheets = set(session.exec(select(FilmSheet.run_id).where(col(FilmSheet.run_id).in_(ids))))
    return [_run(row, tuple(pieces[row.id or 0]), row.id in sheets) for row in rows]


def _answers(session: Session, rows: Sequence[FilmRun]) -> list[FilmRunAnswer]:
    codes = [row.code for row in rows if row.standing != DROPPED]
    asked = select(Lot.run, Lot.place, func.sum(Lot.count)).where(col(Lot.run).in_(codes))
    waiting: dict[str, dict[str, int]] = defaultdict(dict)
    for run, place, count in session.exec(asked.group_by(Lot.run, Lot.place)):
        waiting[run][place] = int(count)
    return [FilmRunAnswer(run, waiting[run.code]) for run in read_runs(session, rows)]


def _run(row: FilmRun, pieces: tuple[RunPiece, ...], is_sheet: bool) -> StoredRun:
    return StoredRun(
        code=row.code,
        film=row.film,
        width_mm=row.width_mm,
        length_mm=row.length_mm,
        pieces=pieces,
        standing=row.standing,
        way=Way(row.way),
        is_straight_cut=row.is_straight_cut,
        inked_share=row.inked_share,
        cutting_minutes=row.cutting_minutes,
        is_pinned=row.pinned,
        revision=row.revision,
        planned_at=row.planned_at,
        released_at=row.released_at,
        released_by=row.released_by,
        is_sheet=is_sheet,
    )


def _piece(piece: FilmPiece, code: str, order: str, item: Item) -> RunPiece:
    return RunPiece(
        number=piece.number,
        code=code,
        order=order,
        item=item.number,
        artwork=item.artwork,
        artwork_sha256=item.artwork_sha256,
        x_mm=piece.x_mm,
        y_mm=piece.y_mm,
        width_mm=piece.width_mm,
        height_mm=piece.height_mm,
        turned=piece.turned,
        spare=piece.spare and piece.used_in is None,
        mirrored=item.mirrored,
        page=item.page,
        lost=piece.lost_in is not None,
    )


def _extra(pieces: Sequence[RunPiece]) -> dict[str, int]:
    return {
        "spares": sum(p.spare and not p.lost for p in pieces),
        "lost": sum(p.lost for p in pieces),
    }


def _piece_json(piece: RunPiece) -> dict[str, Any]:
    return {
        "number": piece.number,
        "code": piece.code,
        "x_mm": round(piece.x_mm, 2),
        "y_mm": round(piece.y_mm, 2),
        "width_mm": round(piece.width_mm, 2),
        "height_mm": round(piece.height_mm, 2),
        "turned": piece.turned,
        "spare": piece.spare,
        "lost": piece.lost,
    }
