"""One file's whole answer: the print size, the numbers as the contract names them, and a picture."""

from __future__ import annotations

import dataclasses
import io
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from config.settings import load_settings
from intake.facts import Artwork, Preflight, Verdict
from intake.preflight import MEASURES, PreflightJob, print_size, run_preflight
from intake.sandbox import Sandbox
from intake.sandbox.wire import (
    BrokenFrame,
    answer_as_json,
    answer_from_json,
    job_as_json,
    job_from_json,
    read_frame,
    write_frame,
)
from tickets.problems import ArtworkRefused

SETTINGS = load_settings(None)
RASTER = Artwork(kind="PNG", shape=2.0, pixels=(600, 300), pages=1)
PAGE = Artwork(kind="PDF", shape=0.5, pixels=None, pages=1, size_mm=(50.0, 100.0))


def job(path: Path = Path("a.png"), **wanted: object) -> PreflightJob:
    """A job at the shipped limits."""
    return PreflightJob(path, path.name, SETTINGS.limits, SETTINGS.film, **wanted)  # type: ignore[arg-type]


def bar(path: Path, width_px: int = 12, dpi: int = 300) -> Path:
    """A PNG of 600 × 300 pixels, clear, with one black bar of `width_px` over nearly all of its height."""
    rgba = np.zeros((300, 600, 4), np.uint8)
    rgba[5:295, 100 : 100 + width_px] = (0, 0, 0, 255)
    rgba[5:295, 5:60] = (200, 0, 0, 255)
    rgba[5:295, 560:595] = (200, 0, 0, 255)
    Image.fromarray(rgba).save(path, dpi=(dpi, dpi))
    return path


@pytest.mark.parametrize(
    ("artwork", "wanted", "size"),
    [
        (RASTER, {"width_mm": 90.0}, (90.0, 45.0)),
        (RASTER, {"height_mm": 90.0}, (180.0, 90.0)),
        (RASTER, {"width_mm": 90.0, "height_mm": 60.0}, (90.0, 45.0)),  # printed at the width; `shape` asks
        (RASTER, {"ppi": 300.0}, (50.8, 25.4)),
        (PAGE, {"width_mm": 90.0}, (90.0, 180.0)),
        (PAGE, {"ppi": 300.0}, (50.0, 100.0)),
        # pixels twice as high as wide: 600 px across are as long as 300 down, the coarser way gets the 300
        (dataclasses.replace(RASTER, shape=1.0), {"ppi": 300.0}, (25.4, 25.4)),
    ],
)
def test_the_print_size_follows_what_was_ordered(
    artwork: Artwork, wanted: dict[str, float], size: tuple[float, float]
) -> None:
    """Width first, then height, then resolution; the other side always from the artwork's shape."""
    got = print_size(job(Path("a.png"), **wanted), artwork)
    assert (got.width_mm, got.height_mm) == pytest.approx(size)
    assert (got.ordered_width_mm, got.ordered_height_mm) == (wanted.get("width_mm"), wanted.get("height_mm"))


def test_a_resolution_sizes_nothing_without_pixels_or_a_page() -> None:
    """The refusal asks for a size."""
    with pytest.raises(ArtworkRefused) as told:
        print_size(job(ppi=300.0), dataclasses.replace(RASTER, pixels=None))
    assert told.value.slug == "size-not-told"


def test_a_job_without_any_size_is_a_bug() -> None:
    """Whoever asks must say how large it will be."""
    with pytest.raises(ValueError, match="width"):
        print_size(job(), RASTER)


def test_the_answer_has_every_number_of_the_contract(tmp_path: Path) -> None:
    """A bar of 12 px at 300 ppi is 1.016 mm; every measure is there, and the JSON is JSON."""
    answer = run_preflight(job(bar(tmp_path / "crest.png"), width_mm=50.8))
    assert tuple(answer.measures) == MEASURES
    assert answer.print_mm == (50.8, 25.4)
    assert answer.measures["kind"] == "PNG"
    assert answer.measures["pixels"] == [600, 300]
    assert answer.measures["ppi"] == [300.0, 300.0]
    assert answer.measures["stored_ppi"] == [300.0, 300.0]
    assert answer.measures["stored_ppi_from"] == "pHYs"
    assert answer.measures["alpha"] == "hard"
    assert answer.verdict == Verdict.CLEAR
    assert json.loads(json.dumps(answer.as_json()))["file"] == "crest.png"


