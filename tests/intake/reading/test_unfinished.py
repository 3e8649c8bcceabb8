"""A file that is still being written is told from a finished one, by its bytes alone."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from intake.reading import looks_unfinished
from tests.intake.reading.raster_drawing import MADE, Tiff, tiff

NOISE = np.random.default_rng(5).integers(0, 256, (120, 200, 3)).astype(np.uint8)
PDF = b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\nstartxref\n9\n%%EOF\n"


def saved(kind: str, **options: object) -> bytes:
    """A finished picture file of that kind, some 70 kB where it is not compressed."""
    held = io.BytesIO()
    Image.fromarray(NOISE).save(held, kind, **options)
    return held.getvalue()


FINISHED = {
    "PNG": saved("PNG"),
    "JPEG": saved("JPEG"),
    "progressive JPEG": saved("JPEG", progressive=True),
    "TIFF": saved("TIFF"),
    "LZW TIFF": saved("TIFF", compression="tiff_lzw"),
    "TIFF, directory first": tiff(Tiff(200, 120, NOISE.tobytes())),
    "BigTIFF": tiff(Tiff(200, 120, NOISE.tobytes()), big=True),
    "WebP": saved("WebP"),
    "lossless WebP": saved("WebP", lossless=True),
    "GIF": saved("GIF"),
    "BMP": saved("BMP"),
    "PDF": PDF,
}
COMPRESSED = [kind for kind in FINISHED if kind not in ("TIFF", "TIFF, directory first", "BigTIFF", "BMP")]


@pytest.mark.parametrize("kind", sorted(FINISHED))
def test_a_finished_file_is_not_suspected(tmp_path: Path, kind: str) -> None:
    """Every kind passes as its writers end it."""
    (tmp_path / "a").write_bytes(FINISHED[kind])
    assert looks_unfinished(tmp_path / "a") is None


def test_no_made_file_is_suspected() -> None:
    """Nor are the odd but whole files of the traps."""
    assert [p.name for p in MADE.iterdir() if looks_unfinished(p)] == []


@settings(max_examples=120, deadline=None)
@given(kind=st.sampled_from(sorted(FINISHED)), share=st.floats(0.02, 0.97))
def test_a_file_cut_anywhere_is_unfinished(
    tmp_path_factory: pytest.TempPathFactory, kind: str, share: float
) -> None:
    """Wherever a copy has come to, the file is seen to be on its way."""
    content = FINISHED[kind]
    path = tmp_path_factory.mktemp("cut") / "a"
    path.write_bytes(content[: max(12, int(len(content) * share))])
    assert looks_unfinished(path)


@settings(max_examples=80, deadline=None)
@given(kind=st.sampled_from(sorted(COMPRESSED)), share=st.floats(0.0, 0.95))
def test_space_set_aside_is_unfinished(
    tmp_path_factory: pytest.TempPathFactory, kind: str, share: float
) -> None:
    """A file of its final size whose end is still zeros is on its way too."""
    content = FINISHED[kind]
    here = int(len(content) * share)
    path = tmp_path_factory.mktemp("zeros") / "a"
    path.write_bytes(content[:here] + bytes(len(content) - here))
    assert looks_unfinished(path)


@pytest.mark.parametrize("kind", ["TIFF, directory first", "BigTIFF", "BMP"])
@pytest.mark.parametrize("blocks", [1, 5, 12])
def test_uncompressed_pixels_that_stop_at_a_block_of_the_disk_are_unfinished(
    tmp_path: Path, kind: str, blocks: int
) -> None:
    """Copies write whole blocks: zeros from a multiple of 4,096 bytes on are space set aside."""
    content = FINISHED[kind]
    here = blocks * 4096
    (tmp_path / "a").write_bytes(content[:here] + bytes(len(content) - here))
    assert looks_unfinished(tmp_path / "a")


@pytest.mark.parametrize("margin_rows", [10, 25, 41])
def test_a_black_or_clear_margin_at_the_bottom_is_finished(tmp_path: Path, margin_rows: int) -> None:
    """Uncompressed art may end in zeros of its own; 600 bytes a row, so none of these begins at a block."""
    pixels = NOISE.copy()
    pixels[-margin_rows:] = 0
    (tmp_path / "a.tif").write_bytes(tiff(Tiff(200, 120, pixels.tobytes())))
    assert looks_unfinished(tmp_path / "a.tif") is None


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "PDF", "GIF"])
def test_bytes_behind_the_end_are_no_sign(tmp_path: Path, kind: str) -> None:
    """Telephones and mail programs append things; padding to a block is zeros."""
    for tail in (b"\0" * 3000, b"appended by a program"):
        (tmp_path / "a").write_bytes(FINISHED[kind] + tail)
        assert looks_unfinished(tmp_path / "a") is None


def test_a_small_picture_inside_a_jpeg_is_not_taken_for_its_end(tmp_path: Path) -> None:
    """The thumbnail in the EXIF block has an end mark of its own."""
    thumbnail = b"Exif\0\0" + b"MM\0*\0\0\0\x08\0\0" + saved("JPEG", quality=5)[:20000] + b"\xff\xd9"
    segment = b"\xff\xe1" + (len(thumbnail) + 2).to_bytes(2, "big") + thumbnail
    whole = FINISHED["JPEG"][:2] + segment + FINISHED["JPEG"][2:]
    (tmp_path / "whole.jpg").write_bytes(whole)
    (tmp_path / "cut.jpg").write_bytes(whole[: len(whole) * 3 // 4])
    assert looks_unfinished(tmp_path / "whole.jpg") is None
    assert looks_unfinished(tmp_path / "cut.jpg")


@pytest.mark.parametrize(("content", "is_unfinished"), [(b"", True), (bytes(5000), True), (b"hello", False)])
def test_files_of_no_kind(tmp_path: Path, content: bytes, is_unfinished: bool) -> None:
    """Empty and all-zero files are on their way; other unknown files are what they are."""
    (tmp_path / "a").write_bytes(content)
    assert bool(looks_unfinished(tmp_path / "a")) == is_unfinished


@settings(max_examples=200, deadline=None)
@given(
    kind=st.sampled_from(sorted(FINISHED)),
    changes=st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), min_size=1, max_size=8),
)
def test_broken_files_end_in_an_answer(
    tmp_path_factory: pytest.TempPathFactory, kind: str, changes: list[tuple[int, int]]
) -> None:
    """The daemon asks this about strangers' files in its own process: it must never fall over or hang."""
    content = bytearray(FINISHED[kind])
    for at, value in changes:
        content[at % len(content)] = value
    path = tmp_path_factory.mktemp("broken") / "a"
    path.write_bytes(content)
    reason = looks_unfinished(path)
    assert reason is None or reason.endswith(".")


def test_it_needs_the_standard_library_alone() -> None:
    """No decoder is loaded by asking."""
    code = (
        "import sys; from pathlib import Path; from intake.reading import looks_unfinished;"
        f"looks_unfinished(Path({str(MADE / 'tif_orient6.tif')!r}));"
        "heavy = {'numpy', 'cv2', 'pyvips', 'PIL', 'pikepdf', 'pypdfium2'} & set(sys.modules);"
        "sys.exit(f'loaded: {heavy}' if heavy else 0)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
