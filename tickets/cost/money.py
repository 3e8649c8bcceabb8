"""Money in whole minor units of its currency: rounded, shared out, and written alike on every machine."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from config.currencies import MINOR_DIGITS

_FINER_DIGITS = 2  # a piece may cost less than a minor unit


def to_minor(amount: Decimal, currency: str) -> int:
    """An amount in whole minor units, halves rounded up (away from zero)."""
    return int(amount.scaleb(MINOR_DIGITS[currency]).quantize(Decimal(1), ROUND_HALF_UP))


def from_minor(minor: int, currency: str) -> Decimal:
    """The same as a decimal of the currency's digits: 1234 of GBP is 12.34, of JPY 1234."""
    return Decimal(minor).scaleb(-MINOR_DIGITS[currency])


def money_text(minor: int, currency: str) -> str:
    """As `GBP 12.34`, `JPY 1234`, `KWD 1.234`: a point, no grouping, whatever the machine's language."""
    return f"{currency} {from_minor(minor, currency):f}"


def each_text(minor: int, pieces: int, currency: str) -> str:
    """What one of some pieces comes to, two digits finer than the minor unit: `GBP 0.0268`."""
    digits = MINOR_DIGITS[currency] + _FINER_DIGITS
    each = (from_minor(minor, currency) / pieces).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    return f"{currency} {each:f}"


def share_out(total: int, weights: Sequence[float | Decimal]) -> list[int]:
    """Whole units by weight that sum to `total` exactly: what is left goes to the largest remainders.

    Without any weight all share alike. The method is that of the largest remainder (Hamilton's).
    """
    if not weights:
        return []
    parts = [Fraction(w) for w in weights]
    whole = sum(parts)
    if not whole:
        parts, whole = [Fraction(1)] * len(parts), Fraction(len(parts))
    exact = [total * part / whole for part in parts]
    shares = [int(e // 1) for e in exact]
    by_remainder = sorted(range(len(parts)), key=lambda i: (shares[i] - exact[i], i))
    for i in by_remainder[: total - sum(shares)]:
        shares[i] += 1
    return shares