def test_a_thin_bar_is_found_and_the_resolution_is_that_of_the_print(tmp_path: Path) -> None:
    """The same file at a third of the size: 900 ppi whatever is stored, and the bar of 2 px is 0.056 mm."""
    answer = run_preflight(job(bar(tmp_path / "a.png", width_px=2, dpi=72), width_mm=50.8 / 3))
    assert answer.measures["ppi"] == [900.0, 900.0]
    assert answer.measures["stored_ppi"] == [72.0, 72.0] or answer.measures["stored_ppi"] == [72.01, 72.01]
    assert answer.measures["thinnest_line_mm"] == pytest.approx(2 * 25.4 / 900, abs=0.03)
    assert "line-width" in {f.check for f in answer.findings}
    assert answer.verdict == Verdict.QUERY


def test_the_picture_is_the_art_made_small(tmp_path: Path) -> None:
    """A PNG of at most 1,000 pixels on its longer side, clear where the art is; none when none is wanted."""
    Image.new("RGBA", (3000, 1500), (255, 0, 0, 0)).save(tmp_path / "a.png")
    asked = job(tmp_path / "a.png", width_mm=100.0)
    picture = Image.open(io.BytesIO(run_preflight(asked).picture_png))
    assert (picture.mode, max(picture.size) <= 1000) == ("RGBA", True)
    assert picture.width / picture.height == pytest.approx(2, abs=0.01)
    assert picture.getpixel((5, 5))[3] == 0  # type: ignore[index]
    assert run_preflight(dataclasses.replace(asked, want_picture=False)).picture_png == b""


@pytest.mark.parametrize("size", [(1, 1), (1, 4), (3, 2), (1, 8), (5000, 1)])
@pytest.mark.parametrize("width_mm", [0.01, 10.0, 3000.0])
def test_the_smallest_pictures_at_the_oddest_sizes_get_an_answer(
    tmp_path: Path, size: tuple[int, int], width_mm: float
) -> None:
    """A pixel or two, a single row, a hundredth of a millimetre, three metres: never a fault."""
    Image.new("RGBA", size, (200, 0, 0, 255)).save(tmp_path / "a.png")
    answer = run_preflight(job(tmp_path / "a.png", width_mm=width_mm))
    assert answer.measures["pixels"] == list(size)
    assert answer.verdict in set(Verdict)


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    """Answer and picture do not vary from one look to the next."""
    asked = job(bar(tmp_path / "a.png"), width_mm=50.0)
    assert run_preflight(asked) == run_preflight(asked)


def test_a_refused_file_is_an_answer_with_one_finding(tmp_path: Path) -> None:
    """Verdict refuse, check `file`, all measures null, the slug beside it."""
    (tmp_path / "crest.png").write_text("please print")
    answer = run_preflight(job(tmp_path / "crest.png", width_mm=90.0))
    assert (answer.verdict, answer.slug, answer.print_mm) == (Verdict.REFUSE, "kind-not-read", None)
    assert [f.check for f in answer.findings] == ["file"]
    assert set(answer.measures.values()) == {None}
    assert tuple(answer.measures) == MEASURES


def test_a_refused_file_of_a_known_kind_tells_its_kind(tmp_path: Path) -> None:
    """A cut PNG is a PNG all the same."""
    whole = bar(tmp_path / "a.png").read_bytes()
    (tmp_path / "a.png").write_bytes(whole[:-20])
    answer = run_preflight(job(tmp_path / "a.png", width_mm=90.0))
    assert (answer.slug, answer.measures["kind"]) == ("file-cut-short", "PNG")


