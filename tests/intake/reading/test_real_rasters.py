"""Other people's raster files, with facts that independent readers agree on; read in place where there."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from intake.reading import open_artwork
from tests.intake.reading.raster_drawing import LIMITS, alpha_counts, pixels_of
from tickets.problems import ArtworkRefused

FOLDER = Path(os.environ.get("FILMDOCKET_ARTWORK") or Path(__file__).parents[4] / "shared" / "artwork")
RASTERS = {".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".gif", ".bmp"}
TRUTH: list[dict[str, Any]] = (
    json.loads((FOLDER / "real_truth.json").read_text("utf-8"))
    if (FOLDER / "real_truth.json").is_file()
    else []
)
FACTS = [truth for truth in TRUTH if Path(truth["file"]).suffix in RASTERS]

pytestmark = pytest.mark.skipif(not FACTS, reason="only on machines that hold the real artwork files")


@pytest.mark.parametrize("truth", FACTS, ids=lambda truth: truth["file"])
def test_the_facts_of_a_real_file_are_right(truth: dict[str, Any]) -> None:
    """Upright size, stored resolution or conflict, frames or pages, and counts of see-through pixels."""
    facts, path = truth["facts"], FOLDER / "real" / truth["file"]
    if truth["expect"] == "reject-with-reason":
        with pytest.raises(ArtworkRefused):
            pixels_of(open_artwork(path, 1, LIMITS), rows=256)
        return
    opened = open_artwork(path, 1, LIMITS)
    artwork = opened.artwork
    assert artwork.pixels == tuple(facts["upright_px"])
    stored = facts.get("upright_ppi", facts["stored_ppi"])
    if isinstance(stored, str):
        assert (artwork.stored_ppi, artwork.stored_ppi_from) == (None, "conflict")
    else:
        assert artwork.stored_ppi == (None if stored is None else pytest.approx(stored, abs=0.001))
    assert max(artwork.frames, artwork.pages) == facts["frames"]
    alpha = facts["alpha"]
    if "transparent" in alpha:
        assert alpha_counts(pixels_of(opened, rows=256)) == (
            alpha["transparent"],
            alpha["semi"],
            alpha["opaque"],
        )
    else:
        assert not artwork.has_alpha
