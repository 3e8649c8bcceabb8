"""A repair from the command line: written apart, checked again, told; the artwork is never touched."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from config.settings import load_settings
from intake.cli import main
from intake.commands.repairing import REPAIR_NAMES
from intake.facts import Preflight
from intake.mending import MOST_MEGAPIXELS, open_whole
from intake.preflight import PreflightJob
from intake.repairs import ALIKE, NAMES, OFFERED
from intake.sandbox.wire import answer_as_json, answer_from_json
from tests.intake.repairs.pictures import drawn, on_ground, with_glow
from tickets.problems import ArtworkRefused

BADGE = drawn(1000, 900, [(200, 150, 700, 650), (760, 100, 763, 103)], [(220, 700, 700, 702)])
FILES = {
    "trim": BADGE,
    "specks": BADGE,
    "thicken": BADGE,
    "background": on_ground(BADGE),
    "harden": with_glow(BADGE, 9.0),
}


def saved(folder: Path, name: str, rgba: np.ndarray) -> Path:
    """The art as a PNG of 300 pixels an inch."""
    path = folder / name
    Image.fromarray(rgba).save(path, dpi=(300, 300))
    return path


def told(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, dict[str, object]]:
    """Exit status and JSON of a check."""
    status = main(["check", *(str(w) for w in words), "--json"])
    return status, json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("name", FILES)
def test_the_repaired_file_has_the_finding_no_more(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each repair answers the query it is offered for, in a file of its own that says its resolution."""
    file, out = saved(tmp_path, "art.png", FILES[name]), tmp_path / "out.png"
    before = file.read_bytes()
    mends = OFFERED[name][0]
    status, answer = told(capsys, file, "--ppi", 300, "--repair", out, "--repairs", name)
    if name == "trim":  # ordered by width: only then is a margin a query
        status, answer = told(capsys, file, "--width-mm", 84.67, "--repair", out, "--repairs", name)
    assert status == 3
    assert mends in [ALIKE.get(f["check"], f["check"]) for f in answer["findings"]]  # type: ignore[attr-defined]
    done = {r["repair"]: r for r in answer["repairs"]}  # type: ignore[attr-defined]
    assert list(done) == list(NAMES)
    assert [n for n, r in done.items() if r["done"]] == [name]
    assert done[name]["mends"] == mends
    assert file.read_bytes() == before
    width_mm = answer["repaired"]["print_mm"][0]  # type: ignore[index]
    _, again = told(capsys, out, "--width-mm", width_mm)
    left = [f["check"] for f in again["findings"] if f["level"] != "note"]  # type: ignore[attr-defined]
    assert mends not in [ALIKE.get(check, check) for check in left]
    assert again["measures"]["stored_ppi"] == pytest.approx(again["measures"]["ppi"], rel=0.001)  # type: ignore[index]
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_all_queries_are_answered_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without naming any, every repair that answers a query is done, and nothing else."""
    file, out = saved(tmp_path, "a.png", on_ground(BADGE)), tmp_path / "out.png"
    changes = tmp_path / "changes.png"
    status, answer = told(capsys, file, "--width-mm", 60, "--repair", out, "--changes", changes)
    assert status == 3
    done = [r["repair"] for r in answer["repairs"] if r["done"]]  # type: ignore[attr-defined]
    assert done == ["background", "specks", "trim", "thicken"]
    left = [f["check"] for f in answer["repaired"]["findings"] if f["level"] == "query"]  # type: ignore[index]
    assert left in ([], ["resolution"])
    with Image.open(out) as picture, Image.open(changes) as shown:
        assert picture.mode == "RGBA"
        assert shown.width > shown.height


def test_nothing_to_repair_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Artwork without a fault is not written again, and what there is to say is said."""
    file, out = saved(tmp_path, "a.png", drawn(600, 600, [(0, 0, 600, 600)])), tmp_path / "out.png"
    assert main(["check", str(file), "--width-mm", "50", "--repair", str(out)]) == 0
    said = capsys.readouterr()
    assert "nothing to repair" in said.err
    assert not out.exists()


@pytest.mark.parametrize(
    "words",
    [
        ["--repair", "a.png"],
        ["--repair", "out.jpg"],
        ["--repair", "out.png", "--repairs", "trimm"],
        ["--repair", "out.png", "--changes", "out.png"],
        ["--repair", "out.png", "--harden-at", "1.5"],
        ["--repairs", "trim"],
        ["--repair", "nowhere/out.png"],
        ["b.png", "--repair", "out.png"],
    ],
)
def test_what_cannot_be_meant_is_refused(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The artwork is never overwritten, and wrong names are told before anything is opened."""
    for name in ("a.png", "b.png"):
        saved(tmp_path, name, BADGE)
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    monkeypatch.chdir(tmp_path)
    assert main(["check", "a.png", "--width-mm", "50", *words]) == 2
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_an_unreadable_file_is_refused_as_ever(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be opened cannot be repaired: the refusal says so, nothing is written."""
    (tmp_path / "a.png").write_bytes(b"\x89PNG\r\n\x1a\n broken")
    status, answer = told(capsys, tmp_path / "a.png", "--width-mm", 50, "--repair", tmp_path / "out.png")
    assert status == 4
    assert answer.get("repaired") is None
    assert not (tmp_path / "out.png").exists()


def test_a_picture_too_large_to_hold_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A repair holds the picture whole: beyond a size it says so instead of running out of memory."""
    side = round((MOST_MEGAPIXELS * 1.1e6) ** 0.5)
    Image.new("L", (side, side), 255).save(tmp_path / "a.png")
    _, answer = told(capsys, tmp_path / "a.png", "--ppi", 300, "--repair", tmp_path / "out.png")
    assert all("megapixels" in r["says"] for r in answer["repairs"])  # type: ignore[attr-defined]
    assert not (tmp_path / "out.png").exists()


@pytest.mark.parametrize(("width", "height"), [(1, 1), (3, 2), (200, 7)])
def test_a_picture_of_a_few_pixels_is_told(width: int, height: int, tmp_path: Path) -> None:
    """The smallest pictures get an answer, and no repair."""
    Image.new("RGB", (width, height), (255, 0, 0)).save(tmp_path / "a.png")
    settings = load_settings(None)
    job = PreflightJob(tmp_path / "a.png", "a.png", settings.limits, settings.film, ppi=300.0)
    with pytest.raises(ArtworkRefused) as caught:
        open_whole(job)
    assert caught.value.slug == "too-small-to-repair"


def test_repairs_travel_from_the_worker_unchanged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What goes over the pipe and back says the same; the command line knows every repair."""
    file = saved(tmp_path, "a.png", BADGE)
    _, answer = told(capsys, file, "--width-mm", 80, "--repair", tmp_path / "o.png")
    inside = {"slug": "", "outline": None}  # told between the processes alone
    document = answer | inside
    document.pop("size_advice", None)  # the command's own word, not the worker's
    document["repaired"] = answer["repaired"] | inside  # type: ignore[operator]
    back: Preflight = answer_from_json(document, b"")
    assert answer_as_json(back) == document
    assert tuple(REPAIR_NAMES) == NAMES