def test_a_wrong_ending_is_told_by_the_customers_name_for_the_file(tmp_path: Path) -> None:
    """Originals lie under their hash; the remark is about the name that the customer gave."""
    kept = bar(tmp_path / "a.png").rename(tmp_path / "9f2c")
    answer = run_preflight(dataclasses.replace(job(kept, width_mm=50.8), name="crest.jpg"))
    assert answer.file == "crest.jpg"
    assert any(".jpg" in f.says and "PNG" in f.says for f in answer.findings)


def test_broken_picture_data_is_a_question(tmp_path: Path) -> None:
    """Damage that the decoder can step over is put to the customer."""
    noise = np.random.default_rng(7).integers(0, 256, (60, 80, 3)).astype(np.uint8)
    held = io.BytesIO()
    Image.fromarray(noise).save(held, "JPEG", quality=95, restart_marker_blocks=4)
    content = held.getvalue()
    at = content.index(b"\xff\xd3")
    (tmp_path / "a.jpg").write_bytes(content[:at] + bytes(100) + content[at:])
    answer = run_preflight(job(tmp_path / "a.jpg", width_mm=5.0))
    broken = [f for f in answer.findings if f.check == "file" and f.level == "query"]
    assert len(broken) == 1
    assert "broken" in broken[0].says


def test_the_sandbox_gives_the_same_answer(tmp_path: Path) -> None:
    """Through the pipes of a worker nothing is lost but decimals below 0.01 mm of a place."""
    asked = job(bar(tmp_path / "a.png", width_px=2), width_mm=50.8, garment="#10213f")
    with Sandbox(SETTINGS.sandbox.model_copy(update={"workers": 1})) as sandbox:
        through = sandbox.preflight(asked)
    assert through.as_json() == run_preflight(asked).as_json()
    assert through.picture_png == run_preflight(asked).picture_png


def test_a_job_goes_over_the_wire_whole() -> None:
    """Every setting and a name with bytes that are no UTF-8."""
    asked = job(Path("inbox/logo_\udce9.png"), width_mm=90.0, page=3, garment="#10213f", mirrored=True)
    assert job_from_json(json.loads(json.dumps(job_as_json(asked)))) == asked


@pytest.mark.parametrize(
    "change",
    [
        {"verdict": "fine"},
        {"print_mm": ["90", 80]},
        {"print_mm": [float("inf"), 80]},
        {"measures": []},
        {"measures": {"kind": {"a": 1}}},
        {"findings": [{"check": "x"}]},
        {"slug": None},
        {"file": 3},
    ],
)
def test_an_answer_of_another_form_is_not_taken(change: dict[str, object]) -> None:
    """Every value from a worker is looked at before it is believed."""
    plain = Preflight("a.png", Verdict.CLEAR, (90.0, 80.0), {"kind": "PNG"}, ())
    with pytest.raises(BrokenFrame):
        answer_from_json(answer_as_json(plain) | change, b"")


def test_frames_come_back_in_order_and_end() -> None:
    """Two frames, then None; a frame that breaks off or is too long is refused."""
    pipe = io.BytesIO()
    write_frame(pipe, {"a": "é"}, b"\0\1")
    write_frame(pipe, {"b": 2})
    pipe.seek(0)
    assert [read_frame(pipe), read_frame(pipe), read_frame(pipe)] == [
        ({"a": "é"}, b"\0\1"),
        ({"b": 2}, b""),
        None,
    ]
    for broken in (
        b"\0\0",
        b"\0\0\0\x05\0\0\0\0{}",
        b"\xff" * 8,
        b"\0\0\0\x02\0\0\0\0[]",
        b"\0\0\0\x01\0\0\0\0{",
    ):
        with pytest.raises(BrokenFrame):
            read_frame(io.BytesIO(broken))


def test_importing_the_job_loads_no_decoder() -> None:
    """The daemon and the command line make jobs without the weight of those who do them."""
    code = (
        "import sys; import intake.preflight;"
        "heavy = {'numpy', 'cv2', 'pyvips', 'PIL', 'intake.measure', 'intake.checks'} & set(sys.modules);"
        "sys.exit(f'loaded: {heavy}' if heavy else 0)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
