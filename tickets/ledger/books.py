"""What every act of the ledger is handed: the open transaction, settings, route, the time, and chance."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session

from config.settings import Settings
from tickets.codes import Chooser
from tickets.models import Event
from tickets.route import Route

EVENT_VERSION = 1
LONGEST_WORDS = 1000  # of a reason or a note, in characters
LONGEST_KEY = 200


@dataclass(frozen=True)
class About:
    """Which order, item and ticket an event is about: their row numbers."""

    order_id: int | None = None
    item_id: int | None = None
    ticket_id: int | None = None


def plain_words(text: str) -> str:
    """What somebody typed, as a database can keep it: controls and halves of characters are replaced."""
    kept = "".join("\ufffd" if unicodedata.category(c) in ("Cc", "Cs") else c for c in text.strip())
    return kept[:LONGEST_WORDS]


@dataclass(frozen=True)
class Books:
    """The books, open for one act; everything in it happens or nothing does."""

    session: Session
    settings: Settings
    route: Route
    now: datetime
    random: Chooser

    def note(self, kind: str, about: About, by: str = "", **payload: Any) -> None:
        """Write the event beside the change that it tells of."""
        self.session.add(
            Event(
                at=self.now,
                kind=kind,
                order_id=about.order_id,
                item_id=about.item_id,
                ticket_id=about.ticket_id,
                by=by,
                payload={"v": EVENT_VERSION, **payload},
            )
        )
