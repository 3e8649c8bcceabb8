"""The run's file: encoding, drawing, proving and pixels of runs of 5 and 10 m, with seconds and memory."""

from __future__ import annotations

import argparse
import hashlib
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import psutil
from PIL import Image, ImageDraw, ImageFilter

from intake.film.making import (
    film_sandbox,
    keep_arts,
    look_of,
    make_raster,
    make_run_file,
    plan_of,
    proof_faults,
)
from intake.inbox.claiming import original_path
from intake.shop import Shop, make_shop, open_shop
from tests.bench.machine import describe_machine
from tickets.film.model import Job, Rules, RunPiece, Shape, StoredRun
from tickets.film.planning import plan_film
from tickets.paper.film.run_file import draw_run
from tickets.paper.fonts import load_fonts

PPI = 300
RULES = Rules(printable_mm=590, gap_mm=8, edge_mm=18, run_mm=20_000)
# Width, height in mm, whether it is a photograph, how many lie on 5 m: twelve artworks as shops print them.
ARTS = (
    (290, 385, True, 3),
    (290, 350, False, 4),
    (290, 325, True, 3),
    (290, 290, False, 4),
    (180, 200, False, 4),
    (150, 150, True, 4),
    (280, 60, False, 6),
    (100, 70, False, 15),
    (90, 80, False, 20),
    (75, 65, True, 24),
    (70, 90, False, 12),
    (60, 60, False, 20),
)


@dataclass
class Watch:
    """Seconds that something took, and the most memory that this program and its workers held, in MB."""

    seconds: float = 0.0
    cpu_seconds: float = 0.0
    most_mb: float = 0.0


def run(argv: Sequence[str]) -> None:
    """Print a table of every step, for 5 and 10 m of film."""
    words = argparse.ArgumentParser(prog="python -m tests.bench run_file")
    words.add_argument("--raster", choices=["tiff", "png", "both", "none"], default="both")
    asked = words.parse_args(argv)
    folder = Path(tempfile.mkdtemp(prefix="run-file-"))
    try:
        make_shop(folder / "shop")
        with open_shop(folder / "shop") as shop:
            sys.stdout.write(describe_machine() + "\n")
            _measure(shop, asked.raster)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _measure(shop: Shop, raster: str) -> None:
    hashes = list(_keep_originals(shop))
    say("| step | s | s of processor | most MB | what |")
    say("| --- | --- | --- | --- | --- |")
    five, ten = (_lay(hashes, times) for times in (1, 2))
    _measure_drawing(shop, five)
    _measure_drawing(shop, ten)
    kinds = {"both": ("tiff", "png"), "none": ()}.get(raster, (raster,))
    with _watched() as watch:
        made = make_run_file(shop, ten)
    row("10 m, all of `film file` from the cache", watch, f"{made.path.stat().st_size / 1e6:.0f} MB")
    for kind in kinds:
        with _watched() as watch:
            path = make_raster(shop, made, kind, PPI)
        pixels = 590 * made.drawn.length_mm * (PPI / 25.4) ** 2 / 1e6
        row(f"10 m as {kind}, {pixels:.0f} Mpx", watch, f"{path.stat().st_size / 1e6:.0f} MB")


def _measure_drawing(shop: Shop, laid: StoredRun) -> None:
    metres = f"{laid.length_mm / 1000:.1f} m, {len(laid.pieces)} pieces"
    look, fonts = look_of(shop, laid), load_fonts()
    path = shop.folder / "bench.pdf"
    with film_sandbox(shop) as sandbox:
        with _watched() as watch:
            arts = keep_arts(shop, laid, sandbox)
        encoded = sum(p.stat().st_size for p in arts.paths.values()) / 1e6
        row(f"{metres}: {len(arts.paths)} artworks encoded", watch, f"{encoded:.0f} MB")
        for _ in range(2):  # the first loads letters
            with _watched() as watch, path.open("wb") as out:
                drawn = draw_run(out, laid, arts.paths, look, fonts)
        row(f"{metres}: drawn from the cache", watch, f"{path.stat().st_size / 1e6:.0f} MB")
        plan = plan_of(path, laid, drawn, arts, look)
        with _watched() as watch:
            faults = proof_faults(shop, laid.code, plan, sandbox)
        row(f"{metres}: read back and proved", watch, f"{len(faults)} faults {list(faults)[:2] or ''}")


def row(what: str, watch: Watch, told: str) -> None:
    """One row of the table."""
    say(f"| {what} | {watch.seconds:.2f} | {watch.cpu_seconds:.2f} | {watch.most_mb:.0f} | {told} |")


