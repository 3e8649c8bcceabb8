"""Painted images and their effective resolution, wherever they sit on a page."""

from __future__ import annotations

from pathlib import Path

import pytest

from config.settings import load_settings
from intake.facts import Artwork
from intake.reading.pdf import open_pdf
from tests.intake.reading.pdf_drawing import Drawing
from tickets.problems import ArtworkRefused

LIMITS = load_settings(None, {}).limits.file
DATA = Path(__file__).parents[2] / "data"


def read(path: Path) -> Artwork:
    """The facts of page 1."""
    opened = open_pdf(path, 1, LIMITS)
    opened.close()
    return opened.artwork


def told(art: Artwork) -> list[tuple[str, float, float, float]]:
    """(kind, ppi across, ppi down, worst) of each painted image, rounded."""
    return [(i.kind, round(i.ppi[0], 2), round(i.ppi[1], 2), round(i.worst_ppi, 2)) for i in art.images]


@pytest.mark.parametrize(
    ("name", "across", "down"),
    [
        ("plain", 300, 300),
        ("aniso", 300, 150),
        ("rot45", 300, 300),
        ("nested", 300, 300),
        ("uu2", 150, 150),
        ("flipped", 300, 300),
    ],
)
def test_six_matrices(name: str, across: float, down: float) -> None:
    """The resolution comes through the whole matrix and UserUnit (ISO 32000-1 8.9.5; see SOURCES.md)."""
    assert told(read(DATA / "pdf_ppi" / f"pdf_{name}.pdf")) == [("image", across, down, min(across, down))]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("userunit", [("image", 300, 300, 300)]),
        ("nested_form_image", [("image", 300, 300, 300)]),
        ("rotated45_image", [("image", 300, 300, 300)]),
        ("skew_image", [("image", 300, 212.13, 185.41)]),
        ("unused_image", [("image", 300, 300, 300)]),
        ("annot_image", [("image", 25, 25, 25)]),
        ("smask_bigger", [("image", 10, 10, 10), ("soft mask", 300, 300, 300)]),
    ],
)
def test_each_trap_has_its_answer(name: str, expected: list[tuple[str, float, float, float]]) -> None:
    """Forms, stamps, masks of another size and images never painted, as truth.json says."""
    assert told(read(DATA / "artwork_pdf" / f"pdf_{name}.pdf")) == expected


def placed(drawing: Drawing, tmp_path: Path) -> list[tuple[str, float]]:
    """(kind, worst ppi) of each image that a drawing paints."""
    return [(kind, worst) for kind, _, _, worst in told(read(drawing.write(tmp_path / "a.pdf")))]


def test_the_lower_of_two_placements_comes_first(tmp_path: Path) -> None:
    """The same image painted twice counts twice, the worse one first."""
    drawing = Drawing(
        "q 72 0 0 72 0 0 cm /I Do Q q 200 0 0 200 80 80 cm /I Do Q", resources="/XObject<</I 10 0 R>>"
    )
    drawing.add_image(300, 300)
    assert placed(drawing, tmp_path) == [("image", 108.0), ("image", 300.0)]


def test_an_image_in_a_pattern_counts(tmp_path: Path) -> None:
    """A tiling pattern's cell hangs on the page's own start, not on the current matrix."""
    drawing = Drawing("/Pattern cs /P scn 5 0 0 5 0 0 cm 0 0 40 40 re f", resources="/Pattern<</P 11 0 R>>")
    drawing.add_image(100, 100)
    keys = "/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 72 72]/XStep 72/YStep 72"
    drawing.add_stream(
        f"{keys}/Matrix[.5 0 0 .5 0 0]/Resources<</XObject<</I 10 0 R>>>>", b"72 0 0 72 0 0 cm /I Do"
    )
    assert placed(drawing, tmp_path) == [("image", 200.0)]


def test_a_pattern_that_is_chosen_but_not_painted_does_not_count(tmp_path: Path) -> None:
    """Choosing a pattern and then a plain colour paints no cell."""
    drawing = Drawing("/Pattern cs /P scn 1 0 0 rg 0 0 40 40 re f", resources="/Pattern<</P 11 0 R>>")
    drawing.add_image(100, 100)
    keys = "/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 72 72]/XStep 72/YStep 72"
    drawing.add_stream(f"{keys}/Resources<</XObject<</I 10 0 R>>>>", b"72 0 0 72 0 0 cm /I Do")
    assert placed(drawing, tmp_path) == []


def test_an_inline_image_and_a_stencil_count(tmp_path: Path) -> None:
    """Images between BI and EI, and stencils by their own resolution."""
    inline = "q 144 0 0 144 0 0 cm BI /W 2 /H 2 /BPC 8 /CS /G ID abcd\nEI Q "
    stencil = "q 72 0 0 72 150 150 cm BI /W 8 /H 8 /IM true ID abcdefgh\nEI Q"
    assert placed(Drawing(inline + stencil), tmp_path) == [("inline", 1.0), ("stencil", 8.0)]


