"""Nothing outside a drawing is read, nothing in it is run, and nothing in it grows without bounds."""

from __future__ import annotations

import base64
import time
from pathlib import Path

import pytest
from PIL import Image

from intake.reading import open_artwork
from tests.intake.reading.raster_drawing import png
from tests.intake.reading.svg_drawing import LIMITS, MADE, SPACES, made, opened, painted, read, svg
from tickets.problems import ArtworkRefused

BOX = '<rect width="50" height="50"/>'


def notes(text: str | bytes, folder: Path) -> str:
    """All remarks in one."""
    return " ".join(read(text, folder).notes)


@pytest.mark.parametrize(
    "body",
    [
        '<image href="{}" width="100" height="100"/>',
        '<image xlink:href="file://{}" width="100" height="100"/>',
        '<use href="{}#a"/>',
        '<filter id="f"><feImage href="{}"/></filter><g filter="url(#f)"><rect width="9" height="9"/></g>',
        '<rect width="90" height="90" fill="url({}#p)"/>',
        '<style>@import url({});</style>',
        '<rect width="90" height="90" style="fill:url(\'{}#p\')"/>',
        '<rect width="90" height="90" mask="url(http://shop.example/secret.png#m)" opacity="0"/>',
    ],
)  # fmt: skip
def test_a_file_beside_the_drawing_is_not_read_but_told_by_name(body: str, tmp_path: Path) -> None:
    """However it is asked for; the name alone is told, without the folders that it lies in."""
    Image.new("RGB", (8, 8), "red").save(tmp_path / "secret.png")
    drawing = opened(svg(body.format(tmp_path / "secret.png")), tmp_path)
    told = " ".join(drawing.artwork.notes)
    assert "secret.png" in told
    assert str(tmp_path) not in told
    assert not (painted(drawing)[..., 0] == 255).any()


def test_a_picture_that_is_the_drawing_itself_ends(tmp_path: Path) -> None:
    """The small file of that trap: the reference is ignored and told."""
    art = made("svg_self_image.svg")
    assert any("svg_self_image.svg" in note for note in art.notes)
    assert opened((MADE / "svg_self_image.svg").read_bytes(), tmp_path).artwork.size_mm == art.size_mm


def test_a_link_that_a_reader_may_follow_is_no_missing_file(tmp_path: Path) -> None:
    """`a` leads somewhere; the picture lacks nothing."""
    assert "not looked for" not in notes(svg(f'<a href="https://shop.example/">{BOX}</a>'), tmp_path)


def test_scripts_and_movement_are_left_out_and_told(tmp_path: Path) -> None:
    """What is there without them is what is printed."""
    body = f'<script>window.x=1</script>{BOX}<animate attributeName="x"/><rect onload="x()"/>'
    told = notes(svg(body), tmp_path)
    assert "a script" in told
    assert "movement" in told


def test_an_outside_entity_is_not_read(tmp_path: Path) -> None:
    """The text of a file of this machine never comes into the drawing; the file's name is told."""
    (tmp_path / "secret.txt").write_text("<rect width='100' height='100'/>")
    head = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file://{tmp_path}/secret.txt">]>'
    drawing = opened(head + svg("&x;"), tmp_path)
    assert not painted(drawing).any()
    assert any("secret.txt" in note for note in drawing.artwork.notes)


def test_entities_of_drawing_programs_are_put_in(tmp_path: Path) -> None:
    """Names, styles and whole elements that a program keeps in its document type."""
    head = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd" ['
        '<!ENTITY ns_svg "http://www.w3.org/2000/svg"><!ENTITY st0 "fill:#ff0000;">'
        "<!ENTITY box \"<rect width='5' height='5' style='&st0;'/>\">]>"
    )
    drawing = opened(head + '<svg xmlns="&ns_svg;" width="10" height="10">&box;</svg>', tmp_path)
    red = painted(drawing)
    assert (red[..., 3] == 255).mean() == pytest.approx(0.25, abs=0.01)
    assert tuple(red[2, 2]) == (255, 0, 0, 255)


def test_html_inside_a_drawing_is_told(tmp_path: Path) -> None:
    """Text that only a browser would set is named rather than lost."""
    body = (
        '<foreignObject width="9" height="9"><p xmlns="http://www.w3.org/1999/xhtml">Hi</p></foreignObject>'
    )
    assert "web page" in notes(svg(BOX + body), tmp_path)


