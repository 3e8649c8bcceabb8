"""Artwork of lines on film: pages of PDF stay lines, and what cannot is drawn as pixels and said."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name
from PIL import Image
from reportlab.lib.colors import CMYKColor, Color
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from intake.film.making import keep_arts
from intake.sandbox import Sandbox
from intake.shop import Shop
from tests.intake.film.film_shop import Kind, badge, draw, proved, run_of

SIZE_PT = (216.0, 144.0)
SIZE = (90.0, 60.0)
Change = Callable[[pikepdf.Pdf], None]


def drawing(change: Change = lambda _: None) -> bytes:
    """A page of curves, hairlines, clear areas, an image with transparency, inks; one-sided."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=SIZE_PT)
    canvas.setFillColor(Color(0.8, 0.1, 0.2))
    canvas.circle(55, 70, 45, stroke=0, fill=1)
    canvas.setFillColor(CMYKColor(0.6, 0.1, 0, 0.1))
    canvas.wedge(120, 10, 210, 90, 0, 120, stroke=0, fill=1)
    canvas.setStrokeColor(Color(0, 0.2, 0.6))
    canvas.setLineWidth(0.4)
    for at in range(12):
        canvas.line(100 + at * 5, 20, 130 + at * 5, 130)
    canvas.setFillAlpha(0.5)
    canvas.setFillColor(Color(0.1, 0.7, 0.2))
    canvas.rect(70, 50, 80, 60, stroke=0, fill=1)
    canvas.setFillAlpha(1)
    canvas.drawImage(ImageReader(badge((20.0, 15.0), 8)), 150, 95, 56, 42, mask="auto")
    canvas.save()
    with pikepdf.open(io.BytesIO(out.getvalue())) as pdf:
        change(pdf)
        changed = io.BytesIO()
        pdf.save(changed)
    return changed.getvalue()


def turned_page(pdf: pikepdf.Pdf) -> None:
    """Shown turned by a quarter, and cropped on all sides."""
    pdf.pages[0].Rotate = 90
    pdf.pages[0].CropBox = Array([6, 4, 213, 142])


def with_awkward_names(pdf: pikepdf.Pdf) -> None:
    """Resources with names that mean something elsewhere, shared between two places, in a form of its own."""
    page = pdf.pages[0]
    inner = pdf.make_stream(b"q 0.2 0.4 0.9 rg 5 5 30 20 re f Q")
    inner.Type, inner.Subtype, inner.BBox = Name.XObject, Name.Form, Array([0, 0, 216, 144])
    inner.Resources = Dictionary()
    page.Resources.XObject["/Parent"] = pdf.make_indirect(inner)
    page.Resources.XObject["/A"] = page.Resources.XObject["/Parent"]
    page.Resources.XObject["/odd name#"] = page.Resources.XObject["/Parent"]
    page.Contents = Array(
        [page.Contents, pdf.make_stream(b"/Parent Do 1 0 0 1 40 0 cm /A Do /odd#20name#23 Do")]
    )


def locked(content: bytes) -> bytes:
    """With an owner's password, as some programs save: it opens without one."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        pdf.save(out, encryption=pikepdf.Encryption(owner="x", user="", R=6))
    return out.getvalue()


def ways(shop: Shop, sandbox: Sandbox, name: str, content: bytes) -> tuple[list[str], list[str]]:
    """How an artwork was encoded, and what is said of it."""
    from tickets.paper.film.art import read_list

    arts = keep_arts(shop, run_of(shop, [Kind(name, content, SIZE, 1)]), sandbox)
    found = []
    for path in arts.paths.values():
        with path.open("rb") as source:
            found.append(read_list(source).way)
    return found, list(arts.says)


@pytest.mark.parametrize(
    "content",
    [drawing(), drawing(turned_page), drawing(with_awkward_names), locked(drawing())],
    ids=["plain", "turned", "names", "locked"],
)
def test_lines_stay_lines_however_they_lie(
    content: bytes, shop: Shop, sandbox: Sandbox, tmp_path: Path
) -> None:
    """As it is, turned, mirrored, and both: proved by drawing the original once more; nothing is pixels."""
    base = Kind("drawing.pdf", content, SIZE, 2)
    kinds = [replace(base, turned=t, mirrored=m) for t in (False, True) for m in (False, True)]
    made = draw(shop, run_of(shop, kinds), sandbox, tmp_path / "run.pdf")
    assert proved(made.plan) == []
    assert ways(shop, sandbox, "drawing.pdf", content) == (["vector"], [])
    with pikepdf.open(made.path) as pdf:
        assert all(art.Subtype == Name.Form for art in pdf.pages[0].Resources.XObject.values())


def test_another_page_in_its_place_is_found(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Lines whose colours are changed, or a shape left out, are no longer as drawn."""
    made = draw(shop, run_of(shop, [Kind("drawing.pdf", drawing(), SIZE, 2)]), sandbox, tmp_path / "run.pdf")
    for old, new in ((b".8 .1 .2 rg", b".1 .1 .2 rg"), (b"55 70 m", b"n 55 70 m")):
        path = tmp_path / "spoilt.pdf"
        with pikepdf.open(made.path) as pdf:
            (art,) = pdf.pages[0].Resources.XObject.values()
            inner: Any = art.Resources.XObject.P
            content = inner.read_bytes()
            changed = content.replace(old, new) if old in content else content.replace(b" rg", b" rg 0 g", 1)
            assert changed != content
            inner.write(changed)
            pdf.save(path)
        assert "is not drawn as its artwork is" in proved(replace(made.plan, pdf=str(path)))[0].says


