"""Job tickets as they come off the printer: read by a scanner and by PDFium."""

from __future__ import annotations

import io
import re
import unicodedata
import zlib
from dataclasses import MISSING, fields
from datetime import UTC, date, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from tests.tickets.paper.samples import FORMS_MM, STATIONS, art, page_sizes_mm, render, scan, text_of, ticket
from tests.tickets.paper.test_shaping import NAMES
from tickets import wording
from tickets.paper import StationTick, TicketPaper, load_fonts, render_ticket
from tickets.paper.ticket import Form

FONTS = load_fonts()
ADDRESS = "http://192.0.2.10:8765/t/7K3Q9XZ"


def printed(form: Form = "a5", **changes: object) -> bytes:
    """A ticket as PDF."""
    return render_ticket(ticket(**changes), form, FONTS)


CASES: dict[str, dict[str, object]] = {
    "plain": {},
    "address": {"qr_text": ADDRESS},
    "bare": {f.name: f.default for f in fields(TicketPaper) if f.default is not MISSING},
    "rush reprint": {"rush": True, "reprint_of": "3F8B2KQ", "quantity": 2, "sizes": ()},
    "transfers": {"service": "transfers", "garment": "", "garment_colour": "", "press": None, "sizes": ()},
    "all flags": {"rush": True, "reprint_of": "3F8B2KQ", "service": "transfers"},
    "long": {"customer": "The Honourable Company of Lower Brackenmere " * 4, "note": "long sleeve; " * 60},
    "endless": dict.fromkeys(("customer", "note", "garment", "placement", "artwork", "film"), "ab" * 4000),
    "stacked marks": {"customer": "Z" + "\u0302\u0323" * 60 + "x", "note": "\u0302" * 400},
    "many sizes": {"sizes": tuple((f"{n}-{n + 2}", n) for n in range(1, 50))},
    "many stations": {"stations": tuple(StationTick(f"Station {n}") for n in range(1, 24))},
    "no face": {"customer": "\U00013080\U00013081\x07", "note": "\udcff"},
    "wide art": {"picture_png": art(900, 30), "print_mm": (300.0, 10.0)},
    "tall art": {"picture_png": art(30, 900), "print_mm": (10.0, 300.0)},
    "tiny art": {"picture_png": art(30, 30), "print_mm": (0.5, 0.5)},
    "broken art": {"picture_png": b"\x89PNG\r\n\x1a\nbroken"},
    **{script: {"customer": name, "garment": name, "placement": name} for script, name in NAMES.items()},
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS_MM)
@pytest.mark.parametrize("changes", CASES.values(), ids=CASES)
def test_every_ticket_is_one_page_that_scans(form: Form, changes: dict[str, object]) -> None:
    """Whatever stands on it, a ticket is one page of its form, and its QR code reads as it should."""
    pdf = printed(form, **changes)
    assert page_sizes_mm(pdf) == [pytest.approx(FORMS_MM[form], abs=0.1)]
    assert scan(render(pdf, 200)) == [changes.get("qr_text") or "7K3Q9XZ"]


@pytest.mark.parametrize("form", FORMS_MM)
def test_the_same_ticket_gives_the_same_bytes(form: Form) -> None:
    """Rendering twice, or after other tickets, changes nothing; another ticket gives other bytes."""
    first = printed(form, customer=NAMES["arabic"])
    printed(form, customer="somebody else entirely")
    assert printed(form, customer=NAMES["arabic"]) == first
    assert printed(form, customer=NAMES["arabic"], quantity=41) != first


@pytest.mark.parametrize("form", FORMS_MM)
def test_everything_that_the_floor_asks_stands_on_it(form: Form) -> None:
    """Code, order, customer, day, pieces, sizes, garment, placement, film, press, stations, cautions."""
    said = text_of(printed(form, rush=True, reprint_of="3F8B2KQ", answer="Ines: thin lines are fine", page=2))
    for words in (
        *("7K3 Q9X Z", "OB-1042", "REGATTA-7", "Otter Bank Rowing Club", "Fri 4 Dec 2026", "40"),
        *("Item 1 of 3", "crest.png, page 2", "left chest", "navy hoodie", "cotton", "90 × 67.5 mm"),
        *("hot peel", "150 °C", "12 s"),
        *("medium", "at once, hot", "dry press a few seconds first", "two of the L are long sleeve", "RUSH"),
        *("REPRINT OF 3F8B2KQ", "thin lines are fine", "S 10 M 20 L 10", "Our print shop"),
        *(station.label for station in STATIONS),
        *wording.CAUTIONS,
        wording.CAUTIONS_DEFER,
    ):  # fmt: skip
        assert words in said, words


def test_press_settings_are_marked_as_the_shops_own() -> None:
    """Nobody takes them for the maker's; without one the ticket says so instead of inventing it."""
    assert "the shop's own setting, from the maker's data sheet" in text_of(printed())
    assert wording.NO_PRESS_SETTING.split(":")[0] in text_of(printed(press=None))
    assert wording.CUSTOMER_PRESSES in text_of(printed(press=None, service="transfers"))


@pytest.mark.parametrize("script", NAMES)
@pytest.mark.parametrize("form", FORMS_MM)
def test_names_can_be_searched_and_copied(form: Form, script: str) -> None:
    """PDFium reads a name as it was written, joined letters and marks included.

    Where directions mix, its words: which way a line of both runs, every reader guesses in its own way.
    """
    read = text_of(printed(form, customer=NAMES[script]))
    said, name = (unicodedata.normalize("NFC", text) for text in (read, NAMES[script]))
    wanted = re.findall(r"\w+", name) if script == "mixed" else [name]
    assert all(words in said for words in wanted)


