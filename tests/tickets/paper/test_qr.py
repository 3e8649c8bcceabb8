"""The QR code on papers: right by the standard, large enough, readable even when damaged."""

from __future__ import annotations

import csv
import json

import numpy as np
import pytest
import qrcode
from numpy.typing import NDArray
from qrcode.util import MODE_NUMBER, QRData, create_data

from tests.sources import ROOT
from tests.tickets.paper.samples import FORMS_MM, render, scan, ticket
from tickets.paper import load_fonts, render_ticket
from tickets.paper.qr import choose_symbol, make_symbol
from tickets.paper.ticket import Form
from tickets.problems import SetupProblem

DATA = ROOT / "tests" / "data" / "qr"
DOTS = 600
LEVELS = {"L": 1, "M": 0, "Q": 3, "H": 2}  # as the qrcode library numbers them
TEXTS = (
    "7K3Q9XZ",
    "http://192.0.2.10:8765/t/7K3Q9XZ",
    "https://tickets.of.a.rather.long.name.shop.example/behind/a/proxy/t/7K3Q9XZ",
)
CAPACITIES = list(csv.DictReader((DATA / "capacity_v1_10.csv").read_text("utf-8").splitlines()))


def test_codewords_are_those_of_annex_i() -> None:
    """The worked example of ISO/IEC 18004 Annex I comes out codeword by codeword."""
    example = json.loads((DATA / "annex_i.json").read_text("utf-8"))
    level = LEVELS[example["level"]]
    made = create_data(example["version"], level, [QRData(example["text"], mode=MODE_NUMBER)])
    assert list(made) == example["data"] + example["error_correction"]


@pytest.mark.parametrize("row", CAPACITIES, ids=lambda row: f"{row['version']}-{row['ec']}")
def test_capacities_are_those_of_the_standard(row: dict[str, str]) -> None:
    """The library fills each version as far as the standard's tables say, and not a character further."""
    version, level = int(row["version"]), LEVELS[row["ec"]]
    for column, character in (("numeric", "7"), ("alphanumeric", "K"), ("byte", "k")):
        for more, wanted in ((0, version), (1, version + 1)):
            maker = qrcode.QRCode(error_correction=level)
            maker.add_data(character * (int(row[column]) + more), optimize=0)
            assert maker.best_fit() == wanted


@pytest.mark.parametrize("version", [1, 2, 3, 5])
def test_a_symbol_is_as_small_as_the_tables_allow(version: int) -> None:
    """A text of just the capacity takes that version, one character more the next, at every level we use."""
    for level in "MQH":
        row = next(r for r in CAPACITIES if r["version"] == str(version) and r["ec"] == level)
        for more in (0, 1):
            symbol = make_symbol("K" * (int(row["alphanumeric"]) + more), level)
            assert symbol is not None
            assert symbol.side == 17 + 4 * (version + more)


def test_the_level_is_m_or_better_and_falls_only_for_size() -> None:
    """A short code gets the best error level, a long address a lower one before modules become too small."""
    assert choose_symbol("7K3Q9XZ", 33).level == "H"
    levels = [choose_symbol("https://shop.example/" + "k" * n, 33).level for n in range(0, 300, 50)]
    assert set(levels) <= {"M", "Q", "H"}
    assert levels == sorted(levels, key="HQM".index)
    assert levels[-1] == "M"


def test_a_text_too_long_to_be_scanned_is_refused_in_words() -> None:
    """Rather no ticket than one that nobody can scan: the setting to change is named."""
    with pytest.raises(SetupProblem) as caught:
        render_ticket(ticket(qr_text="https://shop.example/" + "k" * 3000), "a5", load_fonts())
    assert caught.value.slug == "qr-too-long"
    assert "ticket_url" in caught.value.do


@pytest.mark.parametrize("form", FORMS_MM)
@pytest.mark.parametrize("text", TEXTS)
def test_modules_and_quiet_zone_measure_up_on_the_rendering(form: Form, text: str) -> None:
    """Measured on PDFium's rendering: modules of 0.4 mm or more, and four white ones all round, on paper."""
    pixels = render(render_ticket(ticket(qr_text=text), form, load_fonts()), DOTS)
    left, top, side_px = _symbol_box(pixels, form)
    side = choose_symbol(text, 41 if form == "a5" else 33).side
    module_px = side_px / side
    assert module_px / DOTS * 25.4 >= 0.4
    quiet = int(4 * module_px)
    assert left >= quiet
    around = pixels[top - quiet : top + side_px + quiet, left - quiet : left + side_px + quiet].copy()
    assert around.shape == (side_px + 2 * quiet, side_px + 2 * quiet)
    around[quiet - 1 : -quiet + 1, quiet - 1 : -quiet + 1] = 255
    assert around.min() == 255
    _assert_modules_alike(pixels[top : top + side_px, left : left + side_px], side)


def _symbol_box(pixels: NDArray[np.uint8], form: Form) -> tuple[int, int, int]:
    """Left, top and side of the symbol in pixels: all the black between the head's rule and the due day's."""
    width_mm, _ = FORMS_MM[form]
    (above, below), right = ((14.0, 58.0), 50.0) if form == "a5" else ((9.0, 43.0), 36.5)
    px_a_mm = pixels.shape[1] / width_mm
    rows = slice(int(above * px_a_mm), int(below * px_a_mm))
    black = pixels[rows, : int(right * px_a_mm)] < 128
    ys, xs = np.flatnonzero(black.any(axis=1)), np.flatnonzero(black.any(axis=0))
    return int(xs[0]), int(rows.start + ys[0]), int(xs[-1] - xs[0] + 1)


def _assert_modules_alike(symbol: NDArray[np.uint8], side: int) -> None:
    """Every module is black or white in its middle, and the timing pattern changes from one to the next."""
    middles = ((np.arange(side) + 0.5) * symbol.shape[0] / side).astype(int)
    sampled = symbol[np.ix_(middles, middles)]
    assert set(np.unique(sampled)) <= {0, 255}
    timing = sampled[6, 8 : side - 8] == 0
    assert list(timing) == [k % 2 == 0 for k in range(len(timing))]


@pytest.mark.parametrize("form", FORMS_MM)
@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("ink", [0, 255])
def test_a_damaged_corner_still_reads(form: Form, text: str, ink: int) -> None:
    """A stain or a scratch over a fifth of its side, at the corner without finder, leaves it readable."""
    pixels = render(render_ticket(ticket(qr_text=text), form, load_fonts()), 300).copy()
    left, top, side = _symbol_box(pixels, form)
    patch = side // 5
    pixels[top + side - patch : top + side, left + side - patch : left + side] = ink
    assert scan(pixels) == [text]
