"""The whole of a repair: check, repair in order, write the repaired file, check that. Runs in the sandbox."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from intake.facts import Artwork, Level, Pixels, Preflight, RepairOrder, RepairTold
from intake.measure.passes import BAND_ROWS
from intake.preflight import PreflightJob, ask_of, print_size, run_preflight
from intake.repairs import (
    ALIKE,
    NAMES,
    REPAIRS,
    Canvas,
    Keeps,
    Mended,
    Repair,
    Wishes,
    canvas_of,
    srgb,
    wording,
)
from intake.repairs.changes import picture_of_changes, views_of_changes
from tickets.problems import ArtworkRefused

LEAST_PX = 8  # a side: in anything smaller there is nothing to tell art from ground by
MOST_MEGAPIXELS = 40.0  # a picture is held whole, several times over


@dataclass(frozen=True, slots=True)
class _Work:
    """A picture on its way through the repairs, and where its corner lies in the picture as it came."""

    canvas: Canvas
    told: tuple[RepairTold, ...] = ()
    at_px: tuple[int, int] = (0, 0)
    changed: bool = False


def run_mending(job: PreflightJob) -> Preflight:
    """The answer about a file with `repairs`, and `repaired` when any was done and written to `repair.into`.

    The file itself is not touched. A repair that is not asked for tells what it would do. Raises as
    `run_preflight`, and OSError when the result cannot be written.
    """
    order = job.repair
    if order is None:
        raise ValueError("no repair is asked for")
    answer = run_preflight(replace(job, repair=None))
    if answer.slug or answer.print_mm is None:
        return answer
    try:
        first, artwork = open_whole(job)
    except ArtworkRefused as refusal:
        told = tuple(RepairTold(name, "", False, False, refusal.says) for name in NAMES)
        return replace(answer, repairs=told)
    wanted = () if order.views_into and not order.names else _wanted(order, answer)
    work = _mend(first, artwork, wanted, order, job)
    answer = replace(answer, repairs=work.told)
    if order.views_into and order.names:
        _write_views(f"{order.views_into}/{'+'.join(order.names)}", first, work.canvas, work.at_px)
    if not work.changed:
        return answer
    from intake.reading.picture import png_bytes, write_png

    if order.changes_into:
        Path(order.changes_into).write_bytes(png_bytes(picture_of_changes(first, work.canvas, work.at_px)))
    if not order.into:
        return answer
    write_png(Path(order.into), work.canvas.rgba, work.canvas.mm_per_px)
    again = _checked_again(job, order.into, work.canvas)
    return replace(answer, repaired=run_preflight(again))


def _write_views(path: str, before: Canvas, after: Canvas, at_px: tuple[int, int] = (0, 0)) -> None:
    """The pictures of one repair, or of several together."""
    from intake.reading.picture import png_bytes

    for view, rgb in views_of_changes(before, after, at_px).items():
        rgba = np.dstack([rgb, np.full(rgb.shape[:2], 255, np.uint8)])
        Path(f"{path}-{view}.png").write_bytes(png_bytes(rgba))


def _corner(before: Canvas, mended: Mended) -> tuple[int, int]:
    """Where the corner of a repaired picture lies in the one before, in px."""
    if mended.canvas.size_px == before.size_px:
        return 0, 0
    mm = before.mm_per_px
    return round(mended.places[0].x_mm / mm), round(mended.places[0].y_mm / mm)


def _checked_again(job: PreflightJob, into: str, canvas: Canvas) -> PreflightJob:
    """The same question about the repaired file, which has one page."""
    name = Path(job.name).stem + ".png"
    again = replace(job, path=Path(into), name=name, repair=None, page=None, want_picture=False)
    if job.width_mm is None and job.height_mm is None:
        return replace(again, ppi=25.4 / canvas.mm_per_px)
    return again


def open_whole(job: PreflightJob) -> tuple[Canvas, Artwork]:
    """The whole picture at print size, in sRGB. Raises ArtworkRefused `too-large-to-repair` and likewise."""
    from intake.reading import open_artwork

    opened = open_artwork(job.path, job.page or 1, job.limits.file)
    try:
        size = print_size(job, opened.artwork)
        pixels = opened.pixels_at(size)
        megapixels = pixels.width * pixels.height / 1e6
        if megapixels > MOST_MEGAPIXELS:
            raise ArtworkRefused("too-large-to-repair", *wording.too_large(megapixels, MOST_MEGAPIXELS))
        if min(pixels.width, pixels.height) < LEAST_PX:
            raise ArtworkRefused("too-small-to-repair", *wording.too_small(LEAST_PX))
        rgba = _whole(pixels)
    finally:
        opened.close()
    canvas = canvas_of(rgba, size.width_mm / pixels.width, keeps=_keeps(job), lossy=pixels.lossy)
    return canvas, opened.artwork


def _whole(pixels: Pixels) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    out = np.empty((pixels.height, pixels.width, 4), np.uint8)
    row = 0
    for band in pixels.bands(BAND_ROWS):
        out[row : row + band.shape[0]] = band
        row += band.shape[0]
    return out


def _keeps(job: PreflightJob) -> Keeps:
    if job.width_mm is not None:
        return Keeps.WIDTH
    return Keeps.HEIGHT if job.height_mm is not None else Keeps.SCALE


def _wanted(order: RepairOrder, answer: Preflight) -> Sequence[str]:
    """The repairs to be done: as asked, else those that answer a query of this file."""
    if order.names:
        return order.names
    checks = (finding.check for finding in answer.findings if finding.level is not Level.NOTE)
    asked = {ALIKE.get(check, check) for check in checks}
    return [srgb.NAME, *(repair.NAME for repair in REPAIRS if repair.MENDS in asked)]


def _mend(
    canvas: Canvas, artwork: Artwork, wanted: Sequence[str], order: RepairOrder, job: PreflightJob
) -> _Work:
    wishes = Wishes(ask_of(job), order.level, order.takes_enclosed)
    work = _Work(canvas)
    converted = srgb.told(artwork)
    if converted is not None and order.views_into and not order.names:
        _write_views(f"{order.views_into}/{srgb.NAME}", canvas, canvas)
    for repair in REPAIRS:
        mended = repair.mend(work.canvas, wishes)
        if mended is not None and order.views_into and not order.names:
            at_px = _corner(canvas, mended)
            _write_views(f"{order.views_into}/{repair.NAME}", canvas, mended.canvas, at_px)
        work = _take(work, repair, mended, repair.NAME in wanted)
    # What is written is sRGB whatever else was asked for, so the conversion is told of as done.
    is_done = converted is not None and (srgb.NAME in wanted or work.changed)
    says = converted or wording.nothing_to_do(srgb.NAME)
    told = RepairTold(srgb.NAME, srgb.MENDS, converted is not None, is_done, says)
    return replace(work, told=(told, *work.told), changed=work.changed or is_done)


def _take(work: _Work, repair: Repair, mended: Mended | None, is_wanted: bool) -> _Work:
    if mended is None:
        says = wording.nothing_to_do(repair.NAME)
        told = RepairTold(repair.NAME, repair.MENDS, False, False, says)
        return replace(work, told=(*work.told, told))
    told = RepairTold(repair.NAME, repair.MENDS, True, is_wanted, mended.says, mended.places)
    if not is_wanted:
        return replace(work, told=(*work.told, told))
    x, y = _corner(work.canvas, mended)
    at_px = (work.at_px[0] + x, work.at_px[1] + y)
    return _Work(mended.canvas, (*work.told, told), at_px, True)
