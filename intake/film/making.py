"""The run's file is made: artworks encoded where they are not yet, drawn aside, proved, only then kept."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from intake.durable import TEMPORARY, make_folder, sync_folder
from intake.facts import Preflight
from intake.film.outlines import ShopOutlines
from intake.film.proof_plan import PlannedPage, PlannedPiece, ProofPlan
from intake.film.work import FilmTask, FilmWork
from intake.inbox.claiming import original_path
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets import wording_film_file as wording
from tickets.film.judging import too_near
from tickets.film.model import StoredRun, Way
from tickets.film.outlined import Outlines
from tickets.film.placing import ArtKey, art_key
from tickets.languages import as_the_house_speaks
from tickets.paper.film.art import BrokenArt, read_list
from tickets.paper.film.run_file import DrawnPage, DrawnRun, Look, draw_run
from tickets.paper.fonts import load_fonts

ARTS = "film"  # below derived/: all of it can be made again
RUNS = "runs"  # below papers/
_LONGER = 5  # times as long as one artwork
_KEPT_DAYS = 30


@dataclass(frozen=True, slots=True)
class MadeFile:
    """What was made: where it lies, what was drawn, and what is to be said of artwork that was changed.

    `plan`: what it was proved by.
    """

    path: Path
    run: StoredRun
    drawn: DrawnRun
    says: tuple[str, ...]
    plan: ProofPlan

    @property
    def without_code(self) -> tuple[int, ...]:
        """The numbers of the pieces beside which no code found room."""
        return tuple(piece.number for piece in self.drawn.without_code)


@dataclass(frozen=True, slots=True)
class KeptArts:
    """The artworks of a run: where each lies encoded, its original, and what is to be said of some."""

    paths: Mapping[ArtKey, Path]
    originals: Mapping[ArtKey, Path]
    says: tuple[str, ...]


def run_path(shop: Shop, run: str, more: str = ".pdf") -> Path:
    """Where a file of a run lies: `papers/runs/<run>….pdf`."""
    return shop.papers / RUNS / f"{run}{more}"


@as_the_house_speaks()
def make_run_file(shop: Shop, run: StoredRun) -> MadeFile:
    """Make and prove the file of a run; until it is proved, what was there before stands.

    Raises ShopProblem `film-proof-failed`, `film-artwork-missing`, `film-artwork-unusable`, OSError.
    """
    path = run_path(shop, run.code)
    make_folder(path.parent)
    look = look_of(shop, run)
    with film_sandbox(shop) as sandbox, _aside(path) as aside:
        _refuse_near(run, look.gap_mm, ShopOutlines(shop, lambda: sandbox))
        arts = keep_arts(shop, run, sandbox)
        with aside.open("wb") as out:
            drawn = draw_run(out, run, arts.paths, look, load_fonts(shop.settings.papers.font_files))
            out.flush()
            os.fsync(out.fileno())
        plan = plan_of(aside, run, drawn, arts, look)
        _refuse_faults(shop, run, plan, sandbox)
        aside.replace(path)
    sync_folder(path.parent)
    return MadeFile(path, run, drawn, arts.says, replace(plan, pdf=str(path)))


def _refuse_near(run: StoredRun, gap_mm: float, outlines: Outlines) -> None:
    """Where pieces lock into each other, their outlines are judged; boxes are when the file is read back."""
    near = too_near(run, gap_mm, outlines) if run.way not in (Way.ROWS, Way.BOXES) else []
    told = [
        wording.too_near(
            wording.piece(one.number, one.code), wording.piece(other.number, other.code), mm, gap_mm
        )
        for one, other, mm in near
    ]
    if told:
        raise wording.proof_failed(run.code, told)


def look_of(shop: Shop, run: StoredRun) -> Look:
    """How this shop's runs look."""
    film, url = shop.settings.film, shop.settings.shop.ticket_url
    return Look(
        gap_mm=film.laying.gap_mm,
        edge_mm=film.laying.edge_mm,
        qr_text=f"{url.rstrip('/')}/t/{run.code}" if url else run.code,
        is_mirrored=film.file.mirrored,
        marks=film.file.cut_marks,
    )


def keep_arts(shop: Shop, run: StoredRun, sandbox: Sandbox) -> KeptArts:
    """Each artwork of a run, encoded; those that are missing are made, several at a time.

    What no run has needed for a month goes: it can be made again.
    """
    folder = shop.derived / ARTS
    names = {art_key(piece): piece.artwork for piece in run.pieces}
    make_folder(folder)
    _forget_arts(folder, shop.clock().timestamp() - _KEPT_DAYS * 86_400)
    with ThreadPoolExecutor(max_workers=8, thread_name_prefix="film") as pool:
        made = pool.map(lambda key: _keep_art(shop, key, names[key], sandbox), names)
        says = [f"{name}: {said}" for name, said in zip(names.values(), made, strict=True) if said]
    return KeptArts(
        paths={key: folder / f"{key.name}.art" for key in names},
        originals={key: original_path(shop, key.sha256) for key in names},
        says=tuple(says),
    )


def plan_of(pdf: Path, run: StoredRun, drawn: DrawnRun, arts: KeptArts, look: Look) -> ProofPlan:
    """What the file is to be proved by."""
    return ProofPlan(
        pdf=str(pdf),
        qr_texts=(look.qr_text, run.code),
        gap_mm=look.gap_mm,
        is_mirrored=look.is_mirrored,
        boxes_apart=run.way in (Way.ROWS, Way.BOXES),
        pages=tuple(_planned(page, run.width_mm, arts) for page in drawn.pages),
    )


