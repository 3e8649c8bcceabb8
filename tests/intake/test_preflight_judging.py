"""Whole files through the preflight: detail, garment, stray dots and rims in the answer that people get."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from config.settings import load_settings
from intake.facts import Level, Preflight
from intake.preflight import PreflightJob, run_preflight
from intake.sandbox import Sandbox
from tests.intake.measure.looked import cover_of_blobs, painted
from tests.intake.measure.truth.enlarging import draw_lettering, enlarged

SETTINGS = load_settings(None, {})


def answer(path: Path, **wanted: object) -> Preflight:
    """The preflight of a file at 300 ppi unless something else is wanted."""
    sizes = {"ppi": 300.0} | wanted
    return run_preflight(PreflightJob(path, path.name, SETTINGS.limits, SETTINGS.film, **sizes))  # type: ignore[arg-type]


def level_of(found: Preflight, check: str) -> Level | None:
    """How serious a check's finding is; None when there is none."""
    return next((finding.level for finding in found.findings if finding.check == check), None)


def test_an_enlarged_picture_is_asked_about_although_its_pixels_are_enough(tmp_path: Path) -> None:
    """300 pixels an inch that hold the detail of 100."""
    enlarged("lettering", np.random.default_rng(8), 600, 3.0, "bicubic").save(tmp_path / "blown-up.png")
    found = answer(tmp_path / "blown-up.png")
    assert found.measures["ppi"] == [300.0, 300.0]
    assert found.measures["detail_ppi"] == pytest.approx(100, rel=0.2)
    assert (level_of(found, "detail"), level_of(found, "resolution")) == (Level.QUERY, None)


def test_the_same_picture_at_its_first_size_is_not(tmp_path: Path) -> None:
    """Its detail is that of its pixels, and follows the size of the print."""
    draw_lettering(np.random.default_rng(8), 600).save(tmp_path / "first.png")
    found = answer(tmp_path / "first.png")
    assert found.measures["detail_ppi"] == pytest.approx(300, rel=0.2)
    assert level_of(found, "detail") is None
    half = answer(tmp_path / "first.png", ppi=150.0)
    assert half.measures["detail_ppi"] == pytest.approx(150, rel=0.2)
    assert (level_of(half, "detail"), level_of(half, "resolution")) == (None, Level.QUERY)


def test_navy_on_navy_is_asked_about_on_that_garment_only(tmp_path: Path) -> None:
    """The ordered garment decides; without one nothing is said."""
    Image.fromarray(painted(cover_of_blobs(), (16, 33, 63))).save(tmp_path / "navy.png")
    on_navy = answer(tmp_path / "navy.png", garment="#14254A")
    assert level_of(on_navy, "garment-contrast") == Level.QUERY
    assert level_of(answer(tmp_path / "navy.png", garment="#ffffff"), "garment-contrast") is None
    assert level_of(answer(tmp_path / "navy.png"), "garment-contrast") is None


@pytest.mark.parametrize("size", [(1, 1), (1, 40), (40, 1), (2, 2), (3, 700)])
def test_the_smallest_pictures_meet_a_garment(tmp_path: Path, size: tuple[int, int]) -> None:
    """A picture of a pixel has an answer too."""
    Image.new("RGBA", size, (16, 33, 63, 255)).save(tmp_path / "tiny.png")
    assert answer(tmp_path / "tiny.png", garment="#10213f").measures["detail_ppi"] is None


def test_the_sandbox_says_the_same(tmp_path: Path) -> None:
    """All new facts are judged within the worker; the answer comes over whole."""
    picture = painted(cover_of_blobs(), (16, 33, 63))
    picture[570:572, 640:642] = (200, 30, 40, 255)
    Image.fromarray(picture).save(tmp_path / "art.png")
    wanted = {"garment": "#14254a", "mirrored": True}
    here = answer(tmp_path / "art.png", **wanted)
    job = PreflightJob(
        tmp_path / "art.png",
        "art.png",
        SETTINGS.limits,
        SETTINGS.film,
        ppi=300.0,
        garment="#14254a",
        mirrored=True,
    )
    with Sandbox(SETTINGS.sandbox) as sandbox:
        assert sandbox.preflight(job).as_json() == here.as_json()
    assert {"garment-contrast", "specks", "mirrored"} <= {finding.check for finding in here.findings}