def test_fonts_that_the_drawing_needs_are_named(tmp_path: Path) -> None:
    """Live text depends on fonts that are not in the file; shipped ones are no loss."""
    body = (
        "<text y='20' font-family='Comic Relief, serif'>"
        "A<tspan style='font-family:\"Old Hand\"'>B</tspan></text>"
        "<text y='40' font-family='Noto Sans'>C</text><text y='60' font-family='Absent'></text>"
    )
    art = read(svg(body), tmp_path)
    assert art.extra["fonts_not_embedded"] == ["Comic Relief", "Old Hand"]
    assert "Comic Relief, Old Hand" in " ".join(art.notes)


def test_text_is_drawn_whatever_its_font(tmp_path: Path) -> None:
    """Another font takes its place; the same on every machine."""
    drawing = opened(svg("<text x='5' y='60' font-size='50' font-family='Absent'>H</text>"), tmp_path)
    assert (painted(drawing)[..., 3] == 255).mean() > 0.02


def use_bomb(levels: int = 9) -> str:
    """Ten uses of ten uses of …"""
    groups = "".join(
        f'<g id="g{k}">' + f'<use xlink:href="#g{k - 1}"/>' * 10 + "</g>" for k in range(1, levels + 1)
    )
    return svg(f'<defs><g id="g0"><rect width="1" height="1"/></g>{groups}</defs><use href="#g{levels}"/>')


def pattern_bomb(levels: int = 9) -> str:
    """Ten shapes filled with a pattern of ten shapes filled with a pattern of …"""
    shape = '<rect width="9" height="9" fill="url(#p{})"/>'
    patterns = "".join(
        f'<pattern id="p{k}" width="10" height="10">{shape.format(k - 1) * 10}</pattern>'
        for k in range(1, levels + 1)
    )
    return svg(f'<pattern id="p0" width="1" height="1">{BOX}</pattern>{patterns}{shape.format(levels)}')


def mask_bomb(levels: int = 9) -> str:
    """Ten shapes behind a mask of ten shapes behind a mask of …"""
    shape = '<rect width="9" height="9" mask="url(#m{})"/>'
    masks = "".join(f'<mask id="m{k}">{shape.format(k - 1) * 10}</mask>' for k in range(1, levels + 1))
    return svg(f'<mask id="m0">{BOX}</mask>{masks}{shape.format(levels)}')


def styled_bomb() -> str:
    """The pattern bomb with its references hidden in a style sheet."""
    rules = "".join(f".f{k}{{fill:url(#p{k})}}" for k in range(10))
    body = pattern_bomb().split(">", 1)[1]
    for k in range(10):
        body = body.replace(f'fill="url(#p{k})"', f'class="f{k}"')
    return svg(f"<style>{rules}</style>" + body.removesuffix("</svg>"))


def entity_bomb() -> str:
    """Ten times ten times … the same letter."""
    entities = "".join(f'<!ENTITY a{k} "' + f"&a{k - 1};" * 10 + '">' for k in range(1, 10))
    return f'<!DOCTYPE svg [<!ENTITY a0 "aaaaaaaaaa">{entities}]>' + svg("<text>&a9;</text>")


@pytest.mark.parametrize("bomb", [use_bomb, pattern_bomb, mask_bomb, styled_bomb, entity_bomb])
def test_an_explosion_is_refused_before_it_is_drawn(bomb: object, tmp_path: Path) -> None:
    """A thousand million shapes out of a few kilobytes: counted, not drawn, in a moment."""
    assert callable(bomb)
    started = time.process_time()
    with pytest.raises(ArtworkRefused) as told:
        read(bomb(), tmp_path)
    assert told.value.slug == "drawing-too-involved"
    assert time.process_time() - started < 5


def test_a_drawing_inside_a_drawing_is_no_way_round(tmp_path: Path) -> None:
    """An embedded drawing is cleaned and counted like the one that holds it."""
    inside = base64.b64encode(use_bomb().encode()).decode()
    with pytest.raises(ArtworkRefused) as told:
        read(svg(f'<image href="data:image/svg+xml;base64,{inside}" width="9" height="9"/>'), tmp_path)
    assert told.value.slug == "drawing-too-involved"


