"""Papers that are due at the printer: one after the other, tried again with longer and longer waits.

A paper is noted as printed when the print command has ended well, so a death in between prints it once more:
rather two papers with one code, which count once when they are scanned, than pieces without a paper.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from intake.batches import make_again
from intake.naming import in_log, safe_name
from intake.print_command import Printer, PrinterTrouble
from intake.shop import Shop
from tickets.lookup.lists import PRINTER
from tickets.lookup.printing import PaperRow, PrintQueue, printable
from tickets.wording_papers import printer_stands

_log = logging.getLogger(__name__)
FIRST_WAIT_SECONDS = 5.0
LONGEST_WAIT_SECONDS = 300.0


def wait_after(failures: int) -> float:
    """Seconds to wait after so many failures in a row: 5, 10, 20 … 300."""
    return float(min(LONGEST_WAIT_SECONDS, FIRST_WAIT_SECONDS * 2 ** max(0, min(failures, 20) - 1)))


@dataclass
class PaperPrinter:
    """Prints papers by itself; `says` is why some wait; "": none does; None: not known yet."""

    shop: Shop
    printer: Printer
    holder: str = ""
    monotonic: Callable[[], float] = time.monotonic
    is_stopping: Callable[[], bool] = lambda: False
    says: str | None = None
    _queue: PrintQueue = field(default_factory=PrintQueue)
    _failures: int = 0  # in a row, of whatever paper
    _again_at: float = float("-inf")
    _tries: dict[int, int] = field(default_factory=dict)  # by ticket row
    _paper_again_at: dict[int, float] = field(default_factory=dict)

    def print_due(self) -> int:
        """Print what is due and may be tried now; how many went well. Without a print command: nothing."""
        if not self.shop.settings.papers.print_command or self.monotonic() < self._again_at:
            return 0
        self._queue.read_on(self.shop.store)
        if not self._queue.waiting:
            self._tell("")
            return 0
        return self._print_all(printable(self.shop.store, self._queue.waiting))

    def _print_all(self, rows: list[PaperRow]) -> int:
        """One that fails again and again keeps no other waiting: those tried least come first."""
        printed = 0
        for row in sorted(rows, key=lambda row: (self._tries.get(row.ticket_id, 0), row.ticket_id)):
            if self.is_stopping():
                return printed
            if self.monotonic() < self._paper_again_at.get(row.ticket_id, float("-inf")):
                continue
            try:
                self._print(row)
            except PrinterTrouble as trouble:
                self._put_off(row, len(rows) - printed, str(trouble))
                return printed
            printed += 1
        if not any(row.ticket_id in self._tries for row in rows):
            self._tell("")
        return printed

    def _print(self, row: PaperRow) -> None:
        # As known before the file is read: what is asked for later is printed anew.
        asked = self._queue.waiting[row.ticket_id]
        path = self.shop.papers / safe_name(row.order) / f"{row.code}.pdf"
        if not path.is_file():
            make_again(self.shop, row.code)
        self.printer.print_paper(path, row.code)
        self.shop.ledger.note_printed({row.code: asked})
        self._failures = 0
        self._tries.pop(row.ticket_id, None)
        self._paper_again_at.pop(row.ticket_id, None)
        self._queue.waiting.pop(row.ticket_id, None)
        _log.info("event=paper-printed order=%s ticket=%s", in_log(row.order), row.code)

    def _put_off(self, row: PaperRow, waiting: int, why: str) -> None:
        if self.is_stopping():
            return
        self._failures += 1
        tries = self._tries[row.ticket_id] = self._tries.get(row.ticket_id, 0) + 1
        now = self.monotonic()
        self._again_at = now + wait_after(self._failures)
        self._paper_again_at[row.ticket_id] = now + wait_after(tries)
        _log.warning("event=paper-not-printed ticket=%s try=%d why=%s", row.code, tries, in_log(why))
        self._tell(printer_stands(waiting, why))

    def _tell(self, says: str) -> None:
        """In the books, where the pages and the doctor see it; only when it changes."""
        if says != self.says:
            self.says = says
            self.shop.ledger.beat(PRINTER, says, self.holder)
