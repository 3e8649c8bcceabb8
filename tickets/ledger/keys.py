"""Idempotency keys: the same key with the same question counts once and gets the answer of then."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta
from typing import Any

from sqlalchemy import update
from sqlmodel import col, delete, select

from tickets.ledger.books import LONGEST_KEY, Books
from tickets.ledger.inserting import insert_unless_there
from tickets.models import ScanKey
from tickets.requests import RunSpoiled, ScanAnswer
from tickets.wording_floor import key_too_long, key_used

KEYS_KEPT = timedelta(days=90)  # a phone that lay in a drawer for a season is asked about by hand
FORGOTTEN_AT_ONCE = 500  # scanners wait for this transaction


def claim_key(books: Books, key: str, question: dict[str, Any]) -> ScanAnswer | None:
    """Make a key this transaction's own, or give the answer that a scan under it got before.

    The key is claimed before anything is looked at: of two scanners that send it at once, the second waits
    here for the first. Raises ShopProblem `key-used-for-another`, `key-too-long`.
    """
    before = claim(books, key, question)
    return None if before is None else ScanAnswer.given_before(before)


def claim(books: Books, key: str, question: dict[str, Any]) -> dict[str, Any] | None:
    """The same for any act; the answer as it was kept. Raises ShopProblem as `claim_key`."""
    if not key:
        return None
    if len(key) > LONGEST_KEY:
        raise key_too_long(LONGEST_KEY)
    asked = hashlib.sha256(json.dumps(question, sort_keys=True).encode()).hexdigest()
    if insert_unless_there(books.session, ScanKey(key=key, asked_sha256=asked, at=books.now), ["key"]):
        return None
    row = books.session.exec(select(ScanKey).where(ScanKey.key == key)).one()
    if row.asked_sha256 != asked:
        raise key_used(key)
    return dict(row.answer)


def keep_answer(books: Books, key: str, answer: ScanAnswer | RunSpoiled) -> None:
    """Keep the answer with the key that this transaction claimed."""
    if key:
        mine = update(ScanKey).where(col(ScanKey.key) == key).values(answer=answer.as_json())
        books.session.execute(mine, execution_options={"synchronize_session": False})


def forget_old_keys(books: Books) -> int:
    """Let go of keys that no phone will send again; how many, at most `FORGOTTEN_AT_ONCE` an act."""
    old = select(ScanKey.key).where(col(ScanKey.at) < books.now - KEYS_KEPT).limit(FORGOTTEN_AT_ONCE)
    keys = books.session.exec(old).all()
    if keys:
        books.session.exec(delete(ScanKey).where(col(ScanKey.key).in_(keys)))
    return len(keys)
