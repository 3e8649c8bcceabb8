"""Ripples that lossy compression leaves beside edges are no ink: coverage is settled by its neighbours."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from intake.measure.bytewise import Bytes, at_least, at_most, both, highest, inverse, taken_where

CORE = 118  # coverage of the middle of a line, or of the clear of a gap, that is no ringing
REACH = 3  # px square: a rim lies next to what is covered, and next to what is clear


def settled(bands: Iterable[Bytes]) -> Iterator[Bytes]:
    """The same bands of coverage: what touches no covered pixel is clear, what touches no clear one is full.

    A rim pixel touches both; ringing lies on one side of an edge, further off.
    """
    before: Bytes | None = None
    held: Bytes | None = None
    for band in bands:
        if held is not None:
            yield _settle(before, held, band[:1])
            before = held[-1:]
        held = band
    if held is not None:
        yield _settle(before, held, None)


def _settle(above: Bytes | None, band: Bytes, below: Bytes | None) -> Bytes:
    parts = [p for p in (above, band, below) if p is not None]
    whole = np.ascontiguousarray(np.concatenate(parts))
    ink = highest(at_least(whole, CORE), REACH)
    clear = highest(at_most(whole, 255 - CORE), REACH)
    whole = both(whole, ink)
    whole = taken_where(inverse(clear), np.full_like(whole, 255), whole)
    first = 0 if above is None else above.shape[0]
    return np.ascontiguousarray(whole[first : first + band.shape[0]])
