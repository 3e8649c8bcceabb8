"""The visible page: boxes, turning, UserUnit; and which files are opened at all."""

from __future__ import annotations

import zlib
from pathlib import Path

import pikepdf
import pytest

from config.settings import FileLimits, load_settings
from intake.reading.pdf import open_pdf
from tests.intake.reading.pdf_drawing import Drawing
from tickets.problems import ArtworkRefused

LIMITS: FileLimits = load_settings(None, {}).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork_pdf"


def size_pt(path: Path, page: int = 1) -> tuple[float, float]:
    """Width and height of a page in points."""
    opened = open_pdf(path, page, LIMITS)
    opened.close()
    assert opened.artwork.size_mm is not None
    wide, high = opened.artwork.size_mm
    return round(wide * 72 / 25.4, 2), round(high * 72 / 25.4, 2)


def slug(path: Path, page: int = 1) -> str:
    """The slug that a file is refused with."""
    with pytest.raises(ArtworkRefused) as caught:
        open_pdf(path, page, LIMITS)
    assert caught.value.says
    assert caught.value.do
    return caught.value.slug


@pytest.mark.parametrize(
    ("drawing", "expected"),
    [
        (Drawing(media="[0 0 200 100]", page="/Rotate 90/CropBox[20 14 92 158]"), (86, 72)),
        (Drawing(media="[0 0 100 100]", page="/CropBox[-50 -50 300 300]"), (100, 100)),
        (Drawing(media="[288 144 0 0]"), (288, 144)),
        (Drawing(media="[0 0 0 0]"), (612, 792)),
        (Drawing(media=""), (612, 792)),
        (Drawing(media="", pages="/MediaBox[0 0 50 60]"), (50, 60)),
        (Drawing(media="", pages="/MediaBox[0 0 50 60]/Rotate 90"), (60, 50)),
        (Drawing(media="[0 0 50 60]", page="/Rotate -90"), (60, 50)),
        (Drawing(media="[0 0 50 60]", page="/Rotate 450"), (60, 50)),
        (Drawing(media="[0 0 50 60]", page="/CropBox[70 70 90 90]"), (50, 60)),
        (Drawing(media="[-99 -99 612 792]"), (711, 891)),
        (Drawing(media="[0 0 8.5 11]", page="/UserUnit 72"), (612, 792)),
        (Drawing(media="[0 0 8.5 11]", page="/UserUnit 72/Rotate 270"), (792, 612)),
        (Drawing(media="[0 0 50 60]", page="/UserUnit 0"), (50, 60)),
    ],
)
def test_a_page_is_as_large_as_viewers_show_it(
    drawing: Drawing, expected: tuple[int, int], tmp_path: Path
) -> None:
    """CropBox ∩ MediaBox, turned, times UserUnit (ISO 32000-1 14.11.2); Letter without a box."""
    assert size_pt(drawing.write(tmp_path / "a.pdf")) == expected


def test_the_first_four_of_eight_numbers_are_the_box() -> None:
    """A MediaBox with eight numbers is read by its first four."""
    assert size_pt(MADE / "pdf_media_8numbers.pdf") == (288, 144)


def test_a_loop_of_older_versions_ends() -> None:
    """A file whose /Prev points at itself opens with its one page."""
    opened = open_pdf(MADE / "pdf_prev_loop.pdf", 1, LIMITS)
    opened.close()
    assert opened.artwork.pages == 1


def locked(tmp_path: Path, user: str) -> Path:
    """A PDF locked with a user password; blank opens for everybody."""
    plain = Drawing("0 0 m 100 100 l S").write(tmp_path / "plain.pdf")
    with pikepdf.open(plain) as pdf:
        pdf.save(tmp_path / "locked.pdf", encryption=pikepdf.Encryption(owner="keeper", user=user, R=6))
    return tmp_path / "locked.pdf"


def test_a_blank_password_opens(tmp_path: Path) -> None:
    """A PDF that is only protected against changes is read like any other."""
    opened = open_pdf(locked(tmp_path, ""), 1, LIMITS)
    opened.close()
    assert opened.artwork.extra["encrypted"] is True
    assert len(opened.artwork.strokes) == 1


def test_a_real_password_is_asked_for(tmp_path: Path) -> None:
    """A locked PDF is refused in words, with its slug."""
    assert slug(locked(tmp_path, "secret")) == "pdf-needs-password"


