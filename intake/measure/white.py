"""The white under the colours: how much is left when it is pulled in by the choke, and where none is left."""

from __future__ import annotations

import numpy as np

from intake.measure.bytewise import Bytes, both, count, disc, grown, inverse, pulled_in
from intake.measure.chords import chords_at
from intake.measure.scale import Side
from intake.measure.tracks import Leads


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


def lost_mask(cover: Bytes, leads: Leads, choke_px: float, side: Side, cell_px: int) -> Bytes | None:
    """255 on ink that is no wider than twice the choke; None when there is none."""
    leads = leads.where(np.flatnonzero(leads.width <= 2.0 * choke_px))
    if not len(leads):
        return None
    along = np.linspace(-0.75, 0.75, 7, dtype=np.float32)[:, None] * np.float32(cell_px)
    x, y = (leads.x - along * leads.ny).reshape(-1), (leads.y + along * leads.nx).reshape(-1)
    nx, ny = np.tile(leads.nx, len(along)), np.tile(leads.ny, len(along))
    width = chords_at(cover, x, y, nx, ny, side.reach_px).width
    thin = (width > 0.2) & (width <= 2.0 * choke_px)
    mask = np.zeros(cover.shape, np.uint8)
    column = np.clip(np.rint(x[thin]).astype(int), 0, cover.shape[1] - 1)
    row = np.clip(np.rint(y[thin]).astype(int), 0, cover.shape[0] - 1)
    mask[row, column] = 255
    return grown(mask, disc(2 * int(np.ceil(choke_px + 0.5)) + 1))
