"""Looking at a whole picture window by window as the measuring does, for repairs that mend what it finds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from intake.measure.blocks import blocks_of
from intake.measure.bytewise import Bytes, count
from intake.measure.scale import TILE, Scale
from intake.measure.screens import Screens
from intake.measure.seeds import Seeds, Tiles, seeds_of
from intake.measure.shortlist import Shortlist
from intake.measure.windows import Window, rows_a_window, windows


@dataclass(frozen=True, slots=True)
class Look:
    """One window with the seeds of its thin ink; valid until the next one is asked for."""

    window: Window
    seeds: Seeds
    tiles: Tiles


def looks_at(cover: Bytes, scale: Scale) -> Iterator[Look]:
    """The windows of a picture that hold any ink."""
    pad, width = scale.halo_px, cover.shape[1]
    known = Shortlist(1)
    for window in windows([cover], width, pad, rows_a_window(width, pad)):
        if count(window.own):
            blocks = list(blocks_of(window, scale.margin_px))
            yield Look(window, *seeds_of(window.cover, window, blocks, scale.ink, scale, known))


def is_screened(cover: Bytes, scale: Scale) -> bool:
    """Whether the art is a screen of dots or lines: its dots are no specks, its lines carry one another."""
    screens = Screens()
    for look in looks_at(cover, scale):
        row = look.window.top // TILE
        screens.tiles += [(int(r) + row, int(c)) for r, c in np.argwhere(look.tiles.dense)]
    return screens.is_screened(cover.shape[1], cover.shape[0])
