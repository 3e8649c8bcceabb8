"""What is not opened is refused by name, from its first bytes or its header, before anything is decoded."""

from __future__ import annotations

import gzip
import io
import struct
import time
import zipfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from intake.reading import ending_note, open_artwork
from intake.reading.sniff import Kind, sniff
from tests.intake.reading.raster_drawing import BYTES, LIMITS, LONG, SHORT, Tiff, pixels_of, png, tiff
from tickets.problems import ArtworkRefused

NOISE = np.random.default_rng(7).integers(0, 256, (60, 80, 3)).astype(np.uint8)


def saved(kind: str, **options: object) -> bytes:
    """A noisy picture of 80 × 60 pixels as a file of that kind."""
    held = io.BytesIO()
    Image.fromarray(NOISE).save(held, kind, **options)
    return held.getvalue()


def refusal(path: Path, content: bytes, page: int = 1) -> ArtworkRefused:
    """The refusal of a file with this content, whether it comes at opening or at the pixels."""
    path.write_bytes(content)
    with pytest.raises(ArtworkRefused) as told:
        pixels_of(open_artwork(path, page, LIMITS))
    assert told.value.says.endswith(".")
    assert told.value.do.endswith(".")
    return told.value


def zipped(name: str) -> bytes:
    """A zip file with one member."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr(name, "x")
    return held.getvalue()


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (gzip.compress(b"a letter", mtime=0), "gzip"),
        (b"\0\0\0\x18ftypcrx \0\0\0\0crx ", "camera"),
        (b"\0\0\0\x18ftypisom\0\0\0\0isomiso2", "film"),
        (zipped("crest.png"), "zip"),
        (zipped("[Content_Types].xml"), "office"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(40), "office"),
        (b"{\\rtf1 hello}", "RTF"),
        ("Please print this, thanks – Zoë".encode(), "text"),
        ("Please print this".encode("utf-16"), "text"),
        (b"BMX bikes are fun to print", "text"),
        (b"<!DOCTYPE html><html></html>", "web page"),
        (b"MZ\x90\0" + bytes(60), "program"),
        (bytes(range(256)) * 4, "no kind of picture"),
    ],
)
def test_other_kinds_are_refused_by_name(tmp_path: Path, content: bytes, what: str) -> None:
    """Each with a sentence that says what it is and what to send instead, under whatever name it comes."""
    told = refusal(tmp_path / "crest.png", content)
    assert told.slug == "kind-not-read"
    assert what in told.says


def test_an_empty_file_is_refused_as_empty(tmp_path: Path) -> None:
    """No bytes, no guess."""
    assert refusal(tmp_path / "a.png", b"").slug == "file-empty"


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """The operating system's reason is passed on."""
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "none.png", 1, LIMITS)
    assert told.value.slug == "file-not-readable"


@pytest.mark.parametrize(
    ("kind", "read_as"), [("PNG", "PNG"), ("JPEG", "JPEG"), ("WebP", "WebP"), ("GIF", "GIF")]
)
def test_a_wrong_ending_is_a_remark_and_no_more(tmp_path: Path, kind: str, read_as: str) -> None:
    """The bytes decide what it is; the name's claim is told."""
    (tmp_path / "a.tif").write_bytes(saved(kind))
    assert open_artwork(tmp_path / "a.tif", 1, LIMITS).artwork.kind == read_as
    note = ending_note("a.tif", read_as)
    assert note is not None
    assert ".tif" in note
    assert read_as in note


@pytest.mark.parametrize("name", ["a.jpg", "A.JPEG", "b.jpe", "noending", "a.v2", "a.b.jfif"])
def test_a_right_ending_or_none_is_no_remark(name: str) -> None:
    """Capital letters, rare endings of the same kind and names without any are fine."""
    assert ending_note(name, "JPEG") is None


