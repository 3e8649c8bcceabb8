"""The white under the colours: how much is left when it is pulled in by the choke, and where none is left."""

from __future__ import annotations

import numpy as np

from intake.measure.bytewise import Bytes, at_least, clipped, disc, distance, grown, total
from intake.measure.tracks import Tracks
from intake.measure.windows import Window


def white_area_px(window: Window, choke_px: float, lost: Bytes | None) -> float:
    """Area in px² of the window's own ink that lies deeper than the choke, without what is lost whole."""
    if choke_px <= 0:
        return total(window.own) / 255.0
    far = distance(at_least(window.cover, 128))
    if lost is not None:
        far[lost != 0] = 0
    # A pixel's centre at distance d from the nearest clear centre lies d − 0.5 inside the edge.
    return total(clipped(window.own_part(far), choke_px, choke_px + 1.0))


def lost_mask(cover: Bytes, tracks: Tracks, choke_px: float) -> Bytes | None:
    """255 on ink that is no wider than twice the choke; None when there is none."""
    middle = tracks.steps
    near = slice(max(middle - 3, 0), middle + 4)
    x, y, width = tracks.x[near], tracks.y[near], tracks.width[near]
    with np.errstate(invalid="ignore"):
        thin = width <= 2.0 * choke_px
    if not thin.any():
        return None
    mask = np.zeros(cover.shape, np.uint8)
    column = np.clip(np.rint(x[thin]).astype(int), 0, cover.shape[1] - 1)
    row = np.clip(np.rint(y[thin]).astype(int), 0, cover.shape[0] - 1)
    mask[row, column] = 255
    return grown(mask, disc(2 * int(np.ceil(choke_px + 0.5)) + 1))