def test_damage_is_named(tmp_path: Path) -> None:
    """Half of nothing, text and an empty header are refused as damaged; none of them crashes."""
    for name, content in (
        ("text", b"hello"),
        ("head", b"%PDF-1.7\n"),
        ("junk", b"%PDF-1.7\n" + bytes(range(256)) * 40),
    ):
        path = tmp_path / name
        path.write_bytes(content)
        assert slug(path) == "pdf-damaged"


def test_a_cut_off_file_is_mended_and_said_so(tmp_path: Path) -> None:
    """A file that lost its directory is read by its objects, and a note says so."""
    whole = Drawing("0 0 m 100 100 l S").write(tmp_path / "a.pdf").read_bytes()
    path = tmp_path / "cut.pdf"
    path.write_bytes(whole[: whole.index(b"trailer")])
    opened = open_pdf(path, 1, LIMITS)
    opened.close()
    assert len(opened.artwork.strokes) == 1
    assert any("mended" in note for note in opened.artwork.notes)


def test_a_page_that_the_renderer_will_not_load_is_mended(tmp_path: Path) -> None:
    """A page object that names no page type: found by fuzzing, read from the mended file."""
    path = Drawing("0 0 m 100 100 l S").write(tmp_path / "a.pdf")
    path.write_bytes(path.read_bytes().replace(b"/Type/Page/", b"/Typo/Page/"))
    opened = open_pdf(path, 1, LIMITS)
    opened.close()
    assert len(opened.artwork.strokes) == 1


def test_a_bomb_among_the_objects_is_refused(tmp_path: Path) -> None:
    """Objects packed into 100 MB of blanks are not unpacked."""
    path = tmp_path / "a.pdf"
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(path, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    packed = path.read_bytes()
    start, end = packed.index(b"stream\n") + 7, packed.index(b"\nendstream")
    head = packed[: start - 7]
    bomb = zlib.compress(zlib.decompress(packed[start:end]) + b" " * 100_000_000)
    length = head.rindex(b"/Length ")
    head = head[:length] + b"/Length %d >>\n" % len(bomb)
    path.write_bytes(head + b"stream\n" + bomb + packed[end:])
    assert slug(path) in ("pdf-bomb", "pdf-damaged")


def test_a_file_without_pages_is_refused(tmp_path: Path) -> None:
    """No page: nothing to print."""
    assert slug(Drawing(count=0).write(tmp_path / "a.pdf")) == "pdf-no-pages"


def test_a_page_beyond_the_last_is_refused(tmp_path: Path) -> None:
    """Page 2 of 1, and page 0, are not there."""
    path = Drawing().write(tmp_path / "a.pdf")
    assert slug(path, 2) == "page-not-there"
    assert slug(path, 0) == "page-not-there"


def test_a_book_is_refused(tmp_path: Path) -> None:
    """More pages than the limit are no artwork."""
    path = Drawing(count=3).write(tmp_path / "a.pdf")
    few = LIMITS.model_copy(update={"most_pages": 2})
    with pytest.raises(ArtworkRefused) as caught:
        open_pdf(path, 1, few)
    assert caught.value.slug == "too-many-pages"


def test_a_loop_of_pages_ends(tmp_path: Path) -> None:
    """A page tree that contains itself is refused or read, but ends."""
    path = Drawing().write(tmp_path / "a.pdf")
    path.write_bytes(path.read_bytes().replace(b"/Kids[3 0 R]", b"/Kids[2 0 R]"))
    assert slug(path) in ("pdf-damaged", "pdf-no-pages")


def test_pages_are_counted_and_each_can_be_opened(tmp_path: Path) -> None:
    """Three pages: the artwork says three, and which one it is of."""
    path = Drawing(count=3).write(tmp_path / "a.pdf")
    opened = open_pdf(path, 3, LIMITS)
    opened.close()
    assert (opened.artwork.pages, opened.artwork.page) == (3, 3)


def test_a_form_says_that_it_is_one(tmp_path: Path) -> None:
    """XFA: what is seen here may differ from what a form program shows, and a note says so."""
    drawing = Drawing(catalog="/AcroForm<</XFA[(a)(b)]/Fields[]>>")
    opened = open_pdf(drawing.write(tmp_path / "a.pdf"), 1, LIMITS)
    opened.close()
    assert any("XFA" in note for note in opened.artwork.notes)
