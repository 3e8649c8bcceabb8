"""What the doctor sees: every decoder at work, and the shop's printer profile."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import ImageCms

from intake.doctor import Check, examine_shop
from intake.shop import make_shop
from intake.specimens import write_specimens


def examined(folder: Path, film: str = "") -> dict[str, Check]:
    """What the doctor says of a new shop, by the name of the thing."""
    make_shop(folder)
    (folder / "shop.toml").write_text(f"[sandbox]\nworkers = 1\n[film]\n{film}\n", encoding="utf-8")
    return {check.name: check for check in examine_shop(folder).checks}


def test_every_decoder_is_seen_at_work(tmp_path: Path) -> None:
    """A specimen of each kind that can be written is read in the sandbox; no printer profile is asked for."""
    found = examined(tmp_path / "shop")
    assert found["decoders"].ok, found["decoders"].says
    for path in write_specimens(tmp_path):
        assert path.suffix.lstrip(".").upper() in found["decoders"].says
    assert "printer profile" not in found


def good(path: Path) -> None:
    """A profile that a printer may have."""
    path.write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())


def broken(path: Path) -> None:
    """No profile at all."""
    path.write_bytes(b"not a profile")


@pytest.mark.parametrize(("make", "ok"), [(good, True), (broken, False)])
def test_a_printer_profile_that_cannot_be_used_is_told(
    make: Callable[[Path], None], ok: bool, tmp_path: Path
) -> None:
    """Otherwise it would only be said in a note on each artwork."""
    profile = tmp_path / "printer.icc"
    make(profile)
    check = examined(tmp_path / "shop", f"printer_profile = '{profile}'")["printer profile"]
    assert check.ok is ok
    assert str(profile) in check.says
    assert bool(check.do) is not ok
