"""How much of the art lies beyond the shop's printer, by its ICC profile, and the colour facts of a file."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from config.settings import load_settings
from intake.checks import colour
from intake.facts import Artwork, Examined, Level, PrintSize
from intake.preflight import PreflightJob, run_preflight
from intake.reading import open_artwork
from intake.reading.gamut import gamut_of
from tickets.problems import SetupProblem

SETTINGS = load_settings(None, {})


def srgb() -> bytes:
    """littleCMS's own sRGB."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def narrowed(share: float) -> bytes:
    """sRGB with its primaries drawn towards grey by `share` (ICC.1:2022, 9.2: the rXYZ, gXYZ and bXYZ tags).

    Their sum stays the white point, so that greys stay greys.
    """
    icc = bytearray(srgb())
    count = struct.unpack(">I", icc[128:132])[0]
    at = {
        bytes(icc[132 + k * 12 : 136 + k * 12]): struct.unpack_from(">I", icc, 136 + k * 12)[0]
        for k in range(count)
    }
    places = [at[name] + 8 for name in (b"rXYZ", b"gXYZ", b"bXYZ")]
    primaries = np.array([struct.unpack_from(">3i", icc, place) for place in places], float)
    mean = primaries.mean(axis=0)
    for place, primary in zip(places, primaries, strict=True):
        struct.pack_into(">3i", icc, place, *(int(v) for v in primary + share * (mean - primary)))
    return bytes(icc)


def art(*colours: tuple[int, int, int, int]) -> np.ndarray:
    """A square patch a colour."""
    return np.repeat(np.array([colours], np.uint8), 20, axis=0).repeat(20, axis=1)


@pytest.fixture
def dull(tmp_path: Path) -> Path:
    """The profile of a printer that makes only dull colours."""
    (tmp_path / "dull.icc").write_bytes(narrowed(0.6))
    return tmp_path / "dull.icc"


def test_greys_are_within_and_bright_colours_beyond_a_dull_printer(dull: Path) -> None:
    """One patch of four is a pure red."""
    picture = art((255, 0, 0, 255), (0, 0, 0, 255), (128, 128, 128, 255), (255, 255, 255, 255))
    gamut = gamut_of(picture, dull, 80.0)
    assert gamut.share == pytest.approx(0.25)
    assert gamut.wanted == "#ff0000"
    red, green, blue = (int(gamut.printed[k : k + 2], 16) for k in (1, 3, 5))
    assert 140 < red < 240  # what comes back is a duller red
    assert 30 < green == pytest.approx(blue, abs=30)
    (place,) = gamut.places
    assert (place.x_mm, place.y_mm) == (0, 0)
    assert (place.width_mm, place.height_mm) == pytest.approx((20, 20), abs=4)  # told in eighths of 10 mm


def test_what_is_clear_does_not_count(dull: Path) -> None:
    """Colours of pixels without ink are nobody's."""
    assert gamut_of(art((255, 0, 0, 0), (9, 9, 9, 255)), dull, 40.0).share == 0
    assert gamut_of(art((255, 0, 0, 0)), dull, 40.0).share == 0


def test_a_printer_as_good_as_the_screen_makes_everything(tmp_path: Path) -> None:
    """Rounding on the way is never taken for a colour that cannot be made."""
    (tmp_path / "p.icc").write_bytes(srgb())
    steps = np.linspace(0, 255, 17).astype(np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(17, -1, 3)
    picture = np.concatenate([cube, np.full((*cube.shape[:2], 1), 255, np.uint8)], axis=2)
    assert gamut_of(picture, tmp_path / "p.icc", 40.0).share == 0


@pytest.mark.parametrize("content", [None, b"", b"no profile at all" * 40, srgb()[:200]])
def test_a_profile_that_cannot_be_used_is_the_shops_problem(content: bytes | None, tmp_path: Path) -> None:
    """Named, with the setting to change."""
    if content is not None:
        (tmp_path / "p.icc").write_bytes(content)
    with pytest.raises(SetupProblem) as told:
        gamut_of(art((1, 2, 3, 255)), tmp_path / "p.icc", 40.0)
    assert told.value.slug == "printer-profile-not-usable"
    assert "printer_profile" in told.value.do


@pytest.mark.parametrize(
    ("reds", "level"), [(0, None), (1, None), (5, Level.NOTE), (20, Level.QUERY), (100, Level.QUERY)]
)
def test_the_share_that_cannot_be_printed_is_judged(reds: int, level: Level | None, dull: Path) -> None:
    """Of a hundred patches: little is not told, some is a note, a fifth is a question; with its places."""
    picture = art(*[(255, 0, 0, 255)] * reds, *[(90, 90, 90, 255)] * (100 - reds))
    gamut = gamut_of(picture, dull, 100.0)
    artwork = Artwork("PNG", 5.0, (2000, 20), 1, gamut=gamut)
    found = list(colour.check(Examined(artwork, PrintSize(100.0, 1.0), None), SETTINGS.limits, SETTINGS.film))
    assert [finding.level for finding in found] == ([level] if level else [])
    for finding in found:
        assert finding.measured == pytest.approx(reds / 100, abs=0.001)
        assert finding.limit == (0.02 if level is Level.NOTE else 0.20)
        assert "#ff0000 will look about like #" in finding.says
        assert finding.places[0].width_mm == pytest.approx(reds, abs=1)


def test_the_answer_tells_the_share_when_the_shop_names_its_printer(dull: Path, tmp_path: Path) -> None:
    """And nothing when it does not; with a broken profile the art is looked at all the same."""
    path = tmp_path / "a.png"
    Image.fromarray(art((255, 0, 0, 255), (0, 0, 0, 255))).save(path)

    def answer(profile: str) -> dict[str, object]:
        film = SETTINGS.film.model_copy(update={"printer_profile": profile})
        return run_preflight(PreflightJob(path, "a.png", SETTINGS.limits, film, width_mm=40.0)).measures

    assert answer(str(dull))["out_of_gamut_share"] == pytest.approx(0.5, abs=0.01)
    assert answer("")["out_of_gamut_share"] is None
    assert answer(str(tmp_path / "none.icc"))["out_of_gamut_share"] is None


@pytest.mark.parametrize(
    ("icc", "mode", "trouble"),
    [
        (srgb(), "RGB", ""),
        (srgb(), "L", "wrong space"),
        (srgb()[:400], "RGB", "broken"),
    ],
)
def test_a_broken_or_wrong_profile_is_named(icc: bytes, mode: str, trouble: str, tmp_path: Path) -> None:
    """In the facts for the judges, and in a sentence for people."""
    Image.new(mode, (9, 9)).save(tmp_path / "a.tif", icc_profile=icc)
    artwork = open_artwork(tmp_path / "a.tif", 1, SETTINGS.limits.file).artwork
    assert artwork.profile_trouble == trouble
    assert any("profile" in note for note in artwork.notes) is bool(trouble)
    assert trouble in " ".join(artwork.notes) or trouble == "wrong space"
    if trouble != "broken":
        assert artwork.colour_profile.startswith("sRGB")
