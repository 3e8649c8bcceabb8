"""Hands the forecast to whoever answers: asked once, and only when an order that was found is in work."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from config.settings import Settings
from tickets.lookup.answering import Foresee
from tickets.store import Store

if TYPE_CHECKING:
    from tickets.lookup.fresh import Foreseen


def foresight(store: Store, settings: Settings, now: datetime, patience: float | None = None) -> Foresee:
    """The forecast of a shop at this moment, for `where_is` and its like.

    patience: the seconds after which an older one is told instead; None: it is waited for.
    """
    known: list[Foreseen] = []

    def foreseen() -> Foreseen:
        from tickets.lookup.fresh import foresee  # numpy comes with it

        if not known:
            known.append(foresee(store, settings, now, patience))
        return known[0]

    return foreseen
