"""The proof of a run's file: whatever is spoilt in it is found, named, and said where it is."""

from __future__ import annotations

import shutil
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest
from pikepdf import Array, Name, Operator

from intake.film.making import proof_faults
from intake.sandbox import Sandbox
from intake.shop import Shop
from tests.intake.film.film_shop import Kind, Made, as_bytes, badge, draw, photo, proved, run_of

BADGE, OTHER, PHOTO = (40.0, 30.0), (40.0, 30.0), (60.0, 45.0)
Spoil = Callable[[pikepdf.Pdf], None]


@pytest.fixture(scope="module")
def sound(shop: Shop, sandbox: Sandbox, tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A file that nothing is wrong with."""
    kinds = [
        Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 4),
        Kind("other.png", as_bytes(badge(OTHER, 2)), OTHER, 3),
        Kind("photo.jpg", as_bytes(photo(PHOTO, 3), "JPEG", quality=90), PHOTO, 2),
    ]
    return draw(shop, run_of(shop, kinds, 300.0), sandbox, tmp_path_factory.mktemp("proof") / "sound.pdf")


def placed(pdf: pikepdf.Pdf, number: int) -> tuple[list[Any], int]:
    """The page's instructions, and which of them places the piece of this number (from 1)."""
    steps: list[Any] = list(pikepdf.parse_content_stream(pdf.pages[0]))
    places = [at for at, step in enumerate(steps) if step.operator == Operator("Do")]
    return steps, places[number - 1]


def put_back(pdf: pikepdf.Pdf, steps: list[Any]) -> None:
    """The page drawn by other instructions."""
    pdf.pages[0].Contents = pdf.make_stream(pikepdf.unparse_content_stream(steps))


def moved_by(mm: float, axis: int = 4) -> Spoil:
    """Piece 2 lies elsewhere."""

    def spoil(pdf: pikepdf.Pdf) -> None:
        steps, at = placed(pdf, 2)
        matrix = [float(v) for v in steps[at - 1].operands]
        matrix[axis] += mm
        steps[at - 1] = ([*matrix], Operator("cm"))
        put_back(pdf, steps)

    return spoil


def drop_one(pdf: pikepdf.Pdf) -> None:
    """Piece 3 is not drawn."""
    steps, at = placed(pdf, 3)
    del steps[at]
    put_back(pdf, steps)


def draw_one_twice(pdf: pikepdf.Pdf) -> None:
    """Piece 3 is drawn once more where it lies."""
    steps, at = placed(pdf, 3)
    steps.insert(at, steps[at])
    put_back(pdf, steps)


def swap_art(pdf: pikepdf.Pdf) -> None:
    """Piece 1 is of the other artwork, which has the same size."""
    steps, at = placed(pdf, 1)
    _, other = placed(pdf, 5)
    steps[at] = steps[other]
    put_back(pdf, steps)


def turn_round(pdf: pikepdf.Pdf) -> None:
    """Piece 1 stands on its head."""
    steps, at = placed(pdf, 1)
    a, b, c, d, e, f = (float(v) for v in steps[at - 1].operands)
    steps[at - 1] = ([-a, -b, -c, -d, e + a + c, f + b + d], Operator("cm"))
    put_back(pdf, steps)


def masked_image(pdf: pikepdf.Pdf) -> Any:
    """The first image that has transparency."""
    return next(x for x in pdf.pages[0].Resources.XObject.values() if "/SMask" in x)


def repaint(stream: Any, change: Callable[[np.ndarray[Any, Any]], np.ndarray[Any, Any]]) -> None:
    """Other samples in an image."""
    samples = np.frombuffer(stream.read_bytes(), np.uint8)
    changed = change(samples.astype(int)).clip(0, 255).astype(np.uint8)
    stream.write(zlib.compress(changed.tobytes()), filter=Name.FlateDecode)


def tint(pdf: pikepdf.Pdf) -> None:
    """All colours of an artwork are five steps of 255 lighter or darker."""
    repaint(masked_image(pdf), lambda samples: np.where(samples < 128, samples + 5, samples - 5))


def swap_channels(pdf: pikepdf.Pdf) -> None:
    """Red is blue."""
    repaint(masked_image(pdf), lambda samples: samples.reshape(-1, 3)[:, ::-1].ravel())


def flatten(pdf: pikepdf.Pdf) -> None:
    """The transparency is gone: a white box."""
    del masked_image(pdf)["/SMask"]


def thin_out(pdf: pikepdf.Pdf) -> None:
    """The art is a twentieth fainter."""
    repaint(masked_image(pdf).SMask, lambda samples: samples * 19 // 20)


def add_ink(pdf: pikepdf.Pdf) -> None:
    """A dot in the clear film."""
    steps = list(pikepdf.parse_content_stream(pdf.pages[0]))
    put_back(pdf, [*steps, ([780, 200, 6, 6], Operator("re")), ([], Operator("f"))])


def make_shorter(pdf: pikepdf.Pdf) -> None:
    """The page is a millimetre shorter."""
    box = [float(v) for v in pdf.pages[0].MediaBox]
    pdf.pages[0].MediaBox = Array([box[0], box[1], box[2], box[3] - 72 / 25.4])


def hide_code(pdf: pikepdf.Pdf) -> None:
    """Black over half of the first QR code."""
    steps = list(pikepdf.parse_content_stream(pdf.pages[0]))
    top = float(pdf.pages[0].MediaBox[3])
    put_back(pdf, [*steps, ([5, top - 30, 40, 22], Operator("re")), ([], Operator("f"))])


def add_page(pdf: pikepdf.Pdf) -> None:
    """One page more."""
    pdf.pages.append(pdf.pages[0])


SPOILT: list[tuple[Spoil, str]] = [
    (moved_by(0.15), r"piece 2 \(ABC1211\) was planned; the nearest is 0\.15 mm"),
    (moved_by(-5.0, axis=5), r"piece 2 \(ABC1211\) was planned; the nearest is 5\.00 mm"),
    (moved_by(0.3, axis=0), r"piece 2 \(ABC1211\) was planned"),
    (drop_one, r"piece 3 \(ABC1211\) was planned"),
    (draw_one_twice, "10 pieces lie on the page, 9 were planned"),
    (swap_art, r"Piece 1 \(ABC1211\) is not drawn as its artwork is"),
    (turn_round, r"piece 1 \(ABC1211\) was planned"),
    (tint, r"Piece 1 \(ABC1211\) is not drawn as its artwork is: its colours differ"),
    (swap_channels, "its colours differ"),
    (flatten, r"of the ink"),
    (thin_out, r"95% of the ink"),
    (add_ink, r"There is ink at 27\d mm across"),
    (make_shorter, r"The page is 300\.00 × .* mm, planned was"),
    (hide_code, "A QR code of the run cannot be read"),
    (add_page, "The file has 2 pages, 1 were planned"),
]


@pytest.mark.parametrize(("spoil", "says"), SPOILT, ids=lambda v: getattr(v, "__name__", ""))
def test_whatever_is_spoilt_is_found_and_named(spoil: Spoil, says: str, sound: Made, tmp_path: Path) -> None:
    """The first fault that is told is the one that was made."""
    import re

    path = tmp_path / "spoilt.pdf"
    with pikepdf.open(sound.path) as pdf:
        spoil(pdf)
        pdf.save(path)
    faults = proved(replace(sound.plan, pdf=str(path)))
    assert faults
    assert re.search(says, faults[0].says), faults


def test_the_file_that_they_were_made_of_is_sound(sound: Made, tmp_path: Path) -> None:
    """Opened and saved again by another program it is proved as before."""
    path = tmp_path / "saved.pdf"
    with pikepdf.open(sound.path) as pdf:
        pdf.save(path)
    assert proved(replace(sound.plan, pdf=str(path))) == []


def test_a_plan_that_keeps_no_gap_is_found(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """What is drawn as planned is wrong all the same when pieces are planned too near, or over each other."""
    run = run_of(shop, [Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 3)], 300.0)
    for nearer, says in ((2.0, "6.0 mm of clear film, 8.0 mm are wanted"), (20.0, "0.0 mm of clear film")):
        first, second, third = run.pieces
        near = replace(run, pieces=(first, replace(second, x_mm=second.x_mm - nearer), third))
        made = draw(shop, near, sandbox, tmp_path / "near.pdf")
        assert says in proved(made.plan)[0].says


def test_ink_that_is_too_near_is_found_though_boxes_may_overlap(
    shop: Shop, sandbox: Sandbox, tmp_path: Path
) -> None:
    """Where pieces lock into each other the distance field of what was drawn judges, not their boxes."""
    run = run_of(shop, [Kind("badge.png", as_bytes(badge(BADGE, 1)), BADGE, 2)], 300.0)
    first, second = run.pieces
    # The badge is an oval: along the diagonal its box may come nearer than its ink.
    corner = replace(second, x_mm=first.x_mm + 34.0, y_mm=first.y_mm + 32.0)
    locked = draw(
        shop, replace(run, pieces=(first, corner), length_mm=200.0), sandbox, tmp_path / "locked.pdf"
    )
    assert proved(replace(locked.plan, boxes_apart=False)) == []
    near = replace(second, x_mm=first.x_mm + 43.0)
    made = draw(shop, replace(run, pieces=(first, near)), sandbox, tmp_path / "near.pdf")
    (fault,) = proved(replace(made.plan, boxes_apart=False))
    assert "mm of clear film, 8.0 mm are wanted" in fault.says


def test_the_worker_tells_the_same(shop: Shop, sandbox: Sandbox, sound: Made, tmp_path: Path) -> None:
    """In the sandbox, over the pipe: the same sentences as beside it."""
    assert proof_faults(shop, "sound", sound.plan, sandbox) == []
    path = tmp_path / "spoilt.pdf"
    with pikepdf.open(sound.path) as pdf:
        drop_one(pdf)
        pdf.save(path)
    spoilt = replace(sound.plan, pdf=str(path))
    assert list(proof_faults(shop, "spoilt", spoilt, sandbox)) == [f.says for f in proved(spoilt)]


def test_what_is_no_pdf_is_said_to_be_none(sound: Made, tmp_path: Path) -> None:
    """Cut short, or empty."""
    path = tmp_path / "none.pdf"
    for content in (b"", b"not a PDF"):
        path.write_bytes(content)
        assert [f.says for f in proved(replace(sound.plan, pdf=str(path)))] == [
            "The file cannot be read as a PDF."
        ]
    shutil.copy(sound.path, path)
    assert proved(replace(sound.plan, pdf=str(path))) == []