def test_an_image_in_a_soft_mask_counts(tmp_path: Path) -> None:
    """A luminosity mask of the graphics state is painted through its group."""
    drawing = Drawing(
        "/G gs 0 0 100 100 re f", resources="/ExtGState<</G<</SMask<</S/Luminosity/G 11 0 R>>>>>>"
    )
    drawing.add_image(50, 50)
    group = "/BBox[0 0 288 288]/Group<</S/Transparency/CS/DeviceGray>>/Resources<</XObject<</I 10 0 R>>>>"
    drawing.add_form("144 0 0 144 0 0 cm /I Do", group)
    assert placed(drawing, tmp_path) == [("soft mask", 25.0)]


def test_an_image_in_a_glyph_counts(tmp_path: Path) -> None:
    """Type 3 fonts: letters that are little images, at the size of the text."""
    font = "<</Type/Font/Subtype/Type3/FontBBox[0 0 1 1]/FontMatrix[.1 0 0 .1 0 0]"
    drawing = Drawing("BT /F 20 Tf 10 10 Td (AA) Tj ET", resources="/Font<</F 11 0 R>>")
    glyph = drawing.add_stream(
        "", b"10 0 0 0 10 10 d1 10 0 0 10 0 0 cm BI /W 8 /H 8 /IM true ID abcdefgh\nEI"
    )
    drawing.add(
        f"{font}/FirstChar 65/LastChar 65/Widths[10]/Encoding<</Differences[65/a]>>/CharProcs<</a {glyph}>>>>"
    )
    assert placed(drawing, tmp_path) == [("stencil", 28.8)]


@pytest.mark.parametrize(
    "content",
    [
        "q 72 0 0 72 400 400 cm /I Do Q",  # outside the page
        "q 0 0 10 10 re W n 72 0 0 72 100 100 cm /I Do Q",  # clipped away
        "/H gs q 72 0 0 72 0 0 cm /I Do Q",  # invisible
        "/OC /L BDC q 72 0 0 72 0 0 cm /I Do Q EMC",  # on a layer that is switched off
        "q 0 0 0 72 0 0 cm /I Do Q",  # squeezed to nothing
    ],
)
def test_an_image_that_nobody_sees_does_not_count(content: str, tmp_path: Path) -> None:
    """Out of the page, clipped away, without opacity, on a hidden layer, without extent: not painted."""
    drawing = Drawing(
        content,
        resources="/XObject<</I 10 0 R>>/ExtGState<</H<</ca 0>>>>/Properties<</L 11 0 R>>",
        catalog="/OCProperties<</OCGs[11 0 R]/D<</OFF[11 0 R]>>>>",
    )
    drawing.add_image(10, 10)
    drawing.add("<</Type/OCG/Name(L)>>")
    assert placed(drawing, tmp_path) == []


def test_an_image_on_a_layer_that_is_on_counts(tmp_path: Path) -> None:
    """The counterpart: the same content with the layer switched on."""
    drawing = Drawing(
        "/OC /L BDC q 72 0 0 72 0 0 cm /I Do Q EMC",
        resources="/XObject<</I 10 0 R>>/Properties<</L 11 0 R>>",
        catalog="/OCProperties<</OCGs[11 0 R]/D<</ON[11 0 R]>>>>",
    )
    drawing.add_image(10, 10)
    drawing.add("<</Type/OCG/Name(L)>>")
    assert placed(drawing, tmp_path) == [("image", 10.0)]


def test_forms_that_paint_themselves_end(tmp_path: Path) -> None:
    """A form within itself is walked once."""
    drawing = Drawing("/F Do", resources="/XObject<</F 10 0 R>>")
    drawing.add_form("/F Do 0 0 m 50 50 l S", "/BBox[0 0 288 288]/Resources<</XObject<</F 10 0 R>>>>")
    assert len(read(drawing.write(tmp_path / "a.pdf")).strokes) == 1


def test_forms_that_multiply_are_refused(tmp_path: Path) -> None:
    """Ten forms of ten forms of ten…: refused as a bomb before anything is painted."""
    drawing = Drawing("/F Do", resources="/XObject<</F 10 0 R>>")
    for k in range(7):
        inner = f"/BBox[0 0 288 288]/Resources<</XObject<</F {11 + k} 0 R>>>>"
        drawing.add_form("/F Do " * 10, inner)
    drawing.add_form("0 0 m 9 9 l S")
    with pytest.raises(ArtworkRefused) as caught:
        read(drawing.write(tmp_path / "a.pdf"))
    assert caught.value.slug == "pdf-bomb"


def test_a_content_bomb_is_refused(tmp_path: Path) -> None:
    """100 MB of content from 100 kB are not unpacked."""
    drawing = Drawing(contents="10 0 R")
    drawing.add_stream("", b"0 0 m " * 17_000_000)
    with pytest.raises(ArtworkRefused) as caught:
        read(drawing.write(tmp_path / "a.pdf"))
    assert caught.value.slug == "pdf-bomb"


