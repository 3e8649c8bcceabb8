"""A scan that was mangled into another right code: one in some hundreds, told by the books not knowing it."""

from __future__ import annotations

from dataclasses import replace

from tickets.layouts import read_by_layout
from tickets.ledger import Ledger
from tickets.problems import NotFound
from tickets.requests import ScanAnswer, ScanRequest


def scan_as_meant(ledger: Ledger, request: ScanRequest, typed: str) -> ScanAnswer:
    """Book a scan; `typed` as it came: read anew where the books know no such code. Raises ShopProblem."""
    try:
        return ledger.scan(request)
    except NotFound:
        reading = read_by_layout(typed)
        if reading is None or reading.code == request.code:
            raise
        try:
            return ledger.scan(replace(request, code=reading.code))
        except NotFound:
            pass  # neither is known: what was read first is what is told
        raise