def with_hidden_layer(pdf: pikepdf.Pdf) -> None:
    """A layer that is switched off."""
    layer = pdf.make_indirect(Dictionary(Type=Name.OCG, Name="guides"))
    pdf.Root.OCProperties = Dictionary(OCGs=Array([layer]), D=Dictionary(OFF=Array([layer])))


def with_note(pdf: pikepdf.Pdf) -> None:
    """A note on the page."""
    note = Dictionary(Type=Name.Annot, Subtype=Name.Square, Rect=Array([10, 10, 40, 40]), F=4)
    pdf.pages[0].Annots = Array([pdf.make_indirect(note)])


def with_missing_font(pdf: pikepdf.Pdf) -> None:
    """Letters of a font that is not in the file."""
    font = Dictionary(Type=Name.Font, Subtype=Name.TrueType, BaseFont=Name("/Nowhere"))
    page = pdf.pages[0]
    page.Resources.Font = Dictionary(F9=pdf.make_indirect(font))
    page.Contents = Array([page.Contents, pdf.make_stream(b"BT /F9 20 Tf 20 20 Td (film) Tj ET")])


@pytest.mark.parametrize(
    ("change", "says"),
    [(with_hidden_layer, "layers"), (with_note, "notes"), (with_missing_font, "fonts")],
)
def test_what_cannot_stay_lines_is_drawn_as_pixels_and_said(
    change: Change, says: str, shop: Shop, sandbox: Sandbox, tmp_path: Path
) -> None:
    """With the reason, in the customer's name for the file; and proved like any picture."""
    content = drawing(change)
    found, said = ways(shop, sandbox, "drawing.pdf", content)
    assert found == ["rendered"]
    assert said[0].startswith("drawing.pdf: It is drawn as pixels at 400 an inch: ")
    assert says in said[0]
    made = draw(shop, run_of(shop, [Kind("drawing.pdf", content, SIZE, 1)]), sandbox, tmp_path / "run.pdf")
    assert proved(made.plan) == []


def test_an_svg_is_drawn_as_pixels(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """Said as well."""
    shape = '<path d="M10 10 L80 20 L40 55 Z" fill="#a03050"/>'
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">'
    content = f"{head}{shape}</svg>"
    found, said = ways(shop, sandbox, "drawing.svg", content.encode())
    assert (found, len(said)) == (["rendered"], 1)
    made = draw(
        shop, run_of(shop, [Kind("drawing.svg", content.encode(), SIZE, 1)]), sandbox, tmp_path / "r.pdf"
    )
    assert proved(made.plan) == []


def test_inks_and_profiles_stay_as_they_are(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """A TIFF with a profile keeps samples and profile; inks without one are converted, and that is said."""
    plain = Image.new("CMYK", (360, 240), (10, 200, 40, 5))
    out = io.BytesIO()
    plain.save(out, "TIFF")
    found, said = ways(shop, sandbox, "inks.tif", out.getvalue())
    assert (found, "sRGB" in said[0]) == (["samples"], True)
    made = draw(shop, run_of(shop, [Kind("inks.tif", out.getvalue(), SIZE, 1)]), sandbox, tmp_path / "r.pdf")
    assert proved(made.plan) == []
