"""From futures to moments: when each order is likely ready, by when at the latest, and what limits it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import numpy as np

from tickets.forecast.expected import Expected
from tickets.forecast.futures import LATEST, LIKELY, Outlook

_ROUND_SECONDS = 300  # nobody can tell it better: times are rounded up to five minutes


def expected_orders(outlook: Outlook, moment: Callable[[float], datetime | None]) -> dict[str, Expected]:
    """What is expected of each order; `moment` tells which time a working minute from now is.

    An order that is ready later than the calendar reaches is left out.
    """
    orders = outlook.orders()
    if not orders:
        return {}
    ready = np.stack([outlook.ready(rows) for rows in orders.values()])
    times = np.quantile(ready, (LIKELY, LATEST), axis=1).T
    found = {}
    for (order, rows), minutes in zip(orders.items(), times, strict=True):
        likely, latest = (moment(float(m)) for m in minutes)
        if likely and latest:
            found[order] = Expected(rounded(likely), rounded(latest), outlook.limited_by(rows))
    return found


def rounded(at: datetime) -> datetime:
    """A time as it is told: rounded up to five minutes."""
    return datetime.fromtimestamp(-(-at.timestamp() // _ROUND_SECONDS) * _ROUND_SECONDS, UTC)
