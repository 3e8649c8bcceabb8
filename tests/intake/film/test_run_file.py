"""The run's file: every piece where it was planned, its artwork untouched, codes beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from intake.film.making import make_run_file, run_path
from intake.reading.film_pages import FilmPages, View
from intake.sandbox import Sandbox
from intake.shop import Shop
from tests.intake.film.film_shop import CODE, Kind, Made, as_bytes, badge, draw, photo, proved, run_of
from tickets.problems import ShopProblem

BADGE, WIDE, PHOTO = (40.0, 30.0), (90.0, 35.0), (60.0, 45.0)


def kinds() -> list[Kind]:
    """A few artworks of every way to lie."""
    return [
        Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 5),
        Kind("wide.png", as_bytes(badge(WIDE, 2)), WIDE, 3, turned=True),
        Kind("came-mirrored.png", as_bytes(badge(WIDE, 3)), WIDE, 2, mirrored=True),
        Kind("photo.jpg", as_bytes(photo(PHOTO, 4), "JPEG", quality=92), PHOTO, 2),
        Kind("both.png", as_bytes(badge(WIDE, 5)), WIDE, 2, turned=True, mirrored=True),
    ]


@pytest.fixture(scope="module")
def made(shop: Shop, sandbox: Sandbox, tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The file of these."""
    return draw(shop, run_of(shop, kinds()), sandbox, tmp_path_factory.mktemp("run") / "run.pdf")


def test_a_file_that_is_as_planned_is_proved(made: Made) -> None:
    """Turned, mirrored, with transparency and without: nothing is wrong."""
    assert proved(made.plan) == []
    assert made.drawn.without_code == ()


