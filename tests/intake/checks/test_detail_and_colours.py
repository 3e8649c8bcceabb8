"""The judges of detail, dirt, rims, garment, text and colour; one question for one cause."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.facts import (
    Alpha,
    Background,
    Detail,
    Examined,
    Fringe,
    Level,
    LiveText,
    Place,
    Specks,
    Vanishing,
)
from tests.intake.checks.facts_of import ART, INK, PAGE, SIZE, examined, findings, only, spot, with_ink

HERE = Place(10, 10, 5, 5)


def detail(ppi: float = 100.0, kind: str = "enlarged", error: float = 0.03, **rest: bool) -> Detail:
    """A picture of 300 ppi whose detail holds less."""
    return Detail(ppi, error, 300 / ppi, kind, rest.get("is_photo", False), (HERE,))


@pytest.mark.parametrize(
    ("kind", "is_photo", "level", "word"),
    [
        ("enlarged", False, Level.QUERY, "enlarged × 3"),
        ("enlarged", True, Level.QUERY, "enlarged × 3"),
        ("blocks", False, Level.QUERY, "squares"),
        ("soft", False, Level.QUERY, "it seems"),
        ("soft", True, Level.NOTE, "may have been"),
    ],
)
def test_little_detail_is_told_as_surely_as_it_is_known(
    kind: str, is_photo: bool, level: Level, word: str
) -> None:
    """Only a period names a factor as a fact; a soft photo is a note."""
    found = only(with_ink(detail=detail(kind=kind, is_photo=is_photo)))
    assert (found.check, found.level, found.measured, found.limit) == ("detail", level, 100, 200)
    assert word in found.says
    assert "about 100 pixels an inch" in found.says


def test_enough_detail_or_too_little_doubt_says_nothing() -> None:
    """Sharp pictures, 210 ppi of detail, and 190 give or take 38 are left alone."""
    assert findings(with_ink(detail=detail(300, ""))) == ()
    assert findings(with_ink(detail=Detail(210, 0.03, 1.6, "enlarged", False))) == ()
    assert findings(with_ink(detail=Detail(190, 0.2, 1.58, "soft", False))) == ()


def test_too_few_pixels_are_told_once() -> None:
    """Below the limit of pixels, `resolution` speaks and `detail` is silent."""
    art = replace(ART, pixels=(500, 500))
    assert only(examined(art, SIZE, replace(INK, detail=detail(60)))).check == "resolution"


def test_soft_edges_of_an_enlarged_picture_are_one_question() -> None:
    """What enlarging brings about is not asked by itself; a glow on a sharp picture is."""
    soft = {"alpha": Alpha.SOFT, "soft_share": 0.3, "soft_places": (HERE,)}
    assert only(with_ink(detail=detail(), **soft)).check == "detail"
    assert only(with_ink(**soft)).check == "soft"


def strays(count: int = 2) -> Specks:
    """Stray dots in a row."""
    return Specks(count, count, 0.05, tuple(spot(0.1, 20.0 * k + 5, 5, 0.7) for k in range(count)))


def test_stray_dots_are_not_small_dots_too() -> None:
    """A dot far from everything is dirt; what remains is told as small dots, each once."""
    both = with_ink(specks=strays(2), islands=(spot(0.1, 5, 5), spot(0.1, 25, 5)), island_count=2)
    found = only(both)
    assert (found.check, found.level, found.limit) == ("specks", Level.QUERY, 0.3)
    assert found.says.startswith("2 tiny dots lie")
    more = with_ink(specks=strays(2), islands=(spot(0.1, 5, 5), spot(0.4, 60, 60)), island_count=3)
    assert [f.check for f in findings(more)] == ["islands", "specks"]
    assert findings(more)[0].says.startswith("One separate dot")


def test_a_rim_is_a_question_where_it_shows() -> None:
    """A light rim on a dark garment, or on none that is known; on a white one a note."""
    rim = replace(INK, fringe=Fringe("white", 0.6, (HERE,)))
    assert (only(examined(ink=rim)).check, only(examined(ink=rim)).level) == ("fringe", Level.QUERY)
    assert only(examined(ink=rim, garment="#101010")).level == Level.QUERY
    assert only(examined(ink=rim, garment="#f4f4f4")).level == Level.NOTE
    assert findings(with_ink(fringe=Fringe("white", 0.1))) == ()


def gone(alone_mm2: float = 200.0, **changes: float | str) -> Examined:
    """A navy part on navy."""
    vanishing = Vanishing("#102040", 3.1, 200.0, alone_mm2, 4000.0, (HERE,), 2)
    return examined(ink=replace(INK, vanishing=replace(vanishing, **changes)), garment="#10213f")  # type: ignore[arg-type]


def test_what_vanishes_alone_is_a_question_and_beside_others_a_note() -> None:
    """A navy line on navy; navy between other colours."""
    found = only(gone())
    assert (found.check, found.level, found.measured, found.unit) == (
        "garment-contrast",
        Level.QUERY,
        3.1,
        "ΔE",
    )
    assert "5.0%" in found.says
    assert found.places == (HERE,)
    assert only(gone(0.0)).level == Level.NOTE
    assert findings(gone(area_mm2=0.5)) == ()


def test_a_ground_of_the_garments_colour_is_the_background_only() -> None:
    """The box is asked about once."""
    ground = Background("#10213f", 0.5, is_opaque_canvas=True)
    facts = gone()
    assert facts.ink is not None
    assert only(replace(facts, ink=replace(facts.ink, background=ground))).check == "background"


def test_a_navy_line_on_a_white_box_is_remarked() -> None:
    """It shows on its box; without it, it would not."""
    white = Background("#ffffff", 0.5, is_opaque_canvas=True)
    facts = gone()
    assert facts.ink is not None
    found = findings(replace(facts, ink=replace(facts.ink, background=white)))
    assert [(f.check, f.level) for f in found] == [
        ("background", Level.QUERY),
        ("garment-contrast", Level.NOTE),
    ]


def page_with(*texts: LiveText, fonts: tuple[str, ...] = ()) -> Examined:
    """A drawing with live text."""
    art = replace(PAGE, texts=texts, extra={"fonts_not_embedded": list(fonts)})
    return examined(art, SIZE)


def test_fonts_left_out_and_small_letters_are_one_question() -> None:
    """Both are about the text; either alone is told by itself."""
    small = LiveText(4.0, 0.0, (20.0, 20.0, 80.0, 4.0))
    both = only(page_with(small, fonts=("Some Sans",)))
    assert (both.check, both.level, both.measured, both.limit, both.unit) == (
        "text",
        Level.QUERY,
        4.0,
        6.0,
        "pt",
    )
    assert "Some Sans" in both.says
    assert "4.0 pt" in both.says
    fonts = only(page_with(fonts=("Some Sans", "Other Serif")))
    assert (fonts.measured, fonts.places) == (None, ())
    assert "2 fonts" in fonts.says
    assert findings(page_with(LiveText(8.0, 4.2, (20.0, 20.0, 80.0, 8.0)))) == ()


def test_letters_are_judged_by_their_height_at_print_size() -> None:
    """Where the font says how high its letters are, that counts: 2 pt are 0.71 mm; twice as large, 1.41."""
    text = LiveText(4.0, 2.0, (20.0, 20.0, 80.0, 4.0))
    found = only(page_with(text))
    assert (found.measured, found.limit, found.unit) == (0.71, 1.0, "mm")
    twice = replace(SIZE, width_mm=200.0, height_mm=200.0, ordered_width_mm=200.0)
    facts = page_with(text)
    assert facts.ink is not None
    wide = replace(facts.ink, ink_box=Place(0.5, 0.5, 199.0, 199.0))
    assert findings(replace(facts, size=twice, ink=wide)) == ()


def test_thin_lines_of_small_letters_are_not_asked_by_themselves() -> None:
    """All within the small text: one question. One elsewhere: two."""
    text = LiveText(4.0, 2.0, (20.0, 20.0, 80.0, 4.0))
    facts = page_with(text)
    assert facts.ink is not None
    inside, outside = spot(0.1, 8.0, 7.2, 1.0), spot(0.1, 80.0, 80.0)
    assert only(replace(facts, ink=replace(facts.ink, thin_lines=(inside,)))).check == "text"
    both = replace(facts, ink=replace(facts.ink, thin_lines=(inside, outside)))
    assert [f.check for f in findings(both)] == ["line-width", "text"]


def test_remarks_on_colour_are_one_note() -> None:
    """Mode, profile and depth together; the reader's own sentence is not repeated under `file`."""
    notes = ("The colour profile in the file is broken; it was ignored.", "Odd.")
    found = findings(examined(replace(ART, bits=16, colour="CMYK", notes=notes)))
    assert [(f.check, f.level) for f in found] == [("file", Level.NOTE), ("colour", Level.NOTE)]
    assert found[0].says == "Odd."
    assert "broken" in found[1].says
    assert "16 bits" in found[1].says
    assert "Lab" in only(examined(replace(ART, colour="Lab"))).says


def test_mirrored_art_is_a_note_when_the_order_says_so() -> None:
    """Never guessed."""
    found = only(examined(mirrored=True))
    assert (found.check, found.level) == ("mirrored", Level.NOTE)
