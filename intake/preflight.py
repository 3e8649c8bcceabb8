"""The whole answer about one artwork file: open, size, measure, judge. Runs inside a sandboxed worker."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from config.settings import Film, Limits
from intake.facts import (
    Artwork,
    Ask,
    Examined,
    Finding,
    InkMeasures,
    Level,
    Pixels,
    Preflight,
    PrintSize,
    RepairOrder,
    Verdict,
    worst,
)
from intake.film.work import FilmWork
from tickets.languages import retold
from tickets.problems import ArtworkRefused, SetupProblem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from intake.film.inkcells import CelledPixels
    from intake.measure.looks import LookFor
    from tickets.film.model import Ring

INCH_MM = 25.4
PICTURE_LONGEST_PX = 1000
_LEVELS = list(Level)


@dataclass(frozen=True)
class PreflightJob:
    """One question: would this file print well at this size? Lengths in mm.

    name: what the customer calls the file. page: from 1, None = the first. One of width_mm, height_mm or ppi
    decides the size; with both lengths it is printed at the width, and judged whether the height fits to it.
    ppi: as many pixels an inch (a vector page: its own size). garment: '#rrggbb'.
    """

    path: Path
    name: str
    limits: Limits
    film: Film
    page: int | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    ppi: float | None = None
    garment: str | None = None
    mirrored: bool = False
    want_picture: bool = True
    want_outline: bool = False
    repair: RepairOrder | None = None  # done by `intake.mending`
    film_work: FilmWork | None = None  # done by `intake.film.tasks`


def run_preflight(job: PreflightJob) -> Preflight:
    """Open, size, measure and judge; a file that cannot be opened is an answer too (finding `file`).

    Raises ValueError when the job names no size, MemoryError when the artwork needs more than there is.
    """
    try:
        examined, picture, outline = _examine(job)
    except ArtworkRefused as refusal:
        from intake.reading import kind_of

        return refused(job.name, refusal, kind_of(job.path))
    from intake.checks import judge

    found = judge(examined, job.limits, job.film) + _damage(examined.artwork)
    findings = tuple(sorted(found, key=lambda f: _LEVELS.index(f.level), reverse=True))
    return Preflight(
        file=job.name,
        verdict=worst(findings),
        print_mm=(round(examined.size.width_mm, 2), round(examined.size.height_mm, 2)),
        measures=measures_of(examined) | {"cmyk": _shares(picture)},
        findings=findings,
        picture_png=_as_png(picture) if job.want_picture else b"",
        outline=outline,
    )


def refused(name: str, refusal: ArtworkRefused, kind: str | None = None) -> Preflight:
    """The answer about a file that cannot be opened as artwork."""
    finding = Finding("file", Level.REFUSE, retold(refusal.says), retold(refusal.do))
    return Preflight(
        file=name,
        verdict=Verdict.REFUSE,
        print_mm=None,
        measures=dict.fromkeys(MEASURES) | {"kind": kind},
        findings=(finding,),
        slug=refusal.slug,
    )


def print_size(job: PreflightJob, artwork: Artwork) -> PrintSize:
    """The size of the print: the ordered width, else height, else what pixels or the page's own size give.

    The other side always follows from the artwork's shape. Raises ValueError when the job names no size.
    """
    ordered = (job.width_mm, job.height_mm)
    if job.width_mm is not None:
        return PrintSize(job.width_mm, job.width_mm / artwork.shape, *ordered)
    if job.height_mm is not None:
        return PrintSize(job.height_mm * artwork.shape, job.height_mm, *ordered)
    if job.ppi is None:
        raise ValueError("a preflight needs a width, a height or a resolution")
    if artwork.size_mm is not None:
        return PrintSize(*artwork.size_mm)
    if artwork.pixels is None:
        says = "The artwork has neither pixels nor a size of its own: a resolution does not give one."
        raise ArtworkRefused("size-not-told", says, "Please say how wide or how high it is to be printed.")
    # With pixels that are not square the coarser direction gets the resolution that was asked for.
    width, height = artwork.pixels
    width_mm = min(width, height * artwork.shape) * INCH_MM / job.ppi
    return PrintSize(width_mm, width_mm / artwork.shape)


MEASURES = (
    "kind",
    "pixels",
    "pages",
    "frames",
    "stored_ppi",
    "stored_ppi_from",
    "ppi",
    "detail_ppi",
    "colour",
    "colour_profile",
    "bits",
    "out_of_gamut_share",
    "alpha",
    "soft_share",
    "ink_mm",
    "ink_area_mm2",
    "white_area_mm2",
    "cmyk",
    "thinnest_line_mm",
    "thinnest_gap_mm",
)


def measures_of(examined: Examined) -> dict[str, object]:
    """The numbers as `check --json` has them; None where a measure does not apply."""
    from intake.checks import effective_ppi

    artwork, ink = examined.artwork, examined.ink
    told: dict[str, object] = dict.fromkeys(MEASURES)
    told["kind"] = artwork.kind
    told["pixels"] = list(artwork.pixels) if artwork.pixels else None
    told["pages"] = artwork.pages
    told["frames"] = artwork.frames
    told["stored_ppi"] = _rounded(artwork.stored_ppi)
    told["stored_ppi_from"] = artwork.stored_ppi_from or None
    told["ppi"] = _rounded(effective_ppi(examined, plain_too=True))
    told["colour"] = artwork.colour
    told["colour_profile"] = artwork.colour_profile or None
    told["bits"] = artwork.bits if artwork.pixels else None
    told["out_of_gamut_share"] = _rounded_one(artwork.gamut.share if artwork.gamut else None)
    if ink is not None:
        told |= _of_ink(ink)
    told["thinnest_line_mm"] = _rounded_one(_thinnest_line_mm(examined))
    return told


def _shares(picture: NDArray[np.uint8]) -> list[float] | None:
    """Cyan, magenta, yellow and black on the inked area, from the small picture: means stay what they are."""
    from intake.measure.inkshares import mean_cmyk

    shares = mean_cmyk(picture)
    return None if shares is None else [round(share, 3) for share in shares]


def _examine(job: PreflightJob) -> tuple[Examined, NDArray[np.uint8], tuple[Ring, ...] | None]:
    from intake.measure import measure_with_picture
    from intake.measure.looks import WatchedPixels
    from intake.reading import ending_note, open_artwork

    opened = open_artwork(job.path, job.page or 1, job.limits.file)
    try:
        size = print_size(job, opened.artwork)
        pixels = opened.pixels_at(size)
        mm_per_px = size.width_mm / pixels.width
        celled = _celled(job, pixels, size)
        watched = WatchedPixels(celled or pixels, mm_per_px, _look(job, opened.artwork, pixels))
        ink, picture = measure_with_picture(watched, mm_per_px, ask_of(job), longest_px=PICTURE_LONGEST_PX)
        ink = watched.added_to(ink)
        artwork = opened.artwork  # only now: decoding may have shown damage that the header did not
        artwork = _against_printer(artwork, picture, job.film.printer_profile, size.width_mm)
    finally:
        opened.close()
    note = ending_note(job.name, artwork.kind)
    if note:
        artwork = replace(artwork, notes=(*artwork.notes, note))
    named = job.page is not None
    outline = celled.outline() if celled else None
    return Examined(artwork, size, ink, job.garment, job.mirrored, page_named=named), picture, outline


def _celled(job: PreflightJob, pixels: Pixels, size: PrintSize) -> CelledPixels | None:
    """The pixels, noting where they have ink, where its outline is wanted too."""
    if not job.want_outline:
        return None
    from intake.film.inkcells import CelledPixels

    return CelledPixels(pixels, size)


def _against_printer(artwork: Artwork, picture: NDArray[np.uint8], profile: str, width_mm: float) -> Artwork:
    """The artwork with how much of it the shop's printer cannot make, where the shop names its profile."""
    if not profile:
        return artwork
    from intake.reading.gamut import gamut_of

    try:
        return replace(artwork, gamut=gamut_of(picture, Path(profile), width_mm))
    except SetupProblem as problem:  # the shop's mistake, not the customer's: looked at without it
        return replace(artwork, notes=(*artwork.notes, problem.says))


