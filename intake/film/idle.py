"""While intake has nothing to do: planned runs are laid closer, one after the other, each once."""

from __future__ import annotations

import logging
from collections.abc import Callable

from intake.film.outlines import open_outlines
from intake.logbook import about
from intake.shop import Shop
from tickets.film_finisher import ChildFinisher
from tickets.lookup.film_finish import propose_finish, runs_to_finish
from tickets.problems import ShopProblem

_log = logging.getLogger(__name__)


class IdleFinisher:
    """Remembers which runs it has tried as they lie, so that none is tried twice; `stop` ends it at once."""

    def __init__(self, shop: Shop, stop: Callable[[], bool]) -> None:
        self._shop, self._stop = shop, stop
        self._tried: set[tuple[str, int]] = set()

    def finish_next(self) -> bool:
        """Try the oldest run that was not tried yet, for the shop's `film.laying.finish_seconds`.

        False: there is none, or the shop wants none tried. What fails leaves the run as it was.
        """
        seconds = self._shop.settings.film.laying.finish_seconds
        if not seconds or self._stop():
            return False
        runs = runs_to_finish(self._shop.store)
        self._tried &= set(runs)
        waiting = [run for run in runs if run not in self._tried]
        if not waiting:
            return False
        self._tried.add(waiting[0])
        code = waiting[0][0]
        with about(run=code):
            try:
                self._finish(code, seconds)
            except ShopProblem as problem:  # laid anew meanwhile, a sheet, too many pieces: others may do
                _log.info("event=run-not-finished slug=%s", problem.slug)
            except Exception:
                _log.exception("event=run-finish-failed")
        return True

    def _finish(self, code: str, seconds: int) -> None:
        shop = self._shop
        with open_outlines(shop) as outlines:
            found = propose_finish(
                shop.store,
                shop.settings,
                code,
                ChildFinisher(self._stop),
                seconds=seconds,
                outlines=outlines,
            )
        if found.keep is not None:
            shop.ledger.keep_film_plan(found.keep)
            _log.info("event=run-finished from_mm=%.1f to_mm=%.1f", found.before_mm, found.length_mm)
