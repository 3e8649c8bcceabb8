"""Stock in the books: notes that people write, and what a scan at the first station took, once each."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal

from sqlalchemy import update
from sqlmodel import col, select

from tickets.cost.inking import piece_of
from tickets.cost.money import money_text, to_minor
from tickets.cost.stock_answers import amount_text
from tickets.cost.stocktaking import NoteKind, consumables, ink_m2, unit_of
from tickets.cost.stretch import Stretch, stretch_alone, stretch_in_rows, stretch_of_layout
from tickets.film.model import Layout
from tickets.ledger.books import Books
from tickets.ledger.opening import OpenOrder, row_id
from tickets.models import Item, Scan, Ticket
from tickets.models_stock import FilmUse, StockNote
from tickets.pieces import Step
from tickets.places import CANCELLED
from tickets.wording_cost import consumable_not_kept, nothing_is_open, stock_noted


def write_note(
    books: Books, kind: NoteKind, consumable: str, amount: float, price: Decimal | None, by: str
) -> str:
    """Write down what was bought, counted, opened or used up.

    Raises ShopProblem `consumable-not-kept`, `nothing-is-open`.
    """
    kept = consumables(books.settings.film.kinds)
    if consumable not in kept:
        raise consumable_not_kept(consumable, kept)
    if kind is NoteKind.USED_UP:
        amount = _open_amount(books, consumable)
    currency = books.settings.money.currency
    note = StockNote(at=books.now, kind=kind.value, consumable=consumable, amount=amount, by=by)
    if price is not None:
        note.price_minor, note.currency = to_minor(price, currency), currency
    books.session.add(note)
    said_price = "" if note.price_minor is None else money_text(note.price_minor, currency)
    return stock_noted(kind.value, consumable, amount_text(amount, unit_of(consumable)), said_price)


def book_film_use(books: Books, scan: Scan, orders: Iterable[OpenOrder], steps: Sequence[Step]) -> None:
    """What a scan took off the roll: pieces that left the first station, spoiled ones too."""
    first = books.route.stations[0]
    printed: Counter[tuple[str, str]] = Counter()
    for step in steps:
        if step.source.place == first and step.to.place not in (first, CANCELLED):
            printed[step.source.run, step.ticket] += step.count
    if not printed:
        return
    items = {code: opened.item_of(code) for opened in orders for code in opened.tickets}
    by_film: dict[str, list[Stretch]] = defaultdict(list)
    for run in dict.fromkeys(run for run, _ in printed):
        own = {code: (count, items[code]) for (r, code), count in printed.items() if r == run}
        for film, stretch in _stretches(books, run, own):
            by_film[film].append(stretch)
    for film, stretches in by_film.items():
        books.session.add(_film_use(books, scan, film, stretches))


def book_layout_use(books: Books, scan: Scan, layout: Layout) -> None:
    """What a run whose layout is known took off the roll, by the scan that printed it: all that lies on it.

    Spares, and pieces that were cancelled meanwhile, are printed with the rest.
    """
    named = select(Ticket.code, Item).join(Item).where(col(Ticket.code).in_(list(layout.counts())))
    pieces = {code: piece_of(item, books.settings.cost) for code, item in books.session.exec(named)}
    stretch = stretch_of_layout(layout, pieces, books.settings.cost)
    books.session.add(_film_use(books, scan, layout.film, [stretch]))


def give_film_back(books: Books, undone: Scan) -> None:
    """An undone scan took nothing after all."""
    of_scan = update(FilmUse).where(col(FilmUse.scan_id) == row_id(undone.id))
    books.session.execute(of_scan.values(given_back=True))


def _open_amount(books: Books, consumable: str) -> float:
    """What the roll or bottle held that was opened last and is not used up."""
    kinds = (NoteKind.OPENED.value, NoteKind.USED_UP.value)
    asked = select(StockNote).where(StockNote.consumable == consumable, col(StockNote.kind).in_(kinds))
    last = books.session.exec(asked.order_by(col(StockNote.id).desc()).limit(1)).first()
    if last is None or last.kind != NoteKind.OPENED.value:
        raise nothing_is_open(consumable)
    return last.amount


def _stretches(books: Books, run: str, pieces: dict[str, tuple[int, Item]]) -> Iterable[tuple[str, Stretch]]:
    cost, film = books.settings.cost, books.settings.film
    jobs = {code: (count, piece_of(item, cost)) for code, (count, item) in pieces.items()}
    films = {code: item.film or film.default_kind for code, (_, item) in pieces.items()}
    if run:
        yield next(iter(films.values())), stretch_in_rows(jobs, film.printable_mm, cost)
        return
    for code, (count, piece) in jobs.items():
        yield films[code], stretch_alone(code, count, piece, film.printable_mm, cost)


def _film_use(books: Books, scan: Scan, film: str, stretches: Sequence[Stretch]) -> FilmUse:
    cost = books.settings.cost
    inks = [ink_m2(job.ink, job.pieces) for stretch in stretches for job in stretch.jobs]
    cyan, magenta, yellow, black = (sum(cmyk[at] for cmyk, _, _ in inks) for at in range(4))
    lead_mm = sum(s.lead_mm for s in stretches)
    return FilmUse(
        scan_id=row_id(scan.id),
        at=books.now,
        film=film,
        film_m=sum(s.length_mm for s in stretches) / 1000,
        runs=lead_mm / cost.lead_mm if cost.lead_mm else 0.0,
        hours=sum(s.film_mm for s in stretches) / 1000 / cost.metres_per_hour,
        cyan_m2=cyan,
        magenta_m2=magenta,
        yellow_m2=yellow,
        black_m2=black,
        white_m2=sum(white for _, white, _ in inks),
        inked_m2=sum(inked for _, _, inked in inks),
    )
