"""Finds the thin places of a window: the most promising leads are followed first."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from intake.measure.blocks import Block
from intake.measure.bytewise import Bytes
from intake.measure.runs import Found, classify
from intake.measure.scale import Scale, Side
from intake.measure.seeds import Tiles, seeds_of
from intake.measure.shortlist import Shortlist
from intake.measure.tracks import BLURRED_PX, Leads, leads_of, track
from intake.measure.windows import Window

FIELD_CELLS = 2  # a field is so many cells wide
MOST_IN_FIELD = 5  # leads of a field that are followed, the thinnest
SLICES = (512,)  # so many fields are looked at first, the most promising of the window


def thin_places(
    cover: Bytes, window: Window, blocks: list[Block], side: Side, scale: Scale, shortlist: Shortlist
) -> tuple[Found, Leads, Tiles]:
    """What is thin in the window's own pixels, the leads that were there, and what its tiles are."""
    seeds, tiles = seeds_of(cover, window, blocks, side, scale, shortlist)
    leads = leads_of(cover, window.crisp, seeds, side)
    field, rank = _ranked(leads, FIELD_CELLS * scale.cell_px, window.pad)
    least = np.full(int(field.max(initial=-1)) + 1, np.inf, np.float32)
    np.minimum.at(least, field, leads.width)
    place = np.empty(len(least), np.int64)
    place[np.argsort(least, kind="stable")] = np.arange(len(least))
    parts: list[Found] = []
    for start, stop in zip((0, *SLICES), (*SLICES, len(least)), strict=True):
        now = (place[field] >= start) & (place[field] < stop) & (rank < MOST_IN_FIELD)
        which = np.flatnonzero(now & (leads.width <= shortlist.bound + BLURRED_PX))
        if len(which):
            parts.append(classify(cover, track(cover, leads.where(which), side), side))
            shortlist.take(parts[-1].value)
    return Found.joined(parts), leads, tiles


def _ranked(leads: Leads, size: int, pad: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """For every lead the number of its field and its rank there, thinnest first."""
    x, y = ((v - pad).astype(np.int64) // size for v in (leads.seed_x, leads.seed_y))
    order = np.lexsort((leads.x, leads.y, leads.width, x, y))
    fresh = np.ones(len(order), bool)
    fresh[1:] = (np.diff(x[order]) != 0) | (np.diff(y[order]) != 0)
    starts = np.flatnonzero(fresh)
    number = np.cumsum(fresh) - 1
    field, rank = np.empty(len(order), np.int64), np.empty(len(order), np.int64)
    field[order] = number
    rank[order] = np.arange(len(order)) - starts[number]
    return field, rank
