"""The page painted on nothing: coverage, size, bands, and the names that a print shop wants told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from config.settings import load_settings
from intake.facts import Artwork, Pixels, PrintSize
from intake.reading.pdf import open_pdf
from tests.intake.reading.pdf_drawing import Drawing

LIMITS = load_settings(None, {}).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork_pdf"
FOUR_INCHES = PrintSize(101.6, 101.6)


def painted(
    path: Path, size: PrintSize = FOUR_INCHES, rows: int = 200
) -> tuple[Artwork, Pixels, NDArray[np.uint8]]:
    """Artwork, pixels, and all bands put together."""
    opened = open_pdf(path, 1, LIMITS)
    try:
        pixels = opened.pixels_at(size)
        return opened.artwork, pixels, np.concatenate(list(pixels.bands(rows)))
    finally:
        opened.close()


def test_no_paint_is_no_coverage(tmp_path: Path) -> None:
    """Where nothing is painted the picture is transparent: a PDF page has no paper here."""
    _, pixels, rgba = painted(Drawing("1 0 0 rg 0 0 144 144 re f").write(tmp_path / "a.pdf"))
    assert rgba.shape == (pixels.height, pixels.width, 4) == (1600, 1600, 4)
    assert not rgba[:799, :, 3].any()
    assert (rgba[801:, :799] == (255, 0, 0, 255)).all()


def test_a_white_box_is_opaque() -> None:
    """A white rectangle under everything is ink."""
    _, _, rgba = painted(MADE / "pdf_white_box.pdf")
    assert (rgba[..., 3] == 255).mean() > 0.999


def test_half_transparent_paint_is_half_covered() -> None:
    """Constant alpha of 0.4 comes out as about 0.4, and nothing else is covered."""
    _, _, rgba = painted(MADE / "pdf_box_partial_alpha.pdf")
    inked = rgba[..., 3][rgba[..., 3] > 0]
    assert inked.mean() / 255 == pytest.approx(0.4, abs=0.01)


def test_a_stamp_is_painted() -> None:
    """What an annotation shows is printed, so it is measured."""
    _, _, rgba = painted(MADE / "pdf_annot_image.pdf")
    assert (rgba[..., 3] == 255).mean() == pytest.approx(0.25, abs=0.002)


def test_a_filled_in_field_is_painted(tmp_path: Path) -> None:
    """What somebody typed into a form is on the print; the field's own highlight is not."""
    drawing = Drawing(page="/Annots[10 0 R 12 0 R]", catalog="/AcroForm<</Fields[10 0 R 12 0 R]>>")
    field = "<</Type/Annot/Subtype/Widget/F 4/FT/Tx"
    drawing.add(f"{field}/T(a)/Rect[0 0 144 144]/AP<</N 11 0 R>>/V(b)/DA(/Helv 12 Tf)>>")
    drawing.add_form("0 0 144 144 re f", "/BBox[0 0 144 144]")
    drawing.add(f"{field}/T(c)/Rect[150 150 280 280]>>")
    _, _, rgba = painted(drawing.write(tmp_path / "a.pdf"))
    assert (rgba[..., 3] > 0).mean() == pytest.approx(0.25, abs=0.002)


@pytest.mark.parametrize(
    ("group", "setting"),
    [
        ("", "/OFF[10 0 R]"),
        ("", "/BaseState/OFF"),
        ("/Usage<</View<</ViewState/OFF>>>>", "/ON[10 0 R]"),
    ],
)
def test_a_hidden_layer_is_neither_painted_nor_walked(group: str, setting: str, tmp_path: Path) -> None:
    """Picture and walk agree on what is switched off."""
    drawing = Drawing(
        "/OC /L BDC 0 0 144 144 re f 1 w 150 150 m 200 200 l S EMC",
        resources="/Properties<</L 10 0 R>>",
        catalog=f"/OCProperties<</OCGs[10 0 R]/D<<{setting}>>>>",
    )
    drawing.add(f"<</Type/OCG/Name(L){group}>>")
    art, _, rgba = painted(drawing.write(tmp_path / "a.pdf"))
    assert art.strokes == ()
    assert not rgba[..., 3].any()


def test_user_unit_and_turn_do_not_change_the_picture(tmp_path: Path) -> None:
    """The page fills the print size whatever its units are, and is turned as its Rotate says."""
    drawing = Drawing("0 0 2 1 re f", media="[0 0 4 4]", page="/UserUnit 72/Rotate 90")
    _, _, rgba = painted(drawing.write(tmp_path / "a.pdf"))
    inked = rgba[..., 3] > 127
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    # turned clockwise, what lay at the bottom left lies at the top left, standing upright
    assert (rows[0], rows[-1], columns[0], columns[-1]) == (0, 799, 0, 399)


