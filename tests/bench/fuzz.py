"""Broken drawings, documents and photos by the thousand: each must end in an answer or a refusal, soon."""

from __future__ import annotations

import argparse
import hashlib
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from intake.specimens import write_specimens

DATA = Path(__file__).parents[1] / "data"
SEEDS = ("artwork_svg/*.svg", "artwork_psd/*.psd", "artwork_heif/*.heic", "artwork/*", "artwork_pdf/*.pdf")
WORDS = (
    *(b"<g>", b"</g>", b"<use href='#a'/>", b"url(#a)", b"%", b"NaN", b"1e309", b"-", b"0", b"99999999999"),
    *(
        b"<svg>",
        b"&#0;",
        b"\0\0\0\0",
        b"\xff\xff\xff\xff",
        b"\x80\0\0\0",
        b"<style>*{",
        b"matrix(0 0 0 0 0 0)",
    ),
    *(b"<pattern id='a'>", b"<mask id='a'>", b"<text>", b"<filter id='a'>", b"stroke-width", b"viewBox"),
)
SECONDS_EACH = 20
MEMORY_KB = 3_000_000
BATCH = 40


def run(argv: Sequence[str]) -> None:
    """Options: --seconds how long, --seed of the chance, --keep a folder for what was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench fuzz")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--keep", type=Path)
    asked = parser.parse_args(argv)
    chance, ends, total = random.Random(asked.seed), time.monotonic() + asked.seconds, Counter[str]()
    with TemporaryDirectory() as folder, TemporaryDirectory() as specimens:
        seeds = _seeds(Path(specimens), asked.only)
        while time.monotonic() < ends:
            paths = [_broken(chance, Path(folder), k, seeds) for k in range(BATCH)]
            for path, outcome in _opened(paths):
                total[outcome] += 1
                _keep(path, outcome, asked.keep)
    for outcome, count in total.most_common():
        sys.stdout.write(f"{outcome:<12} {count:,}\n")
    sys.stdout.write(f"{'inputs':<12} {sum(total.values()):,}\n")


def _keep(path: Path, outcome: str, folder: Path | None) -> None:
    """Keep what ended in anything but an answer or a refusal."""
    if folder is not None and outcome not in ("answer", "refusal"):
        content = path.read_bytes()
        (folder / (hashlib.sha256(content).hexdigest()[:12] + path.suffix)).write_bytes(content)


def _seeds(folder: Path, only: str) -> list[Path]:
    """The files of the tests, and the doctor's specimen of every kind."""
    files = [p for pattern in SEEDS for p in sorted(DATA.glob(pattern)) if p.suffix not in (".json", ".md")]
    return [p for p in (*files, *write_specimens(folder)) if p.suffix.endswith(only)]


def _broken(chance: random.Random, folder: Path, number: int, seeds: Sequence[Path]) -> Path:
    """A seed with a few bytes changed, moved, doubled or taken away."""
    seed = chance.choice(seeds)
    data = bytearray(seed.read_bytes())
    for _ in range(chance.choice((1, 1, 2, 4, 12))):
        at = chance.randrange(len(data) + 1)
        match chance.randrange(5):
            case 0:
                data[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                data[at:at] = chance.choice(WORDS) * chance.choice((1, 1, 3, 200))
            case 2:
                del data[at : at + chance.choice((1, 2, 9, 40))]
            case 3:
                data[at : at + 4] = chance.choice((b"\0\0\0\1", b"\x7f\xff\xff\xff", b"\xff\xff\xff\xff"))
            case _:
                other = chance.randrange(len(data) + 1)
                data[at:at] = data[other : other + chance.choice((4, 30, 200))]
    path = folder / f"{number}{seed.suffix}"
    path.write_bytes(data)
    return path


def _opened(paths: list[Path]) -> Iterator[tuple[Path, str]]:
    """(file, what became of it); a worker that dies is followed by another for the rest."""
    left = list(paths)
    while left:
        said = _one_worker(left)
        yield from zip(left, said, strict=False)
        left = left[len(said) :]


def _one_worker(paths: list[Path]) -> list[str]:
    command = [sys.executable, "-m", "tests.bench.fuzzed", *map(str, paths)]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    assert child.stdout is not None
    try:
        words, _ = child.communicate(timeout=SECONDS_EACH * 4 + len(paths))
    except subprocess.TimeoutExpired:
        child.kill()
        words, _ = child.communicate()
        return [*words.split(), "too-slow"][: len(paths)]
    said = words.split()
    return said if len(said) == len(paths) else [*said, f"died({child.returncode})"]
