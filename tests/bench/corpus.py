"""The real files that others drew and verified: how many of their facts does the check get right?"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from config.settings import load_settings
from intake.facts import Preflight
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.sandbox.child import SandboxFault
from tests.bench.machine import describe_machine

MM_PER_PT = 25.4 / 72
RIGHT, UNTOLD, OTHER = "right", "says that it cannot tell", "other"
ALPHA = {"none": ("none",), "opaque": ("opaque",), "binary": ("hard",), "soft": ("soft", "hard")}
"""The facts' "soft" is any semi-transparent pixel; the check calls anti-aliased rims alone "hard"."""


@dataclass(frozen=True)
class Told:
    """One fact of one file, what the check says of it, and whether that is right."""

    file: str
    fact: str
    verdict: str
    said: object = None
    truth: object = None


def run(argv: Sequence[str]) -> None:
    """`python -m tests.bench corpus FOLDER`: FOLDER holds `real_truth.json` and the files in `real/`."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench corpus")
    asked.add_argument("folder", type=Path)
    folder = asked.parse_args(argv).folder
    told: list[Told] = []
    slowest = (0.0, "")
    with Sandbox(load_settings(None, {}).sandbox) as sandbox:
        for entry in json.loads((folder / "real_truth.json").read_text("utf-8")):
            began = time.perf_counter()
            try:
                answer = look(sandbox, folder / "real" / entry["file"], entry["facts"])
            except SandboxFault as fault:
                told.append(Told(entry["file"], "looked at", OTHER, str(fault).splitlines()[-1]))
                continue
            slowest = max(slowest, (time.perf_counter() - began, entry["file"]))
            told += judge(entry, answer)
    sys.stdout.write(describe_machine())
    tell(told, slowest)


def look(sandbox: Sandbox, path: Path, facts: dict[str, Any]) -> Preflight:
    """The check at the file's own size where it states one, else at 100 mm."""
    settings = load_settings(None, {})
    pages = facts.get("first_pages") or []
    width_mm = pages[0]["visible_pt"][0] * MM_PER_PT if pages else 100.0
    job = PreflightJob(
        path=path,
        name=path.name,
        limits=settings.limits,
        film=settings.film,
        page=1 if pages else None,
        width_mm=width_mm,
        height_mm=None,
        garment=None,
        mirrored=False,
    )
    return sandbox.preflight(job)


def judge(entry: dict[str, Any], answer: Preflight) -> Iterator[Told]:
    """Every fact that the check has an answer to, and whether it is the right one."""
    name, facts = entry["file"], entry["facts"]
    is_refused = bool(answer.slug)
    if entry["expect"] != "measure" or is_refused:
        yield Told(
            name, "refused or measured", RIGHT if is_refused == (entry["expect"] != "measure") else OTHER
        )
        if is_refused:
            return
    rules = {"first_pages": judge_pdf, "viewBox": judge_svg, "upright_px": judge_raster}
    for key, rule in rules.items():
        if key in facts:
            yield from rule(name, facts, answer)


def judge_raster(name: str, facts: dict[str, Any], answer: Preflight) -> Iterator[Told]:
    """Upright size, stored resolution, frames, transparency."""
    said = answer.measures
    yield compare(name, "upright size", said["pixels"], facts["upright_px"])
    truth = facts.get("upright_ppi", facts["stored_ppi"])
    if said["stored_ppi_from"] == "conflict":
        yield Told(name, "stored resolution", UNTOLD)
    else:
        yield compare(name, "stored resolution", said["stored_ppi"], truth, 0.01)
    counted = max(int(str(said[key])) for key in ("pages", "frames"))
    yield compare(name, "frames and pages", counted, facts["frames"])
    kind = facts["alpha"]["kind"]
    if kind in ALPHA:
        is_right = said["alpha"] in ALPHA[kind]
        yield Told(name, "transparency", RIGHT if is_right else OTHER, said["alpha"], kind)
    else:
        words = " ".join(f.says for f in answer.findings)
        is_said = "alpha" in words or "transparen" in words
        yield Told(name, "transparency", UNTOLD if is_said else OTHER, words, kind)


def judge_pdf(name: str, facts: dict[str, Any], answer: Preflight) -> Iterator[Told]:
    """Pages, the first one's shape, the worst resolution painted on it, hairlines, whether it is empty."""
    said = answer.measures
    yield compare(name, "pages", said["pages"], facts["pages"])
    if facts["first_pages"] and answer.print_mm:
        wide, high = facts["first_pages"][0]["visible_pt"]
        yield compare(name, "page shape", answer.print_mm[0] / answer.print_mm[1], wide / high, 0.005)
    if facts.get("min_ppi"):
        found = min(said["ppi"]) if isinstance(said["ppi"], (list, tuple)) else None
        yield compare(name, "worst resolution", found, facts["min_ppi"], 0.01)
    if (facts.get("strokes") or {}).get("zero_width"):
        is_found = any(f.check == "line-width" for f in answer.findings)
        yield Told(name, "hairlines of no width", RIGHT if is_found else OTHER)
    paint = (facts.get("page1_paint_on_transparent") or {}).get("class")
    if paint:
        is_empty = any(f.check == "empty" for f in answer.findings)
        yield Told(
            name, "painted or empty", RIGHT if is_empty == (paint == "empty") else OTHER, is_empty, paint
        )


def judge_svg(name: str, facts: dict[str, Any], answer: Preflight) -> Iterator[Told]:
    """The drawing's shape, and that what it would load from elsewhere is named as missing."""
    box = [float(part) for part in (facts["viewBox"] or "").split()]
    shape = facts["physical_inch"] or box[2:]
    if shape and answer.print_mm:
        yield compare(name, "shape", answer.print_mm[0] / answer.print_mm[1], shape[0] / shape[1], 0.005)
    if facts["external_refs"]:
        says = " ".join(f.says for f in answer.findings)
        yield Told(name, "what is missing is named", RIGHT if "not " in says else OTHER, says[:200])


def compare(name: str, fact: str, said: object, truth: object, within: float = 0.0) -> Told:
    """Right when both say the same, numbers within a share; None against a number is "cannot tell"."""
    ours, theirs = (list(v) if isinstance(v, (list, tuple)) else [v] for v in (said, truth))
    if truth is not None and said is None:
        return Told(name, fact, UNTOLD, said, truth)
    is_right = len(ours) == len(theirs) and all(
        a == b or (a is not None and b is not None and math.isclose(a, b, rel_tol=within, abs_tol=within))
        for a, b in zip(ours, theirs, strict=True)
    )
    return Told(name, fact, RIGHT if is_right else OTHER, said, truth)


def tell(told: Sequence[Told], slowest: tuple[float, str]) -> None:
    """The table, and every answer that differs."""
    counted = Counter((t.fact, t.verdict) for t in told)
    for fact in dict.fromkeys(t.fact for t in told):
        columns = ", ".join(f"{counted[fact, v]} {v}" for v in (RIGHT, UNTOLD, OTHER) if counted[fact, v])
        sys.stdout.write(f"{fact:<28} {columns}\n")
    total = Counter(t.verdict for t in told)
    sys.stdout.write(f"all: {len(told)} facts, {dict(total)}; slowest {slowest[0]:.1f} s ({slowest[1]})\n")
    for other in (t for t in told if t.verdict != RIGHT):
        sys.stdout.write(
            f"  {other.file}: {other.fact} {other.verdict}: {other.said!r}, fact {other.truth!r}\n"
        )
