"""EPS where a PostScript interpreter is installed, and a plain sentence where there is none."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest

from config.settings import FileLimits, load_settings
from intake.facts import PrintSize
from intake.reading import eps, kind_of, looks_unfinished, open_artwork
from intake.reading.eps import interpreter, postscript_of
from tickets.problems import ArtworkRefused

LIMITS: FileLimits = load_settings(None, {}).limits.file
DRAWING = b"""%!PS-Adobe-3.0 EPSF-3.0
%%BoundingBox: 10 20 154 92
1 0 0 setrgbcolor 0.5 setlinewidth 20 30 moveto 144 30 lineto stroke
40 40 50 30 rectfill
showpage
%%EOF
"""
installed = pytest.mark.skipif(interpreter() is None, reason="no PostScript interpreter on this machine")


def with_binary_header(drawing: bytes) -> bytes:
    """As old programs wrote it, with an (empty) preview."""
    return b"\xc5\xd0\xd3\xc6" + struct.pack("<IIIIIIH", 30, len(drawing), 0, 0, 0, 0, 0xFFFF) + drawing


@pytest.mark.parametrize("content", [DRAWING, with_binary_header(DRAWING)])
def test_without_an_interpreter_a_sentence_says_so(
    content: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused by name, with what to send instead."""
    monkeypatch.setattr(eps, "interpreter", lambda: None)
    (tmp_path / "a.eps").write_bytes(content)
    assert kind_of(tmp_path / "a.eps") == "EPS"
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.eps", 1, LIMITS)
    assert told.value.slug == "kind-not-read"
    assert "no interpreter is installed" in told.value.says
    assert "PDF" in told.value.do


@installed
@pytest.mark.parametrize("content", [DRAWING, with_binary_header(DRAWING)])
def test_lines_and_size_of_an_eps_are_read(content: bytes, tmp_path: Path) -> None:
    """2 × 1 inches by its bounding box; a line of half a point; nothing where nothing is painted."""
    (tmp_path / "a.eps").write_bytes(content)
    opened = open_artwork(tmp_path / "a.eps", 1, LIMITS)
    try:
        art = opened.artwork
        assert art.kind == "EPS"
        assert art.size_mm == pytest.approx((50.8, 25.4), abs=0.1)
        assert [round(line.width_pt, 3) for line in art.strokes] == [0.5]
        seen = np.concatenate(list(opened.pixels_at(PrintSize(50.8, 25.4)).bands(100)))
        covered = (seen[..., 3] > 127).mean() * 144 * 72
        assert covered == pytest.approx(50 * 30 + 124 * 0.5, rel=0.02)
    finally:
        opened.close()


@installed
def test_an_eps_reads_no_file_of_the_machine(tmp_path: Path) -> None:
    """The interpreter's safe mode refuses; the drawing is refused with it."""
    (tmp_path / "secret.txt").write_text("secret")
    program = f"({tmp_path}/secret.txt) (r) file 100 string readstring pop show".encode()
    (tmp_path / "a.eps").write_bytes(DRAWING.replace(b"showpage", program + b" showpage"))
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.eps", 1, LIMITS)
    assert told.value.slug == "file-damaged"


@installed
def test_an_endless_eps_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the clock."""
    monkeypatch.setattr(eps, "_SECONDS", 2)
    (tmp_path / "a.eps").write_bytes(DRAWING.replace(b"showpage", b"{} loop showpage"))
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.eps", 1, LIMITS)
    assert told.value.slug == "file-too-slow"


@installed
def test_broken_postscript_is_damaged(tmp_path: Path) -> None:
    """And leaves nothing behind."""
    (tmp_path / "a.eps").write_bytes(DRAWING.replace(b"stroke", b"strike"))
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.eps", 1, LIMITS)
    assert told.value.slug == "file-damaged"


def test_the_drawing_inside_a_binary_header_is_found() -> None:
    """By the offset and length that the header states."""
    assert postscript_of(with_binary_header(DRAWING)) == DRAWING


@pytest.mark.parametrize("cut", [8, 40])
def test_a_binary_header_cut_short_is_refused(cut: int) -> None:
    """Before any interpreter sees it."""
    with pytest.raises(ArtworkRefused):
        postscript_of(with_binary_header(DRAWING)[:cut])


def test_a_binary_header_that_states_more_than_there_is_looks_unfinished(tmp_path: Path) -> None:
    """An upload that stopped."""
    (tmp_path / "a.eps").write_bytes(with_binary_header(DRAWING)[:-9])
    assert looks_unfinished(tmp_path / "a.eps") is not None