def bombs() -> dict[str, bytes]:
    """Headers of 30,000 × 30,000 pixels on next to nothing, in every kind."""
    side = 30_000
    webp = b"RIFF\x1e\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0" + struct.pack("<I", side - 1)[:3] * 2 + bytes(12)
    jpeg = b"\xff\xd8\xff\xc0\0\x11\x08" + struct.pack(">HHB", side, side, 3) + bytes(9) + b"\xff\xd9"
    gif = b"GIF89a" + struct.pack("<HHBBB", side, side, 0, 0, 0) + b";"
    bmp = (
        b"BM"
        + struct.pack("<IHHI", 60, 0, 0, 54)
        + struct.pack("<IiiHHI", 40, side, side, 1, 24, 0)
        + bytes(24)
    )
    return {
        "png": png(side, side, 8, 6, bytes(side)),
        "tiff": tiff(Tiff(side, side, bytes(8))),
        "webp": webp,
        "jpeg": jpeg,
        "gif": gif,
        "bmp": bmp,
    }


@pytest.mark.parametrize("kind", ["png", "tiff", "webp", "jpeg", "gif", "bmp"])
def test_a_bomb_is_refused_from_its_header(tmp_path: Path, kind: str) -> None:
    """30,000 × 30,000 pixels cost nothing: no pixel is decoded, no memory taken."""
    content = bombs()[kind]
    begun = time.process_time()
    told = refusal(tmp_path / "a", content)
    assert told.slug == "too-many-pixels"
    assert "30,000 × 30,000" in told.says
    assert time.process_time() - begun < 0.5


def test_a_gif_whose_frame_bursts_its_canvas_is_a_bomb(tmp_path: Path) -> None:
    """A canvas of 32 × 32 with a frame far outside would be grown to billions of pixels."""
    frame = b"\x2c" + struct.pack("<HHHHB", 65280, 65280, 255, 255, 0) + b"\x02\x01\x00\x00"
    content = b"GIF89a" + struct.pack("<HHBBB", 32, 32, 0, 0, 0) + frame + b";"
    assert refusal(tmp_path / "a.gif", content).slug == "too-many-pixels"


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "WebP", "GIF", "BMP"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_file_that_was_cut_short_is_refused(tmp_path: Path, kind: str, share: float) -> None:
    """Half a picture is never measured as if it were whole."""
    content = saved(kind)
    assert refusal(tmp_path / "a", content[: int(len(content) * share)]).slug in (
        "file-cut-short",
        "file-damaged",
    )


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WebP", "GIF"])
def test_a_file_whose_second_half_is_zeros_is_refused(tmp_path: Path, kind: str) -> None:
    """So a copy looks whose space was set aside before its bytes came."""
    content = saved(kind)
    half = len(content) // 2
    assert refusal(tmp_path / "a", content[:half] + bytes(len(content) - half)).slug == "file-cut-short"


