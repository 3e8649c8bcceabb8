"""What is expected of an order: a likely time, a latest one, and the station that limits it. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Expected:
    """When an order is ready: as likely before as after `likely`, by `latest` in nine futures of ten."""

    likely: datetime
    latest: datetime
    station: str  # that limits it: where it spends most of its time