def ask_of(job: PreflightJob) -> Ask:
    """What the measuring looks for at these limits."""
    limits = job.limits
    return Ask(
        line_mm=limits.line.query_mm,
        gap_mm=limits.gap.query_mm,
        island_mm=limits.island.query_mm,
        choke_mm=job.film.choke_mm,
        run_mm=limits.line.run_mm,
        speck_mm=limits.speck.query_mm,
    )


def _look(job: PreflightJob, artwork: Artwork, pixels: Pixels) -> LookFor:
    from intake.measure.looks import LookFor

    is_own = artwork.kind != "PDF" and (pixels.width, pixels.height) == artwork.pixels
    return LookFor(is_own, job.garment, job.limits.garment.query_de)


def _damage(artwork: Artwork) -> tuple[Finding, ...]:
    """A question when the decoder had to guess at parts of the picture."""
    if not artwork.extra.get("damaged"):
        return ()
    says = "Parts of the picture in the file are broken; what was looked at may not be what you see."
    return (Finding("file", Level.QUERY, says, "Please export it again and send that."),)


def _of_ink(ink: InkMeasures) -> dict[str, object]:
    box = ink.ink_box
    return {
        "detail_ppi": round(ink.detail_ppi) if ink.detail_ppi is not None else None,
        "alpha": str(ink.alpha),
        "soft_share": round(ink.soft_share, 4),
        "ink_mm": box.as_list() if box else None,
        "ink_area_mm2": round(ink.ink_area_mm2, 1),
        "white_area_mm2": round(ink.white_area_mm2, 1),
        "thinnest_gap_mm": _rounded_one(ink.thinnest_gap.value_mm if ink.thinnest_gap else None),
    }


def _thinnest_line_mm(examined: Examined) -> float | None:
    """The thinnest of the drawing's own lines, brought to print size, and of what the pixels show."""
    from intake.checks.at_size import drawn_lines

    ink = examined.ink
    widths = [spot.value_mm for spot in drawn_lines(examined)[:1]]
    if ink is not None and ink.thinnest_line is not None:
        widths.append(ink.thinnest_line.value_mm)
    return min(widths, default=None)


def _as_png(picture: NDArray[np.uint8]) -> bytes:
    from intake.reading.picture import png_bytes

    return png_bytes(picture)


def _rounded(pair: tuple[float, float] | None) -> list[float] | None:
    return [round(pair[0], 2), round(pair[1], 2)] if pair else None


def _rounded_one(value: float | None) -> float | None:
    return round(value, 3) if value is not None else None
