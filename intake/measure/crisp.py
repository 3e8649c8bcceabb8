"""Art drawn without anti-aliasing: its steps are smoothed a little before widths are read off it."""

from __future__ import annotations

from dataclasses import replace

from intake.measure.blocks import Block, halo_of
from intake.measure.bytewise import count, highest, inverse, smoothed, taken_where
from intake.measure.scratch import Scratch
from intake.measure.softness import semi_mask
from intake.measure.windows import Window

NEARBY = 7  # px square: where no semi-covered pixel lies in it, edges are crisp
MARGIN, SPILL = NEARBY // 2 + 1, 2  # px; smoothed ink spills over the edge of the canvas


def without_steps(window: Window, blocks: list[Block], scratch: Scratch) -> Window:
    """The window, smoothed by a pixel where edges have no semi-covered rim, and with where that is so.

    A chord across a smoothed edge holds the same coverage, but lines of a pixel or two no longer waver by
    half their width as they pass from row to row. Each pixel is decided from those around it alone; where
    there are no edges, beyond the blocks, there is nothing to smooth.
    """
    even = scratch.array("smooth", window.cover.shape)
    even[:] = window.cover
    crisp = scratch.array("crisp", window.cover.shape)
    crisp.fill(255)
    for block in (*blocks, *halo_of(window, MARGIN + SPILL)):
        near = block.around(window.cover, MARGIN + SPILL)
        no_rims = inverse(highest(semi_mask(near), NEARBY))
        block.around(crisp, SPILL)[:] = block.inside(no_rims, MARGIN)
        if count(no_rims):
            mixed = taken_where(no_rims, smoothed(near), near)
            block.around(even, SPILL)[:] = block.inside(mixed, MARGIN)
    return replace(window, cover=even, crisp=crisp)
