"""What the detail of a picture supports: natives are left in peace, enlarged ones are found, blocks too."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageFilter

from intake.measure.detail import Sharpness
from intake.measure.repeats import lattice_of
from tests.intake.measure.truth.enlarging import KINDS, as_jpeg, enlarged, look_at

SIDE = 640
SEED = 411
GRAPHICS = ("logo", "lettering")


def rng_of(kind: str, number: int) -> np.random.Generator:
    """Dice that fall the same each time."""
    return np.random.default_rng([SEED, number, len(kind)])


def is_accused(found: Sharpness | None) -> bool:
    """Whether a query would come of it: a drawing that is soft by half, or a proof."""
    if found is None or not found.kind:
        return False
    return found.factor >= 1.5 and (found.kind != "soft" or not found.is_photo)


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_never_enlarged_is_not_accused(kind: str) -> None:
    """No query for a picture at its first size, as PNG or as JPEG."""
    for number in range(4):
        picture = KINDS[kind](rng_of(kind, number), SIDE)
        assert not is_accused(look_at(picture))
        assert not is_accused(look_at(as_jpeg(picture), is_lossy=True))


@pytest.mark.parametrize("kind", GRAPHICS)
@pytest.mark.parametrize("kernel", ["bilinear", "bicubic", "lanczos"])
@pytest.mark.parametrize("factor", [2.0, 3.0, 4.17])
def test_an_enlarged_drawing_is_found(kind: str, kernel: str, factor: float) -> None:
    """From twice on, as PNG and JPEG; the factor within the error that is told, or nearly."""
    picture = enlarged(kind, rng_of(kind, 1), SIDE, factor, kernel)
    for found in (look_at(picture), look_at(as_jpeg(picture), is_lossy=True)):
        assert found is not None
        assert is_accused(found)
        assert found.factor == pytest.approx(factor, rel=found.error + 0.05)


def test_an_enlarged_photo_is_proved_by_its_period() -> None:
    """A photo six times enlarged carries the period of its old pixels."""
    found = look_at(enlarged("photo", rng_of("photo", 2), SIDE, 6.0, "bilinear"))
    assert found is not None
    assert (found.kind, found.is_photo) == ("enlarged", True)
    assert found.factor == pytest.approx(6.0, rel=0.03)


def test_a_photo_out_of_focus_is_only_called_soft() -> None:
    """Nothing proves an enlargement where there was none."""
    photo = KINDS["photo"](rng_of("photo", 3), SIDE)
    found = look_at(photo.filter(ImageFilter.GaussianBlur(2.5)))
    assert found is not None
    assert found.kind in ("", "soft")
    assert not is_accused(found)


@pytest.mark.parametrize("factor", [2.0, 3.0, 6.0])
def test_repeated_pixels_are_squares(factor: float) -> None:
    """A photo enlarged without smoothing is made of squares of whole pixels."""
    found = look_at(enlarged("photo", rng_of("photo", 4), SIDE, factor, "nearest"))
    assert found is not None
    assert found.kind == "blocks"
    assert found.factor == pytest.approx(factor, rel=0.02)


def test_a_drawing_in_squares_of_two_colours_is_left_in_peace() -> None:
    """The squares of a code to be scanned are its drawing."""
    cells = np.random.default_rng(SEED).integers(0, 2, (40, 40)) * 255
    found = look_at(Image.fromarray(cells.astype(np.uint8)).resize((640, 640), Image.Resampling.NEAREST))
    assert not is_accused(found)


def test_rectangles_between_pixels_are_not_soft() -> None:
    """An edge half way through a pixel needs two steps and is as sharp as can be."""
    picture = np.full((600, 600, 3), 255, np.uint8)
    for k in range(12):
        at = 20 + 45 * k
        picture[at : at + 30, 30:570] = 20
        picture[at, 30:570] = picture[at + 29, 30:570] = 137
        picture[at : at + 30, 30] = picture[at : at + 30, 569] = 137
    assert not is_accused(look_at(Image.fromarray(picture)))


def test_too_little_to_look_at_tells_nothing() -> None:
    """A plain area, or a picture of a few pixels, has no detail to judge by."""
    assert look_at(Image.new("RGB", (600, 600), (200, 30, 30))) is None
    assert look_at(Image.new("RGB", (1, 1))) is None


@pytest.mark.parametrize("pitch", [1.5, 2.0, 3.0, 4.17, 6.0])
def test_a_lattice_gives_its_pitch(pitch: float) -> None:
    """The whole parts of the multiples of a pitch are recognised, with some of them missing."""
    columns = np.unique(np.floor(np.arange(200) * pitch + 0.37).astype(np.int64))
    kept = columns[np.random.default_rng(3).random(len(columns)) < 0.8]
    assert lattice_of(kept) == pytest.approx(pitch, rel=0.01)


def test_columns_anywhere_are_no_lattice() -> None:
    """Every column, or columns by chance, follow no pitch."""
    assert lattice_of(np.arange(300)) is None
    for seed in range(20):
        chance = np.sort(np.random.default_rng(seed).choice(500, 120, replace=False))
        assert lattice_of(chance) is None
