"""The sentences that customers and the floor read on papers, in reports, in messages and about codes."""

from __future__ import annotations

from collections.abc import Sequence

# Codes

SCAN_ONE = "Scan one at a time."
NO_CODE_THERE = "There is no code in what was typed."
TYPE_CODE = "Scan the QR code, or type the large letters beside it as they stand."


def several_codes(codes: Sequence[str]) -> str:
    """More than one code came in at once."""
    return f"Several codes came in at once: {', '.join(codes)}."


def code_has_strange(typed: str, strange: Sequence[str]) -> str:
    """The text has characters that no code has."""
    shown = " ".join(strange[:5])
    return f"“{typed}” is no code: {shown} {'is' if len(strange) == 1 else 'are'} never part of one."


def code_length(typed: str, length: int, wanted: int) -> str:
    """The text is too short or too long."""
    short = "short" if length < wanted else "long"
    which = "a ticket code has" if wanted == 7 else "a run code has at least"
    return f"“{typed}” is too {short} for a code: it has {length} characters, {which} {wanted}."


def code_fails_check(code: str) -> str:
    """The check character doesn't fit."""
    return f"One character of {code} is wrong, or two are swapped: its check character does not fit."
