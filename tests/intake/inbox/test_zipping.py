"""Zip files: what is in them is unpacked under our own names, and what is made to harm is refused."""

from __future__ import annotations

import io
import stat
import struct
import zipfile
from pathlib import Path

import pytest

from intake.inbox.claiming import original_path
from intake.inbox.zipping import unpack
from tests.intake.shops import Bench, zipped
from tickets.problems import BadInput


def refused(bench: Bench, content: bytes, folder: Path) -> str:
    """The slug under which a zip is refused."""
    path = folder / "a.zip"
    path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        unpack(bench.shop, path, lambda: None)
    assert caught.value.says
    return caught.value.slug


def packed(*members: tuple[zipfile.ZipInfo | str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of these members, as they are given."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return buffer.getvalue()


def link(name: str) -> zipfile.ZipInfo:
    """A member that is a symbolic link."""
    member = zipfile.ZipInfo(name)
    member.create_system = 3
    member.external_attr = (stat.S_IFLNK | 0o777) << 16
    return member


def test_members_become_originals_and_litter_is_left_out(bench: Bench, tmp_path: Path) -> None:
    """Folders within the zip are told; what a Mac adds is not looked at."""
    path = tmp_path / "a.zip"
    path.write_bytes(
        packed(
            ("job/crest.png", b"art"),
            ("order.json", b"{}"),
            ("__MACOSX/job/._crest.png", b"litter"),
            (".DS_Store", b"litter"),
            ("empty/", b""),
        )
    )
    members = unpack(bench.shop, path, lambda: None)
    assert [(m.folder, m.name) for m in members] == [("job", "crest.png"), ("", "order.json")]
    assert original_path(bench.shop, members[0].claimed.sha256).read_bytes() == b"art"


def test_names_that_macs_and_windows_write_are_read(bench: Bench, tmp_path: Path) -> None:
    """UTF-8 that does not say so, and backslashes between folders."""
    path = tmp_path / "a.zip"
    renamed = packed(("X" * 9 + ".png", b"art")).replace(b"X" * 9, "Café Üx".encode())
    path.write_bytes(renamed)
    assert [m.name for m in unpack(bench.shop, path, lambda: None)] == ["Café Üx.png"]
    path.write_bytes(packed(("job\\crest.png", b"art")))
    assert [m.path for m in unpack(bench.shop, path, lambda: None)] == ["job/crest.png"]


@pytest.mark.parametrize("name", ["../crest.png", "/etc/passwd", "a/../../b.png", "C:/x.png", "..\\x.png"])
def test_names_that_lead_out_are_refused(bench: Bench, tmp_path: Path, name: str) -> None:
    """Nothing of such a zip is taken."""
    assert refused(bench, packed((name, b"x")), tmp_path) == "zip-leads-out"


def test_links_zips_and_double_names_in_a_zip_are_refused(bench: Bench, tmp_path: Path) -> None:
    """Each under its own name."""
    assert refused(bench, packed((link("a.png"), b"/etc/passwd")), tmp_path) == "zip-link"
    assert refused(bench, packed(("in.zip", zipped(a__png=b"x"))), tmp_path) == "zip-in-zip"
    with pytest.warns(UserWarning, match="Duplicate"):
        double = packed(("a.png", b"1"), ("a.png", b"2"))
    assert refused(bench, double, tmp_path) == "zip-same-name-twice"
    assert refused(bench, packed(("a.png", b"1"), ("A.PNG", b"2")), tmp_path) == "zip-same-name-twice"
    assert refused(bench, packed(), tmp_path) == "zip-empty"


def test_a_password_is_refused(bench: Bench, tmp_path: Path) -> None:
    """The flag in both headers says that there is one (APPNOTE 4.4.4, bit 0)."""
    plain = bytearray(packed(("a.png", b"x" * 50)))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = plain.index(mark) + at
        plain[place] |= 1
    assert refused(bench, bytes(plain), tmp_path) == "zip-encrypted"


def test_bombs_are_refused_before_they_are_unpacked(bench: Bench, tmp_path: Path) -> None:
    """Too many, too large, too dense, one over another, or longer than they say."""
    many = packed(*((f"{n}.png", b"x") for n in range(201)))
    assert refused(bench, many, tmp_path) == "zip-too-many-files"
    dense = packed(("a.png", b"\0" * 30_000_000))
    assert refused(bench, dense, tmp_path) == "zip-bomb"
    large = _with_size(packed(("a.png", b"\0" * 1000)), 3_000_000_000)
    assert refused(bench, large, tmp_path) == "zip-too-large"
    assert refused(bench, _overlapping(), tmp_path) == "zip-bomb"
    assert list(bench.shop.originals.rglob("*.png")) == []


def test_a_member_that_is_longer_than_it_says_is_refused(bench: Bench, tmp_path: Path) -> None:
    """The promise of the central directory is held against what comes out."""
    lying = _with_size(packed(("a.png", b"x" * 5000)), 10)
    assert refused(bench, lying, tmp_path) in ("zip-bomb", "zip-damaged")


def test_a_member_without_a_name_is_damage(bench: Bench, tmp_path: Path) -> None:
    """Python's own reader trips over it (found by the guided fuzzer)."""
    nameless = zipfile.ZipInfo("x")
    nameless.filename = ""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr(nameless, b"art")
    assert refused(bench, buffer.getvalue(), tmp_path) == "zip-damaged"


def test_damage_is_told(bench: Bench, tmp_path: Path) -> None:
    """A changed byte shows in the checksum; a zip without its end is none."""
    whole = packed(("a.png", bytes(range(256)) * 40), method=zipfile.ZIP_STORED)
    spoilt = whole.replace(bytes(range(256)), b"\0" * 256, 1)
    assert refused(bench, spoilt, tmp_path) == "zip-damaged"
    assert refused(bench, whole[:-30], tmp_path) == "zip-damaged"
    assert refused(bench, packed(("a.png", b"x" * 999), method=zipfile.ZIP_LZMA), tmp_path) == "zip-damaged"


def _with_size(archive: bytes, size: int) -> bytes:
    """The same zip with another unpacked size in its central directory."""
    changed = bytearray(archive)
    at = changed.index(b"PK\x01\x02") + 24
    changed[at : at + 4] = struct.pack("<I", size)
    return bytes(changed)


def _overlapping() -> bytes:
    """Two entries of the directory that point at the same packed bytes."""
    archive = bytearray(packed(("a.png", b"x" * 400), ("b.png", b"y" * 400), method=zipfile.ZIP_STORED))
    second = archive.index(b"PK\x01\x02", archive.index(b"PK\x01\x02") + 1) + 42
    archive[second : second + 4] = struct.pack("<I", 0)
    return bytes(archive)
