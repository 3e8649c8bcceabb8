"""Other people's drawings and documents, with facts that independent readers agree on."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from intake.facts import PrintSize
from intake.reading import open_artwork
from tests.intake.reading.svg_drawing import LIMITS
from tickets.problems import ArtworkRefused

FOLDER = Path(os.environ.get("FILMDOCKET_ARTWORK") or Path(__file__).parents[4] / "shared" / "artwork")
TRUTH: list[dict[str, Any]] = (
    json.loads((FOLDER / "real_truth.json").read_text("utf-8"))
    if (FOLDER / "real_truth.json").is_file()
    else []
)
OTHERS = [t for t in TRUTH if Path(t["file"]).suffix in (".svg", ".svgz", ".psd", ".avif", ".heic")]
TAKEN = [t for t in OTHERS if t["expect"] != "reject-with-reason"]

pytestmark = pytest.mark.skipif(not OTHERS, reason="only on machines that hold the real artwork files")


def covers(path: Path, pixels: tuple[int, int]) -> tuple[float, float]:
    """Shares of the canvas that are clear and solid, at about this many pixels."""
    opened = open_artwork(path, 1, LIMITS)
    wide_mm = pixels[0] * 25.4 / LIMITS.render_ppi
    size = PrintSize(wide_mm, wide_mm / opened.artwork.shape)
    alpha = np.concatenate(list(opened.pixels_at(size).bands(64)))[..., 3]
    return float((alpha == 0).mean()), float((alpha == 255).mean())


@pytest.mark.parametrize("truth", OTHERS, ids=lambda t: t["file"])
def test_what_must_be_refused_is_and_nothing_else(truth: dict[str, Any]) -> None:
    """Bombs and impossible sizes end in a refusal with a reason."""
    path = FOLDER / "real" / truth["file"]
    if truth["expect"] != "reject-with-reason":
        assert open_artwork(path, 1, LIMITS).artwork.pages == 1
        return
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(path, 1, LIMITS)
    assert told.value.says


@pytest.mark.parametrize("truth", [t for t in TAKEN if "elements" in t["facts"]], ids=lambda t: t["file"])
def test_the_facts_of_a_real_drawing_are_right(truth: dict[str, Any]) -> None:
    """Physical size or none, missing files by name, scripts told, and what another renderer covers."""
    facts, path = truth["facts"], FOLDER / "real" / truth["file"]
    artwork = open_artwork(path, 1, LIMITS).artwork
    inches = facts["physical_inch"]
    size_mm = None if inches is None else pytest.approx([v * 25.4 for v in inches], abs=0.01)
    assert artwork.size_mm == size_mm
    told = " ".join(artwork.notes)
    pictures = [ref for ref in facts["external_refs"] if not ref.startswith("http")]
    assert [ref for ref in pictures if ref.split("#")[0].rsplit("/", 1)[-1] not in told] == []
    assert ("a script" in told) is facts["script"]
    seen = facts["render"]["cairosvg"]
    clear, solid = covers(path, tuple(seen["size"]))
    whole = seen["alpha"]["px"]
    assert clear == pytest.approx(seen["alpha"]["transparent"] / whole, abs=0.04)
    assert solid <= 1 - clear


@pytest.mark.parametrize("truth", [t for t in TAKEN if "stored_px" in t["facts"]], ids=lambda t: t["file"])
def test_the_facts_of_a_real_document_are_right(truth: dict[str, Any]) -> None:
    """Size, stored resolution, depth, and counts of clear, half clear and solid pixels."""
    facts, path = truth["facts"], FOLDER / "real" / truth["file"]
    opened = open_artwork(path, 1, LIMITS)
    artwork = opened.artwork
    assert artwork.pixels == tuple(facts["upright_px"])
    assert artwork.stored_ppi == pytest.approx(facts["stored_ppi"])
    assert artwork.bits == facts["colour"]["depth"]
    alpha = np.concatenate(list(opened.pixels_at(PrintSize(100, 100 / artwork.shape)).bands(64)))[..., 3]
    stated = facts["alpha"]
    if stated["kind"] == "none":
        assert not artwork.has_alpha
    else:
        clear, solid = int((alpha == 0).sum()), int((alpha == 255).sum())
        counts = (clear, alpha.size - clear - solid, solid)
        assert counts == (stated["transparent"], stated["semi"], stated["opaque"])
