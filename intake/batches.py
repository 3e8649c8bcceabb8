"""Several tickets' papers at once: which are meant, and all of them as one PDF or sent to the printer."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path

from intake.durable import write_whole
from intake.naming import safe_name
from intake.papers import write_paper
from intake.print_command import CommandPrinter, Printer, PrinterTrouble
from intake.shop import Shop
from tickets.lookup import written_papers
from tickets.lookup.naming import name_thing
from tickets.lookup.printing import PaperRow, papers_of, recent_papers, unprinted_papers
from tickets.problems import NotFound, SetupProblem
from tickets.wording_papers import NO_PRINTER, paper_lost


def chosen_papers(
    shop: Shop, names: Sequence[str], *, unprinted: bool = False, today: bool = False
) -> list[PaperRow]:
    """The papers of these tickets and orders; without any, those not printed yet, or of today.

    Raises NotFound `no-paper-yet` for a name without a paper, `order-not-known`; BadInput `code-not-read`.
    """
    since = start_of_today(shop) if today else None
    if not names:
        is_all = today and not unprinted
        return recent_papers(shop.store, since) if since and is_all else unprinted_papers(shop.store, since)
    chosen: dict[str, PaperRow] = {}
    for name in names:
        found = papers_of(shop.store, [name_thing(shop.store, name, orders=True)])
        if not found:
            raise _no_paper(name)
        chosen |= {row.code: row for row in found}
    rows = list(chosen.values())
    rows = [row for row in rows if row.printed_at is None] if unprinted else rows
    return [row for row in rows if row.issued_at >= since] if since else rows


def start_of_today(shop: Shop) -> datetime:
    """Midnight by the shop's own clock."""
    zone = shop.settings.shop.zone
    return datetime.combine(shop.clock().astimezone(zone).date(), time.min, zone)


def joined_papers(shop: Shop, rows: Sequence[PaperRow]) -> bytes:
    """All these papers as one PDF, in their order. Raises NotFound `no-paper-yet`, OSError."""
    from tickets.paper.joining import join_papers

    return join_papers(_paper(shop, row) for row in rows)


def save_papers(shop: Shop, rows: Sequence[PaperRow], path: Path, by: str) -> None:
    """Write them as one PDF; they count as printed. Raises as `joined_papers`."""
    write_whole(path.absolute(), joined_papers(shop, rows))
    note_printed(shop, rows, by)


def print_papers(shop: Shop, rows: Sequence[PaperRow], by: str, printer: Printer | None = None) -> None:
    """Send them through the print command as one PDF, now.

    Raises SetupProblem `no-printer` when none is set, `printer-trouble` when it does not print.
    """
    if not shop.settings.papers.print_command:
        raise SetupProblem(
            "no-printer", NO_PRINTER, "Name a file with --out, or set papers.print_command in shop.toml."
        )
    printer = printer or CommandPrinter.of(shop.settings.papers)
    with tempfile.TemporaryDirectory(prefix="filmdocket-") as folder:
        code = rows[0].code if len(rows) == 1 else "tickets"
        path = Path(folder) / f"{code}.pdf"
        path.write_bytes(joined_papers(shop, rows))
        try:
            printer.print_paper(path, code)
        except PrinterTrouble as trouble:
            raise SetupProblem(
                "printer-trouble",
                f"The tickets are not printed: {trouble}",
                "Look after the printer and do it again; filmdocket doctor says what waits.",
            ) from trouble
    note_printed(shop, rows, by)


def note_printed(shop: Shop, rows: Sequence[PaperRow], by: str) -> None:
    """What was asked for when these rows were read is on paper."""
    shop.ledger.note_printed({row.code: row.asked for row in rows}, by)


def _paper(shop: Shop, row: PaperRow) -> bytes:
    path = shop.papers / safe_name(row.order) / f"{row.code}.pdf"
    if not path.is_file():
        make_again(shop, row.code)
    return path.read_bytes()


def make_again(shop: Shop, code: str) -> None:
    """Make a paper that was thrown away from the books. Raises NotFound `no-paper-yet` for a closed order."""
    for due in written_papers(shop.store):
        if due.code == code:
            write_paper(shop, due)
            return
    says = paper_lost(code)
    raise NotFound("no-paper-yet", f"{says[0].upper()}{says[1:]}", "Bring it back from a backup.")


def _no_paper(name: str) -> NotFound:
    return NotFound(
        "no-paper-yet",
        f"There is no paper of {name} yet.",
        "It is made when its artwork is accepted and intake runs (filmdocket watch).",
    )