def say(text: str) -> None:
    """A line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


@contextmanager
def _watched() -> Iterator[Watch]:
    watch, is_over = Watch(), threading.Event()
    own = psutil.Process()

    def look() -> None:
        while not is_over.wait(0.03):
            watch.most_mb = max(watch.most_mb, _held_mb(own))
            watch.cpu_seconds = max(watch.cpu_seconds, _cpu(own) - before)  # workers end before the end

    watcher = threading.Thread(target=look, daemon=True)
    before, start = _cpu(own), time.perf_counter()
    watcher.start()
    try:
        yield watch
    finally:
        watch.seconds = time.perf_counter() - start
        watch.cpu_seconds = max(watch.cpu_seconds, _cpu(own) - before)
        is_over.set()
        watcher.join()


def _each(own: psutil.Process, look: Callable[[psutil.Process], float]) -> list[float]:
    found = []
    for one in (own, *own.children(recursive=True)):
        try:
            found.append(look(one))
        except psutil.Error:
            continue
    return found


def _held_mb(own: psutil.Process) -> float:
    """Of the largest process: each has a limit of its own."""
    return max(_each(own, lambda one: one.memory_info().rss / (1 << 20)))


def _cpu(own: psutil.Process) -> float:
    return sum(_each(own, lambda one: sum(one.cpu_times()[:2])))


def _keep_originals(shop: Shop) -> Iterator[tuple[str, tuple[int, int], int]]:
    for number, (wide, high, is_photo, copies) in enumerate(ARTS):
        path = shop.folder / "art.png"
        _art(wide, high, is_photo, number).save(path, compress_level=1, dpi=(PPI, PPI))
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
        original = original_path(shop, sha256)
        original.parent.mkdir(parents=True, exist_ok=True)
        path.replace(original)
        yield sha256, (wide, high), copies


def _art(wide_mm: float, high_mm: float, is_photo: bool, seed: int) -> Image.Image:
    size = (round(wide_mm / 25.4 * PPI), round(high_mm / 25.4 * PPI))
    dice = np.random.default_rng(seed)
    if is_photo:
        patches = dice.integers(0, 256, (12, 12, 3)).astype(np.uint8)
        tones = cv2.resize(patches, size, interpolation=cv2.INTER_CUBIC).astype(np.int16)
        tones += dice.integers(-8, 9, (size[1], size[0], 1), dtype=np.int16)
        picture = Image.fromarray(np.clip(tones, 0, 255).astype(np.uint8)).convert("RGBA")
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).rounded_rectangle((0, 0, size[0] - 1, size[1] - 1), size[0] // 6, fill=255)
        picture.putalpha(mask.filter(ImageFilter.GaussianBlur(3)))
        return picture
    picture = Image.new("RGBA", size, (0, 0, 0, 0))
    draw = ImageDraw.Draw(picture)
    first, second, third = (tuple(int(v) for v in dice.integers(0, 256, 3)) for _ in range(3))
    draw.ellipse((2, 2, size[0] - 3, size[1] - 3), fill=(*first, 255))
    draw.rectangle((size[0] // 4, size[1] // 3, size[0] * 3 // 4, size[1] * 2 // 3), fill=(*second, 255))
    corners = [(size[0] // 2, size[1] // 8), (size[0] // 8, size[1] // 2), (size[0] // 2, size[1] // 2)]
    draw.polygon(corners, fill=(*third, 255))
    return picture.filter(ImageFilter.GaussianBlur(0.6))


def _lay(hashes: list[tuple[str, tuple[int, int], int]], times: int) -> StoredRun:
    """So many of each as `ARTS` says, times that, on one run as the planner lays them."""
    codes = {f"A{number:05}": art for number, art in enumerate(hashes)}
    jobs = [
        Job(code, "OB-1", copies * times, Shape(float(wide), float(high)), "hot peel")
        for code, (_, (wide, high), copies) in codes.items()
    ]
    (layout,) = plan_film(jobs, RULES, seconds=1.0, clock=time.monotonic).layouts
    pieces = []
    for number, placed in enumerate(layout.placements, start=1):
        sha256, (wide, high), _ = codes[placed.code]
        across, along = (high, wide) if placed.turned else (wide, high)
        pieces.append(
            RunPiece(
                number=number,
                code=placed.code,
                order="OB-1",
                item=1,
                artwork="art.png",
                artwork_sha256=sha256,
                x_mm=placed.x_mm,
                y_mm=placed.y_mm,
                width_mm=float(across),
                height_mm=float(along),
                turned=placed.turned,
            )
        )
    return StoredRun("R4K7X", "hot peel", layout.width_mm, layout.length_mm, tuple(pieces), way=layout.way)
