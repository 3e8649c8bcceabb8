"""Files that are made to eat time or memory: each is refused in about a second and little memory."""

from __future__ import annotations

import io
import json
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.one_bomb import LIMIT_SECONDS
from tests.intake.shops import zipped

MOST_SECONDS = 2.0  # of the processor: the machine may be busy with other tests
MOST_MB = 300.0

if sys.platform == "win32":
    pytest.skip("only on systems with limits for a process", allow_module_level=True)


def chunk(kind: bytes, content: bytes) -> bytes:
    """A chunk of a PNG (W3C PNG, 5.3)."""
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png_of(side: int, *chunks: bytes) -> bytes:
    """A PNG that claims so many pixels either way and has none; further chunks before its data."""
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 6, 0, 0, 0))
    rest = b"".join(chunks) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + header + rest


def bmp_of(side: int) -> bytes:
    """The header of a huge BMP."""
    info = struct.pack("<IiiHHIIiiII", 40, side, side, 1, 24, 0, 0, 2835, 2835, 0, 0)
    return b"BM" + struct.pack("<IHHI", 54 + 3000, 0, 0, 54) + info + b"\0" * 3000


def tiff_of(side: int) -> bytes:
    """A TIFF of one strip that claims to hold all of so many pixels."""
    tags = [(256, 4, side), (257, 4, side), (258, 3, 8), (259, 3, 8), (262, 3, 1), (273, 4, 200), (277, 3, 1)]
    tags += [(278, 4, side), (279, 4, 100)]
    entries = b"".join(struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in tags)
    head = b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", len(tags)) + entries + struct.pack("<I", 0)
    return head.ljust(200, b"\0") + zlib.compress(b"\0" * 100_000)


def pdf_of(stream: bytes, kind: bytes = b"", content: bytes = b"") -> bytes:
    """A PDF of one page; object 4 is its content, object 5 a stream of that kind."""
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 200] /Contents 4 0 R /Resources << >> >>",
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(content), content),
        b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(stream), kind, stream),
    ]
    out, places = io.BytesIO(), []
    out.write(b"%PDF-1.5\n")
    for number, body in enumerate(objects, 1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, body))
    table = out.tell()
    out.write(b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % p for p in places))
    out.write(b"trailer << /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % table)
    return out.getvalue()


def content_bomb() -> bytes:
    """A page whose content unpacks to 200 MB of harmless operators."""
    return pdf_of(b"", content=zlib.compress(b"q Q " * 50_000_000, 1))


def overlapping_zip() -> bytes:
    """A thousand names for the same packed megabytes (D. Fifield, WOOT 2019)."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("a.png", b"\0" * 9_000_000)
    plain = buffer.getvalue()
    start = plain.index(b"PK\x01\x02")
    end = plain.index(b"PK\x05\x06")
    names = [b"%05d" % n for n in range(150)]
    one = plain[start:end]
    rows = b"".join(one.replace(b"a.png", name) for name in names)
    tail = struct.pack("<4sHHHHIIH", b"PK\x05\x06", 0, 0, len(names), len(names), len(rows), start, 0)
    return plain[:start] + rows + tail


def crowded_zip() -> bytes:
    """60,000 empty files: a table of contents that is the whole of it."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as pack:
        for number in range(60_000):
            pack.writestr(zipfile.ZipInfo(f"{number}.png"), b"")
    return buffer.getvalue()


def dense_zip() -> bytes:
    """200 MB of zeros."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as pack, pack.open("a.png", "w") as member:
        for _ in range(200):
            member.write(b"\0" * 1_000_000)
    return buffer.getvalue()


ENTITIES = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
BOMBS: dict[str, tuple[Callable[[], bytes], str]] = {
    "pixels.png": (lambda: png_of(60_000), "too-many-pixels"),
    "pixels.bmp": (lambda: bmp_of(30_000), "too-many-pixels"),
    "pixels.tif": (lambda: tiff_of(60_000), "too-many-pixels"),
    "text.png": (
        lambda: png_of(8, chunk(b"zTXt", b"x\0\0" + zlib.compress(b"a" * 100_000_000))),
        "",  # passed over unread: the picture itself is harmless
    ),
    "profile.png": (
        lambda: png_of(8, chunk(b"iCCP", b"x\0\0" + zlib.compress(b"a" * 100_000_000))),
        "",  # passed over unread: the picture itself is harmless
    ),
    "content.pdf": (content_bomb, "pdf-bomb"),
    "entities.svg": (
        lambda: f'<!DOCTYPE svg [<!ENTITY l0 "lol">{ENTITIES}]><svg>&l9;</svg>'.encode(),
        "drawing-too-involved",
    ),
    "external.svg": (
        lambda: b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>',
        "no-picture",  # nothing is fetched, so there is nothing in it
    ),
    "deep.json": (lambda: b'{"x-a":' * 500_000, "order-too-deep"),
    "brackets.json": (lambda: b"[" * 4_000_000, "order-too-deep"),
    "number.json": (lambda: b'{"order": ' + b"9" * 3_900_000 + b"}", "order-wrong-value"),
    "keys.json": (
        lambda: json.dumps({f"k{n}": n for n in range(250_000)}).encode()[:4_000_000],
        "order-cut-short|order-too-large",
    ),
    "dense.zip": (dense_zip, "zip-bomb"),
    "overlapping.zip": (overlapping_zip, "zip-bomb"),
    "crowded.zip": (crowded_zip, "zip-too-many-files"),
    "nested.zip": (lambda: zipped(inner__zip=zipped(inner__zip=dense_zip())), "zip-in-zip"),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_soon_and_in_little_memory(tmp_path: Path, shop_template: Path, name: str) -> None:
    """Two seconds of the processor, 300 MB beyond what a harmless file takes, and a slug that says why."""
    make, slugs = BOMBS[name]
    path = tmp_path / name
    path.write_bytes(make())
    done = subprocess.run(
        [sys.executable, "-m", "tests.acceptance.one_bomb", str(path), str(shop_template)],
        capture_output=True,
        encoding="utf-8",
        timeout=4 * LIMIT_SECONDS,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    cost = json.loads(done.stdout)
    assert cost["slug"] in slugs.split("|"), cost
    assert cost["seconds"] <= MOST_SECONDS, cost
    assert cost["more_mb"] <= MOST_MB, cost