def test_bands_are_the_whole(tmp_path: Path) -> None:
    """Painted in bands of any height, the picture is the same as painted at once."""
    path = Drawing("1 w 10 10 m 280 270 l S 0 1 0 rg 100 100 m 200 150 l 120 250 l f").write(
        tmp_path / "a.pdf"
    )
    _, _, small = painted(path, rows=37)
    _, _, whole = painted(path, rows=5000)
    assert (small == whole).all()


def test_large_prints_are_painted_with_bounded_memory(tmp_path: Path) -> None:
    """A band is never larger than what was asked for, however large the print."""
    opened = open_pdf(Drawing("5 w 0 0 m 288 288 l S").write(tmp_path / "a.pdf"), 1, LIMITS)
    try:
        pixels = opened.pixels_at(PrintSize(500, 500))
        rows = [band.shape[0] for band in pixels.bands(256)]
    finally:
        opened.close()
    assert pixels.width * pixels.height <= LIMITS.largest_megapixels * 1e6
    assert max(rows) <= 256
    assert sum(rows) == pixels.height


def test_a_giant_print_is_painted_coarser(tmp_path: Path) -> None:
    """Beyond the limit of megapixels the picture gets coarser, keeping its shape."""
    opened = open_pdf(Drawing(media="[0 0 100 400]").write(tmp_path / "a.pdf"), 1, LIMITS)
    try:
        pixels = opened.pixels_at(PrintSize(1250, 5000))
    finally:
        opened.close()
    assert pixels.width * pixels.height == pytest.approx(LIMITS.largest_megapixels * 1e6, rel=0.01)
    assert pixels.height / pixels.width == pytest.approx(4, rel=0.001)


@pytest.mark.parametrize("width_pt", [0.5, 0.85, 1.417, 2.834])
def test_a_bar_is_painted_as_wide_as_it_was_drawn(width_pt: float, tmp_path: Path) -> None:
    """The coverage across a slanted bar of known width adds up to that width: w mm are w · ppi ÷ 25.4 px."""
    content = f"{width_pt} w 20 40 m 260 100 l S"
    _, pixels, rgba = painted(Drawing(content).write(tmp_path / "a.pdf"))
    columns = rgba[:, 600:1000, 3].sum(axis=0) / 255.0
    across = columns.mean() * np.cos(np.arctan2(60, 240)) * 72 / (pixels.width / 4)
    assert across == pytest.approx(width_pt, rel=0.02)


def test_a_lone_image_comes_with_its_own_pixels(tmp_path: Path) -> None:
    """A page that is one image is painted pixel for pixel, so that nothing is blurred by resampling."""
    drawing = Drawing("288 0 0 288 0 0 cm /I Do", resources="/XObject<</I 10 0 R>>")
    body = bytes([0, 255] * 50 + [255, 0] * 50) * 50
    keys = "/Type/XObject/Subtype/Image/Width 100/Height 100/ColorSpace/DeviceGray/BitsPerComponent 8"
    drawing.add_stream(keys, body)
    art, pixels, rgba = painted(drawing.write(tmp_path / "a.pdf"))
    assert art.pixels == (pixels.width, pixels.height) == (100, 100)
    assert rgba[..., 0].tobytes() == body


def told(drawing: Drawing, tmp_path: Path) -> Artwork:
    """The facts of a drawing."""
    opened = open_pdf(drawing.write(tmp_path / "a.pdf"), 1, LIMITS)
    opened.close()
    return opened.artwork


def test_fonts_that_the_file_does_not_carry_are_named(tmp_path: Path) -> None:
    """A font used but not embedded is named; one that is only listed is not."""
    fonts = "/Font<</F<</Subtype/TrueType/BaseFont/Gillesque>>/G<</Subtype/Type1/BaseFont/Unused>>>>"
    art = told(Drawing("BT /F 12 Tf 10 10 Td (word) Tj ET", resources=fonts), tmp_path)
    assert art.extra["fonts_not_embedded"] == ["Gillesque"]
    assert any("Gillesque" in note for note in art.notes)


def test_spot_colours_overprint_and_inks_are_named(tmp_path: Path) -> None:
    """Separation names, overprint that was used, and the colour that the art is made of."""
    resources = (
        "/ColorSpace<</S[/Separation/Tangerine/DeviceCMYK 10 0 R]>>/ExtGState<</O<</OP true/op true>>>>"
    )
    drawing = Drawing("/O gs /S cs 1 scn 0 0 50 50 re f 0 1 0 0 k 60 60 50 50 re f", resources=resources)
    drawing.add("<</FunctionType 2/Domain[0 1]/N 1/C0[0 0 0 0]/C1[0 .5 1 0]>>")
    art = told(drawing, tmp_path)
    assert art.colour == "CMYK"
    assert art.extra["spot_colours"] == ["Tangerine"]
    assert art.extra["overprint"] is True
    assert any("Tangerine" in note for note in art.notes)


def test_a_plain_drawing_has_no_remarks(tmp_path: Path) -> None:
    """Nothing odd, nothing said."""
    assert told(Drawing("1 0 0 rg 0 0 50 50 re f"), tmp_path).notes == ()
