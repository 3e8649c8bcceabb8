"""The tasks of a run's file as a worker does them, answered as any other look at artwork is."""

from __future__ import annotations

from pathlib import Path

from intake.facts import Finding, Level, Place, Preflight, PrintSize, Verdict
from intake.film.encoding import encode_art, own_pixels
from intake.film.inkcells import CelledPixels
from intake.film.proof import prove
from intake.film.proof_plan import ProofPlan, proof_plan
from intake.film.raster import write_raster
from intake.film.work import FilmTask, FilmWork
from intake.preflight import PreflightJob, refused
from intake.reading import open_artwork
from tickets.film.model import Ring
from tickets.problems import ArtworkRefused

CHECK = "film-proof-failed"
_MOST_TOLD = 40


def run_film_work(job: PreflightJob, work: FilmWork) -> Preflight:
    """Do one task. Raises as the task does; artwork that can't be opened any more is an answer."""
    try:
        if work.task is FilmTask.OUTLINE:
            return Preflight(job.name, Verdict.CLEAR, None, {}, (), outline=_outline(job))
        if work.task is FilmTask.ENCODE:
            art = encode_art(job, Path(work.into))
            measures: dict[str, object] = {"way": art.way, "says": art.says}
            return Preflight(job.name, Verdict.CLEAR, None, measures, ())
        if work.task is FilmTask.PROVE:
            return _proved(job, work)
        size = write_raster(_plan(work), Path(work.into), work.ppi, job.limits.file)
        return Preflight(job.name, Verdict.CLEAR, None, {"pixels": list(size)}, ())
    except ArtworkRefused as refusal:
        return refused(job.name, refusal)


def _outline(job: PreflightJob) -> tuple[Ring, ...]:
    if job.width_mm is None or job.height_mm is None:
        raise ValueError("an artwork has its outline at a size")
    size = PrintSize(job.width_mm, job.height_mm)
    opened = open_artwork(job.path, job.page or 1, job.limits.file)
    try:
        return CelledPixels(own_pixels(opened, size), size).outline()
    finally:
        opened.close()


def _plan(work: FilmWork) -> ProofPlan:
    return proof_plan(Path(work.told).read_text("utf-8"))


def _proved(job: PreflightJob, work: FilmWork) -> Preflight:
    """What is wrong with a run's file, as findings; their `measured` is the page."""
    faults = prove(_plan(work), job.limits.file, work.page)
    findings = tuple(
        Finding(CHECK, Level.REFUSE, fault.says, "", fault.page, places=(Place(*fault.box),))
        for fault in faults[:_MOST_TOLD]
    )
    verdict = Verdict.REFUSE if faults else Verdict.CLEAR
    return Preflight(job.name, verdict, None, {"faults": len(faults)}, findings)
