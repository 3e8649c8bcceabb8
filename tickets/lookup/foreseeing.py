"""Hands the forecast to whoever answers: asked once, and only when an order that was found is in work."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from config.settings import Settings
from tickets.lookup.answering import Foresee
from tickets.store import Store

if TYPE_CHECKING:
    from tickets.forecast.answering import Expected


def foresight(store: Store, settings: Settings, now: datetime) -> Foresee:
    """The forecast of a shop at this moment, for `where_is` and its like."""

    def expected() -> Mapping[str, Expected]:
        from tickets.lookup.ready import foresee  # numpy comes with it

        return foresee(store, settings, now).expected

    return expected