def test_a_jpeg_with_its_end_stuck_on_after_a_cut_is_refused(tmp_path: Path) -> None:
    """An end mark alone does not make the picture whole."""
    content = saved("JPEG")
    assert refusal(tmp_path / "a.jpg", content[: len(content) // 2] + b"\xff\xd9").slug == "file-damaged"


def test_broken_bytes_in_a_png_are_refused(tmp_path: Path) -> None:
    """A check sum that does not fit is damage."""
    content = bytearray(saved("PNG"))
    content[len(content) // 2] ^= 0xFF
    assert refusal(tmp_path / "a.png", bytes(content)).slug == "file-damaged"


def test_broken_bytes_in_a_jpeg_are_told(tmp_path: Path) -> None:
    """The decoder steps over them; the facts say so once the pixels were read."""
    content = saved("JPEG", quality=95, restart_marker_blocks=4)
    at = content.index(b"\xff\xd3")
    (tmp_path / "a.jpg").write_bytes(content[:at] + bytes(100) + content[at:])
    opened = open_artwork(tmp_path / "a.jpg", 1, LIMITS)
    assert pixels_of(opened, rows=8).shape == (60, 80, 4)
    assert opened.artwork.extra.get("damaged") is True


def test_stray_bytes_between_the_segments_of_a_jpeg_are_harmless(tmp_path: Path) -> None:
    """Some writers leave a few; nothing of the picture is lost."""
    content = saved("JPEG")
    at = content.index(b"\xff\xdb")
    (tmp_path / "a.jpg").write_bytes(content[:at] + b"\0\0" + content[at:])
    (tmp_path / "b.jpg").write_bytes(content)
    opened, clean = (open_artwork(tmp_path / name, 1, LIMITS) for name in ("a.jpg", "b.jpg"))
    assert np.array_equal(pixels_of(opened), pixels_of(clean))
    assert "damaged" not in opened.artwork.extra


@pytest.mark.parametrize("page", [2, 7])
def test_a_page_that_is_not_there_is_refused(tmp_path: Path, page: int) -> None:
    """The number of pages is told."""
    told = refusal(tmp_path / "a.tif", tiff(Tiff(2, 2, bytes(12))), page)
    assert told.slug == "page-not-there"
    assert "1 page" in told.says


def test_a_chain_of_pages_that_bites_its_tail_ends(tmp_path: Path) -> None:
    """A directory that names itself as the next is one page."""
    content = bytearray(tiff(Tiff(2, 2, bytes(12))))
    entries = struct.unpack_from("<H", content, 8)[0]
    struct.pack_into("<I", content, 10 + entries * 12, 8)
    (tmp_path / "a.tif").write_bytes(content)
    opened = open_artwork(tmp_path / "a.tif", 1, LIMITS)
    assert opened.artwork.pages == 1
    assert pixels_of(opened).shape == (2, 2, 4)


@pytest.mark.parametrize(
    "tags", [{50706: (BYTES, b"\1\4\0\0")}, {262: (SHORT, 32803)}, {254: (LONG, 1), 330: (LONG, 8)}]
)
def test_a_raw_photo_is_not_taken_for_its_thumbnail(
    tmp_path: Path, tags: dict[int, tuple[int, object]]
) -> None:
    """DNG's version tag, a sensor's own colours, or a small picture with the real one hidden behind it."""
    told = refusal(tmp_path / "a.tif", tiff(Tiff(2, 2, bytes(12), tags=tags)))
    assert (told.slug, "raw photo" in told.says) == ("kind-not-read", True)


@pytest.mark.parametrize(("tag", "value"), [(259, 34925), (258, [12, 12, 12])])
def test_a_way_of_writing_that_the_decoder_does_not_know_is_not_called_damage(
    tmp_path: Path, tag: int, value: int | list[int]
) -> None:
    """LZMA compression and 12 bits a sample are sound TIFF, and the sentence says so."""
    told = refusal(tmp_path / "a.tif", tiff(Tiff(4, 4, b"\x80\x1f" * 48, tags={tag: (SHORT, value)})))
    assert told.slug == "kind-not-read"


@pytest.mark.parametrize(("width", "height"), [(0, 5), (5, 0)])
def test_a_picture_without_pixels_is_refused(tmp_path: Path, width: int, height: int) -> None:
    """A side of nothing is no picture."""
    told = refusal(tmp_path / "a.tif", tiff(Tiff(width, height, b"")))
    assert told.slug == "no-picture"


@settings(max_examples=300, deadline=None)
@given(st.binary(min_size=1, max_size=64))
def test_any_first_bytes_are_a_kind_or_a_refusal(head: bytes) -> None:
    """No beginning of a file makes the sniffing fall over."""
    try:
        answer = str(sniff(head))
    except ArtworkRefused as told:
        answer = told.slug
    assert answer in {"kind-not-read", *Kind}


@settings(max_examples=150, deadline=None)
@given(
    kind=st.sampled_from(["PNG", "JPEG", "TIFF", "WebP", "GIF", "BMP"]),
    changes=st.lists(st.tuples(st.integers(0, 400), st.integers(0, 255)), min_size=1, max_size=6),
)
def test_changed_header_bytes_end_in_pixels_or_a_refusal(
    tmp_path_factory: pytest.TempPathFactory, kind: str, changes: list[tuple[int, int]]
) -> None:
    """Whatever the first bytes become, reading ends in pixels of the told size or in a refusal by name."""
    content = bytearray(saved(kind))
    for at, value in changes:
        content[at % len(content)] = value
    path = tmp_path_factory.mktemp("changed") / "a"
    path.write_bytes(content)
    small = LIMITS.model_copy(update={"largest_megapixels": 1.0})
    try:
        opened = open_artwork(path, 1, small)
        whole = pixels_of(opened)
    except ArtworkRefused:
        return
    assert opened.artwork.pixels is not None
    assert whole.shape[1] >= min(opened.artwork.pixels[0], 1)