def test_a_mirrored_file_is_proved_too(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Where the shop's printing software doesn't mirror, the file is: its codes read un-mirrored."""
    mirrored = draw(shop, run_of(shop, kinds()), sandbox, tmp_path / "run.pdf", is_mirrored=True)
    assert proved(mirrored.plan) == []
    with FilmPages(mirrored.path) as pages:
        view = View(0, 0, 400, 300)
        plain = pages.picture(0, view, is_mirrored=False)
        upright = pages.picture(0, view, is_mirrored=True)
    assert (plain != upright).any()


def test_cut_marks_touch_no_piece(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """With marks the file is proved as well: they lie in the clear film."""
    marked = draw(shop, run_of(shop, kinds()), sandbox, tmp_path / "run.pdf", marks=True)
    assert proved(marked.plan) == []
    assert len(marked.plan.pages[0].others) > len(marked.drawn.pages[0].codes) + 4


def test_an_artwork_is_in_the_file_once_however_often_it_lies_there(made: Made) -> None:
    """Five kinds, fourteen pieces: five artworks."""
    with pikepdf.open(made.path) as pdf:
        names = set(pdf.pages[0].Resources.XObject.keys())
    assert len(names) == 5
    assert len(made.run.pieces) == 14


def test_pixels_and_transparency_are_those_of_the_file(made: Made) -> None:
    """Sample for sample, also where the art is clear."""
    own = np.asarray(badge(BADGE, 1))
    with pikepdf.open(made.path) as pdf:
        images = [image for image in pdf.pages[0].Resources.XObject.values() if "/SMask" in image]
        (image,) = [i for i in images if (int(i.Width), int(i.Height)) == (own.shape[1], own.shape[0])]
        colours = np.frombuffer(image.read_bytes(), np.uint8).reshape(*own.shape[:2], 3)
        alpha = np.frombuffer(image.SMask.read_bytes(), np.uint8).reshape(own.shape[:2])
    assert (colours == own[..., :3]).all()
    assert (alpha == own[..., 3]).all()


def test_a_jpeg_is_in_the_file_byte_for_byte(made: Made) -> None:
    """It is not decoded and encoded again."""
    content = as_bytes(photo(PHOTO, 4), "JPEG", quality=92)
    assert content in made.path.read_bytes()


def test_deep_pixels_keep_their_depth(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Sixteen bits a sample stay sixteen."""
    ramp = np.linspace(0, 65535, 300 * 200).reshape(200, 300).astype(np.uint16)
    deep = Image.fromarray(ramp)
    run = run_of(shop, [Kind("ramp.png", as_bytes(deep), (30.0, 20.0), 1)])
    drawn = draw(shop, run, sandbox, tmp_path / "run.pdf")
    with pikepdf.open(drawn.path) as pdf:
        (image,) = pdf.pages[0].Resources.XObject.values()
        found = np.frombuffer(image.read_bytes(), ">u2").reshape(200, 300)
    assert (found == ramp).all()
    assert proved(drawn.plan) == []


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_stands_upright_whichever_way_it_was_held(
    orientation: int, shop: Shop, sandbox: Sandbox, tmp_path: Path
) -> None:
    """The eight ways of EXIF: the file's own bytes, turned by the page."""
    held = Image.Exif()
    held[0x0112] = orientation
    content = as_bytes(photo((30.0, 20.0), 6), "JPEG", quality=92, exif=held)
    size = (30.0, 20.0) if orientation < 5 else (20.0, 30.0)
    drawn = draw(shop, run_of(shop, [Kind("held.jpg", content, size, 1)]), sandbox, tmp_path / "run.pdf")
    assert content in drawn.path.read_bytes()
    assert proved(drawn.plan) == []


def test_a_long_run_has_pages_of_at_most_five_metres(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Twelve metres: three pages, no piece cut, together as long as the run; labels at both ends only."""
    size = (90.0, 300.0)
    art = Kind("badge.png", as_bytes(badge(size, 1, ppi=72)), size, 39)
    long = draw(shop, run_of(shop, [art], width_mm=100.0), sandbox, tmp_path / "run.pdf")
    lengths = [page.length_mm for page in long.plan.pages]
    assert len(lengths) == 3
    assert max(lengths) <= 5000
    assert sum(lengths) == pytest.approx(long.run.length_mm)
    assert [len(page.qr) for page in long.plan.pages] == [1, 0, 1]
    assert sum(len(page.pieces) for page in long.plan.pages) == 39
    assert proved(long.plan) == []


def test_a_film_without_room_for_its_label_gets_some(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """A narrow edge is made longer by what the label needs; what was planned lies so much further on."""
    run = run_of(shop, kinds()[:1])
    drawn = draw(shop, run, sandbox, tmp_path / "run.pdf", edge_mm=10.0)
    assert drawn.drawn.length_mm == pytest.approx(run.length_mm + 16)
    assert proved(drawn.plan) == []


def test_a_run_is_made_proved_and_put_in_its_place(shop: Shop) -> None:
    """`papers/runs/<run>.pdf`, and nothing else is left there."""
    made = make_run_file(shop, run_of(shop, kinds()))
    assert made.path == run_path(shop, CODE)
    assert [p.name for p in made.path.parent.iterdir()] == [f"{CODE}.pdf"]


def test_what_was_released_stands_while_another_fails(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that is not proved replaces nothing, and says what is wrong."""
    run = run_of(shop, kinds())
    before = make_run_file(shop, run).path.read_bytes()
    monkeypatch.setattr("intake.film.making.proof_faults", lambda *_: ["Page 1 is blue."])
    with pytest.raises(ShopProblem, match="Page 1 is blue") as failed:
        make_run_file(shop, run)
    assert failed.value.slug == "film-proof-failed"
    assert run_path(shop, CODE).read_bytes() == before


def test_a_missing_original_is_named(shop: Shop) -> None:
    """The customer's file name, not a hash."""
    run = run_of(shop, [Kind("gone.png", as_bytes(badge((10.0, 10.0), 77)), (10.0, 10.0), 1)])
    for original in shop.originals.rglob(run.pieces[0].artwork_sha256):
        original.unlink()
    with pytest.raises(ShopProblem, match=r"gone\.png") as missing:
        make_run_file(shop, run)
    assert missing.value.slug == "film-artwork-missing"


def test_a_cache_that_is_no_artwork_is_made_again(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Cut short, or something else altogether: the file comes out the same."""
    run = run_of(shop, kinds()[:1])
    whole = draw(shop, run, sandbox, tmp_path / "one.pdf").path.read_bytes()
    (art,) = draw(shop, run, sandbox, tmp_path / "two.pdf").arts.paths.values()
    for spoilt in (b"", art.read_bytes()[:-20], b"%PDF" * 100):
        art.write_bytes(spoilt)
        assert draw(shop, run, sandbox, tmp_path / "again.pdf").path.read_bytes() == whole


def test_edges_that_lie_between_two_pixels_are_no_fault(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Boxes that begin or end on a pixel of the proof's picture to a thousandth: PDFium takes either side."""
    size = (round(100 * 25.4 / 72, 4), round(80 * 25.4 / 72, 4))
    run = run_of(shop, [Kind("badge.png", as_bytes(badge(size, 9)), size, 8)])
    px = 25.4 / 72
    off = (0, 2e-3, -2e-3, 5e-4, -5e-4, 0.5, 9e-3, -9e-3)
    moved = [
        replace(piece, x_mm=(150 * at + px_off) * px, y_mm=(130 * at + 60 + px_off) * px)
        for at, (piece, px_off) in enumerate(zip(run.pieces, off, strict=True))
    ]
    at_edges = replace(run, pieces=tuple(moved), width_mm=450.0, length_mm=1200 * px)
    made = draw(shop, at_edges, sandbox, tmp_path / "run.pdf")
    assert proved(made.plan) == []