def test_a_line_of_conjuncts_carries_its_text() -> None:
    """Where glyphs don't tell the letters one by one, the line says its text (ISO 32000-1, 14.9.4)."""
    said = _actual_texts(printed(customer=NAMES["devanagari"]))
    assert NAMES["devanagari"] in " ".join(said)


def _actual_texts(pdf: bytes) -> list[str]:
    content = b"".join(
        zlib.decompress(found)
        for found in re.findall(rb"/FlateDecode[^>]*>>\s*stream\r?\n(.*?)endstream", pdf, re.DOTALL)
        if found[:1] == b"x"
    )
    found = re.findall(rb"/ActualText <FEFF([0-9A-F]*)>", content)
    return [bytes.fromhex(text.decode()).decode("utf-16-be") for text in found]


def test_a_skipped_station_is_struck_out() -> None:
    """A line runs through its name; the same station unskipped has none."""
    skipped = tuple(StationTick(s.label, s.label == "Press") for s in STATIONS)
    rows = [_stroke_rows(render(printed(stations=stations), 150)) for stations in (STATIONS, skipped)]
    assert rows[1] == rows[0] + 1


def _stroke_rows(pixels: NDArray[np.uint8]) -> int:
    """How many lines run unbroken through the names of the stations, past their squares."""
    height, width = pixels.shape
    part = pixels[int(height * 0.72) : int(height * 0.93), int(width * 0.056) : int(width * 0.12)] < 160
    full = np.append(False, np.all(part, axis=1))
    return int(np.count_nonzero(full[1:] & ~full[:-1]))


def test_a_text_that_does_not_fit_says_so() -> None:
    """The ellipsis is explained on the paper; a ticket on which all fits has no such sentence."""
    assert wording.TEXT_WAS_CUT not in text_of(printed())
    for form in FORMS_MM:
        assert wording.TEXT_WAS_CUT in text_of(printed(form, note="long sleeve; " * 300))


def test_a_character_without_a_font_is_told_of_by_number() -> None:
    """The floor sees boxes, and on the same paper why, and which characters they stand for."""
    said = text_of(printed(customer="\U00013080 Rowing"))
    assert "No font has U+13080" in said
    assert "Rowing" in said
    assert "No font" not in text_of(printed())


def test_sizes_beyond_the_cells_are_added_up() -> None:
    """Forty-nine sizes: those without a cell are counted in the last one, and no piece is forgotten."""
    sizes = tuple((f"{n}-{n + 2}", n) for n in range(1, 50))
    said = text_of(printed(sizes=sizes))
    match = re.search(r"(\d+) more… (\d+)", said)
    assert match is not None
    left_out, count = int(match[1]), int(match[2])
    assert count == sum(number for _, number in sizes[-left_out:])


@pytest.mark.parametrize(
    ("due", "said"),
    [
        (date(2026, 12, 4), "Fri 4 Dec 2026"),
        ("2026-12-04", "Fri 4 Dec 2026"),
        (datetime(2026, 12, 4, 17, 30, tzinfo=UTC), "Fri 4 Dec 2026, 17:30"),
        ("before the fair", "before the fair"),
        (None, "no day named"),
        ("", "no day named"),
    ],
)
def test_the_due_day_is_said_as_people_say_it(due: object, said: str) -> None:
    """A day with its weekday, a time with its time, words as they are."""
    assert said in text_of(printed(due=due))


def test_the_art_lies_on_checkers_in_its_colours() -> None:
    """The thumbnail shows the art where it is opaque, and the checkered ground where it is not."""
    plain = render(printed(), 150)
    without = render(printed(picture_png=b""), 150)
    panel = plain[int(77 * 150 / 25.4) : int(120 * 150 / 25.4), int(9 * 150 / 25.4) : int(55 * 150 / 25.4)]
    shades = set(np.unique(panel))
    assert {30, 31, 32, 33} & shades  # the navy of the art, as grey
    assert {221, 222} & shades
    assert {249, 250} & shades
    assert wording.NO_PICTURE in text_of(printed(picture_png=b""))
    assert (plain != without).any()


def test_light_art_lies_on_a_darker_ground() -> None:
    """White lettering would drown on pale checkers."""
    shades = []
    for ink in ((255, 255, 255, 255), (10, 10, 10, 255)):
        picture = Image.new("RGBA", (200, 150), (0, 0, 0, 0))
        picture.paste(ink, (50, 50, 150, 100))
        file = io.BytesIO()
        picture.save(file, "PNG")
        shades.append(set(np.unique(render(printed(picture_png=file.getvalue()), 100)[331:343, 40:60])))
    assert max(shades[0]) < 200
    assert min(shades[1]) > 200


@settings(max_examples=20, deadline=None)
@given(
    st.builds(
        ticket,
        customer=st.text(max_size=60),
        order=st.text(min_size=1, max_size=40),
        note=st.text(max_size=200),
        garment=st.text(max_size=60),
        garment_colour=st.sampled_from(["", "#000000", "#ffffff", "red", "#12"]),
        placement=st.text(max_size=40),
        quantity=st.integers(1, 10**9),
        print_mm=st.none() | st.tuples(st.floats(0.1, 5000), st.floats(0.1, 5000)),
        sizes=st.lists(st.tuples(st.text(max_size=10), st.integers(1, 10**6)), max_size=40).map(tuple),
        rush=st.booleans(),
        mirrored=st.booleans(),
        service=st.sampled_from(["pressed", "transfers"]),
    ),
    st.sampled_from(list(FORMS_MM)),
)
def test_any_ticket_renders_and_scans(paper: TicketPaper, form: Form) -> None:
    """Odd names, sizes and lengths: the paper comes out, and the scanner reads its code."""
    pdf = render_ticket(paper, form, FONTS)
    assert scan(render(pdf, 150)) == ["7K3Q9XZ"]
