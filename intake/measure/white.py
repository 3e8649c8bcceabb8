"""The white under the colours: how much is left when it is pulled in by the choke, and where none is left."""

from __future__ import annotations

from math import ceil

import numpy as np

from intake.measure.blocks import Block
from intake.measure.bytewise import (
    Bytes,
    at_least,
    both,
    count,
    disc,
    grown,
    highest,
    inverse,
    pulled_in,
    pushed_out,
)
from intake.measure.chords import chords_at, on_grid
from intake.measure.pieces import Whole
from intake.measure.scale import TILE, Scale
from intake.measure.seeds import Tiles
from intake.measure.tracks import Leads
from intake.measure.windows import Window


def white_area_px(mask: Bytes, lost: Bytes | None, choke_px: float, margin: int) -> float:
    """Area in px² left of a block's ink when it is pulled in by the choke, without what is lost whole.

    `mask` (0 or 255) and `lost` have the block's margin. Crosses and squares in turn pull in by an octagon,
    right to a few percent of the rim at any angle; between whole pixels the area is interpolated.
    """

    def left() -> int:
        own = mask[margin : mask.shape[0] - margin, margin : mask.shape[1] - margin]
        return count(own)

    whole = int(choke_px)
    if lost is not None:
        lost = inverse(lost)
    for step in range(whole):
        mask = pulled_in(mask, step % 2 == 0)
    if lost is not None and whole:
        mask = both(mask, lost)
    before = left()
    if choke_px == whole:
        return float(before)
    mask = pulled_in(mask, whole % 2 == 0)
    if lost is not None:
        mask = both(mask, lost)
    return before + (choke_px - whole) * (left() - before)


def lost_mask(
    window: Window, blocks: list[Block], thin: tuple[Leads, Tiles], wholes: list[Whole], scale: Scale
) -> Bytes | None:
    """255 on ink that is no wider than twice the choke; None when there is none.

    `thin` are the middles of all that is thin, and the tiles that were left out of looking for them.

    A small separate piece loses all of its white or none. Elsewhere chords along everything thin tell it;
    what lies in a disc that surely fits into the ink keeps its white, however near to something thin. Of the
    screens that were left out all else is lost.
    """
    leads, tiles = thin
    lost = _along_thin(window, leads, scale)
    for row, column in np.argwhere(tiles.gone):
        lost = np.zeros(window.cover.shape, np.uint8) if lost is None else lost
        top, left = window.pad + row * TILE, window.pad + column * TILE
        lost[top : top + TILE, left : left + TILE] = 255
    if lost is not None:
        _keep_wide(window.cover, blocks, lost, ceil(scale.choke_px))
    for whole in wholes:
        is_lost = whole.diameter <= 2.0 * scale.choke_px
        if lost is None and not is_lost:
            continue
        lost = np.zeros(window.cover.shape, np.uint8) if lost is None else lost
        high, wide = whole.own.shape
        part = lost[whole.top : whole.top + high, whole.left : whole.left + wide]
        part[highest(whole.own) != 0] = 255 if is_lost else 0
    return lost


def _keep_wide(cover: Bytes, blocks: list[Block], lost: Bytes, radius: int) -> None:
    """Take out of what is lost whatever an octagon of solid ink covers, of at least the choke as radius."""
    for block in blocks:
        mine = block.around(lost, 0)
        if not count(mine):
            continue
        wide = at_least(block.around(cover, 2 * radius), 128)
        for step in range(radius):
            wide = pulled_in(wide, step % 2 == 0)
        for step in range(radius):
            wide = pushed_out(wide, step % 2 == 0)
        both(mine, inverse(block.inside(wide, 2 * radius)), mine)


def _along_thin(window: Window, leads: Leads, scale: Scale) -> Bytes | None:
    """255 around every place where a chord across thin ink is no longer than twice the choke."""
    cover, choke_px = window.cover, scale.choke_px
    leads = leads.where(np.flatnonzero(leads.width <= 2.0 * choke_px))
    if not len(leads):
        return None
    along = np.linspace(-0.75, 0.75, 7, dtype=np.float32)[:, None] * np.float32(scale.cell_px)
    dx, dy = on_grid(along * leads.ny), on_grid(along * leads.nx)
    x, y = (leads.x - dx).reshape(-1), (leads.y + dy).reshape(-1)
    nx, ny = np.tile(leads.nx, len(along)), np.tile(leads.ny, len(along))
    width = chords_at(cover, x, y, nx, ny, scale.ink.reach_px).width
    thin = (width > 0.2) & (width <= 2.0 * choke_px)
    mask = np.zeros(cover.shape, np.uint8)
    element = disc(2 * ceil(choke_px + 0.5) + 1)
    column = np.clip(np.rint(x[thin]).astype(int), 0, cover.shape[1] - 1)
    row = np.rint(y[thin]).astype(int)
    strip = ((np.tile(leads.seed_y, len(along))[thin] - window.pad) // TILE).astype(int)
    # Strip by strip, so that what is lost does not depend on where the window was cut.
    for number in np.unique(strip):
        part = mask[window.pad + number * TILE :][:TILE]
        here = (strip == number) & (row - window.pad - number * TILE >= 0)
        here &= row - window.pad - number * TILE < len(part)
        part[row[here] - window.pad - number * TILE, column[here]] = 255
        part[:] = grown(part, element)
    return mask