def test_a_giant_image_is_refused_by_its_header(tmp_path: Path) -> None:
    """30,000 × 30,000 pixels are not decoded, whatever the data behind them."""
    drawing = Drawing("q 288 0 0 288 0 0 cm /I Do Q", resources="/XObject<</I 10 0 R>>")
    keys = "/Type/XObject/Subtype/Image/Width 30000/Height 30000/ColorSpace/DeviceGray/BitsPerComponent 8"
    drawing.add_stream(keys, b"x")
    with pytest.raises(ArtworkRefused) as caught:
        read(drawing.write(tmp_path / "a.pdf"))
    assert caught.value.slug == "too-many-pixels"


def test_a_page_that_is_one_image_has_its_pixels(tmp_path: Path) -> None:
    """One straight image over the whole page gives the artwork its upright pixel size."""
    drawing = Drawing("288 0 0 288 0 0 cm /I Do", page="/Rotate 90", resources="/XObject<</I 10 0 R>>")
    drawing.add_image(40, 20)
    art = read(drawing.write(tmp_path / "a.pdf"))
    assert art.pixels == (20, 40)


@pytest.mark.parametrize(
    "content",
    [
        "288 0 0 288 0 0 cm /I Do 0 0 .1 .1 re f",  # something beside it
        "144 0 0 288 0 0 cm /I Do",  # over a part of the page only
        "200 88 -88 200 88 0 cm /I Do",  # askew
        "q 288 0 0 288 0 0 cm /I Do Q q 288 0 0 288 0 0 cm /I Do Q",  # two
    ],
)
def test_a_page_that_is_more_than_one_image_has_none(content: str, tmp_path: Path) -> None:
    """Anything else keeps pixels None: there the images speak for themselves."""
    drawing = Drawing(content, resources="/XObject<</I 10 0 R>>")
    drawing.add_image(40, 20)
    assert read(drawing.write(tmp_path / "a.pdf")).pixels is None


@pytest.mark.parametrize("packing", ["JPXDecode", "JBIG2Decode", "CCITTFaxDecode", "NoSuchDecode"])
def test_undecodable_images_are_measured_by_their_dictionary(packing: str, tmp_path: Path) -> None:
    """JPX, JBIG2 and CCITT data need no decoder here, and broken ones crash nothing."""
    drawing = Drawing("q 72 0 0 72 0 0 cm /I Do Q", resources="/XObject<</I 10 0 R>>")
    keys = "/Type/XObject/Subtype/Image/Width 100/Height 100/ColorSpace/DeviceGray/BitsPerComponent 1"
    drawing.add_stream(f"{keys}/Filter/{packing}", b"not an image")
    assert placed(drawing, tmp_path) == [("image", 100.0)]


@pytest.mark.parametrize(
    ("keys", "body", "is_plain"),
    [
        ("/Width 2/Height 2/ColorSpace/DeviceGray/BitsPerComponent 8", b"\x80" * 4, True),
        ("/Width 2/Height 2/ColorSpace/DeviceGray/BitsPerComponent 8", b"\x80\x80\x80\x81", False),
        ("/Width 2/Height 2/ColorSpace/DeviceRGB/BitsPerComponent 8", b"\x01\x02\x03" * 4, True),
        ("/Width 1/Height 1/ColorSpace/DeviceRGB/BitsPerComponent 8", b"\x01\x02\x03", True),
        ("/Width 3/Height 2/ColorSpace/DeviceGray/BitsPerComponent 1", b"\xff\xff", True),
        ("/Width 2/Height 2/ColorSpace/DeviceGray/BitsPerComponent 8/Mask[1 2]", b"\x80" * 4, False),
        ("/Width 2/Height 2/ColorSpace/DeviceGray/BitsPerComponent 8/Filter/DCTDecode", b"\x80" * 4, False),
    ],
)
def test_an_image_of_one_colour_is_known_as_such(
    keys: str, body: bytes, is_plain: bool, tmp_path: Path
) -> None:
    """A plain area drawn as an image has no detail; the slightest other pixel makes it a picture."""
    drawing = Drawing("q 72 0 0 72 0 0 cm /I Do Q", resources="/XObject<</I 10 0 R>>")
    drawing.add_stream(f"/Type/XObject/Subtype/Image{keys}", body)
    (only,) = read(drawing.write(tmp_path / "a.pdf")).images
    assert only.is_plain is is_plain


def test_thousands_of_alike_images_do_not_hide_the_others(tmp_path: Path) -> None:
    """A tiled image is told a few times and counted in full; another, finer one is still told."""
    tiles = "".join(f"q 9 0 0 9 {9 * (k % 30)} {9 * (k // 30)} cm /I Do Q " for k in range(600))
    drawing = Drawing(tiles + "q 72 0 0 72 0 0 cm /J Do Q", resources="/XObject<</I 10 0 R/J 11 0 R>>")
    drawing.add_image(2, 2)
    drawing.add_image(300, 300)
    art = read(drawing.write(tmp_path / "a.pdf"))
    assert art.extra["image_count"] == 601
    assert ("image", 300.0) in placed(drawing, tmp_path)