def _planned(one: DrawnPage, width_mm: float, arts: KeptArts) -> PlannedPage:
    page = one.page
    pieces = tuple(
        PlannedPiece(
            number=p.number,
            code=p.code,
            box=(p.x_mm, page.y_mm(p), p.width_mm, p.height_mm),
            turned=p.turned,
            mirrored=p.mirrored,
            art=str(arts.paths[art_key(p)]),
            original=str(arts.originals[art_key(p)]),
            page=p.page or 1,
        )
        for p in page.pieces
    )
    codes = tuple(place.box for place in one.codes)
    return PlannedPage(width_mm, page.length_mm, pieces, (*codes, *one.drawn), one.qr)


def _keep_art(shop: Shop, key: ArtKey, name: str, sandbox: Sandbox) -> str:
    """Make an encoded artwork unless it is there and whole; returns what is to be said of it."""
    path = shop.derived / ARTS / f"{key.name}.art"
    with contextlib.suppress(OSError, BrokenArt), path.open("rb") as there:
        says = read_list(there).says
        os.utime(path)
        return says
    original = original_path(shop, key.sha256)
    if not original.is_file():
        raise wording.artwork_missing(name)
    with _aside(path) as aside:
        settings = shop.settings
        work = FilmWork(FilmTask.ENCODE, into=str(aside))
        job = PreflightJob(
            original,
            name,
            settings.limits,
            settings.film,
            page=key.page,
            width_mm=key.width_mm,
            height_mm=key.height_mm,
            film_work=work,
        )
        answer = sandbox.preflight(job)
        if answer.findings:
            raise wording.artwork_unusable(name, answer.findings[0].says)
        try:
            with aside.open("rb") as made:
                says = read_list(made).says
        except BrokenArt as error:
            raise wording.artwork_unusable(name, str(error)) from error
        aside.replace(path)
    return says


def _forget_arts(folder: Path, before: float) -> None:
    """Remove encoded artworks that were last used before that time (since 1970)."""
    for path in folder.glob("*.art"):
        with contextlib.suppress(OSError):
            if path.stat().st_mtime < before:
                path.unlink()


def _refuse_faults(shop: Shop, run: StoredRun, plan: ProofPlan, sandbox: Sandbox) -> None:
    faults = proof_faults(shop, run.code, plan, sandbox)
    if faults:
        raise wording.proof_failed(run.code, faults)


def proof_faults(shop: Shop, name: str, plan: ProofPlan, sandbox: Sandbox) -> Sequence[str]:
    """What is wrong with a run's file, a sentence each; each page is read back in a worker of its own."""
    many = len(plan.pages) > 1

    def faults_of(page: int) -> list[str]:
        answer = _ask(shop, name, plan, FilmWork(FilmTask.PROVE, page=page), sandbox)
        return [wording.on_page(f.says, page + 1) if many else f.says for f in answer.findings]

    with ThreadPoolExecutor(max_workers=8, thread_name_prefix="film") as pool:
        found = [says for faults in pool.map(faults_of, range(len(plan.pages))) for says in faults]
    return list(dict.fromkeys(found))


def film_sandbox(shop: Shop) -> Sandbox:
    """Workers for whole runs: they may take longer than one artwork, which was looked at before."""
    limits = shop.settings.sandbox
    longer = {"cpu_seconds": _LONGER * limits.cpu_seconds, "wall_seconds": _LONGER * limits.wall_seconds}
    return Sandbox(limits.model_copy(update=longer))


def make_raster(shop: Shop, made: MadeFile, kind: str, ppi: float) -> Path:
    """The run as pixels beside its PDF: "tiff" (BigTIFF) or "png", with transparency.

    Raises ShopProblem `film-raster-failed`, OSError.
    """
    path = run_path(shop, made.run.code, f"-{ppi:g}ppi.{kind}")
    with film_sandbox(shop) as sandbox, _aside(path, f".{kind}") as aside:
        work = FilmWork(FilmTask.RASTER, into=str(aside), ppi=ppi)
        answer = _ask(shop, made.run.code, made.plan, work, sandbox)
        if answer.findings:
            raise wording.raster_failed(made.run.code, answer.findings[0].says)
        aside.replace(path)
    sync_folder(path.parent)
    return path


def _ask(shop: Shop, name: str, plan: ProofPlan, work: FilmWork, sandbox: Sandbox) -> Preflight:
    """Have a task done by what was planned."""
    settings, pdf = shop.settings, Path(plan.pdf)
    with _aside(pdf) as told:
        told.write_text(plan.as_json(), "utf-8")
        asked = replace(work, told=str(told))
        job = PreflightJob(pdf, name, settings.limits, settings.film, film_work=asked)
        return sandbox.preflight(job)


@contextlib.contextmanager
def _aside(path: Path, suffix: str = "") -> Iterator[Path]:
    """A name beside `path` to write under; what still lies there in the end is taken away."""
    aside = path.parent / f"{TEMPORARY}{secrets.token_hex(8)}{suffix}"
    try:
        yield aside
    finally:
        with contextlib.suppress(OSError):
            aside.unlink()