def test_ordinary_repetition_is_drawn(tmp_path: Path) -> None:
    """A thousand uses of a leaf are a wreath, not a bomb."""
    assert read(use_bomb(3), tmp_path).kind == "SVG"


@pytest.mark.parametrize(
    "body",
    [
        '<g id="a"><use href="#a"/><rect width="50" height="50"/></g>',
        '<pattern id="p" width="9" height="9"><rect fill="url(#p)" width="9" height="9"/></pattern>'
        '<rect fill="url(#p)" width="50" height="50"/><rect width="50" height="50"/>',
        '<g id="a" mask="url(#m)"><rect width="50" height="50"/></g><mask id="m"><use href="#a"/></mask>'
        '<rect width="50" height="50"/>',
        '<clipPath id="c" clip-path="url(#c)"><rect width="90" height="90"/></clipPath>'
        '<rect width="50" height="50"/>',
        '<pattern id="p" href="#q"/><pattern id="q" href="#p"/><rect width="50" height="50"/>'
        '<rect fill="url(#p)" width="9" height="9"/>',
    ],
)
def test_a_circle_of_references_ends(body: str, tmp_path: Path) -> None:
    """What leads back to itself draws nothing there; the rest is drawn."""
    assert (painted(opened(svg(body), tmp_path))[..., 3] == 255).mean() == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize(
    "text",
    [
        svg("<g>" * 5000 + "</g>" * 5000),
        svg("".join(f'<g id="g{k}"><use href="#g{k + 1}"/></g>' for k in range(5000))),
        svg("<g/>" * 300_001),
    ],
    ids=["deep", "chain", "many"],
)
def test_depth_and_number_have_a_limit(text: str, tmp_path: Path) -> None:
    """Refused in words rather than by a stack that overflows."""
    with pytest.raises(ArtworkRefused) as told:
        read(text, tmp_path)
    assert told.value.slug == "drawing-too-involved"


@pytest.mark.parametrize(
    "style",
    [
        "a" * 900_000,
        "{" * 900_000,
        "/*" * 450_000,
        "@media " * 120_000,
        "[" * 900_000 + "{x:y}",
        "@a{" * 300_000,
        ",".join(["a b c d e f"] * 50_000) + "{fill:red}",
    ],
    ids=["letters", "braces", "comments", "media", "brackets", "nested", "selectors"],
)
def test_a_style_sheet_costs_no_more_than_its_length(style: str, tmp_path: Path) -> None:
    """No shape of text makes the reader go over it again and again."""
    started = time.process_time()
    read(svg(f"<style>{style}</style>{BOX}"), tmp_path)
    assert time.process_time() - started < 5


@pytest.mark.parametrize(
    "attributes",
    [
        f'transform="{"a" * 200_000}"',
        f'transform="{"a(" * 100_000}"',
        f'fill="url({" " * 200_000}"',
        f'fill="{"url(" * 50_000}"',
        f'd="{"M" * 200_000}"',
        f'd="M0 0{"L1 1" * 60_000}"',
        f'stroke-width="{"9" * 200_000}"',
        f'points="{"1," * 100_000}"',
    ],
)
def test_a_long_attribute_costs_no_more_than_its_length(attributes: str, tmp_path: Path) -> None:
    """Likewise."""
    started = time.process_time()
    read(svg(f"<path {attributes}/>{BOX}"), tmp_path)
    assert time.process_time() - started < 5


def test_a_bomb_of_a_picture_inside_is_refused(tmp_path: Path) -> None:
    """30,000 × 30,000 pixels in an embedded PNG are refused from its header."""
    inside = base64.b64encode(png(30_000, 30_000, 8, 6, bytes(30_000))).decode()
    with pytest.raises(ArtworkRefused) as told:
        read(svg(f'<image href="data:image/png;base64,{inside}" width="9" height="9"/>'), tmp_path)
    assert told.value.slug == "too-many-pixels"


def test_only_one_page(tmp_path: Path) -> None:
    """A drawing has no second page."""
    (tmp_path / "a.svg").write_text(f'<svg {SPACES} width="9" height="9"/>')
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.svg", 2, LIMITS)
    assert told.value.slug == "page-not-there"
