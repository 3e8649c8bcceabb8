"""Labels of parcels as they come off the printer: both codes are read back, in every size that may be set."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray

from config.settings import SettingsProblem, load_settings
from config.settings_packing import LEAST_FOR_SSCC_MM
from tests.tickets.paper.samples import page_sizes_mm, render, scan, text_of
from tests.tickets.paper.test_shaping import NAMES
from tickets.paper import load_fonts
from tickets.paper.bars import gs1_bars
from tickets.paper.parcel import ParcelPaper, render_parcel

FONTS = load_fonts()
USUAL = (100.0, 150.0)
SSCC = "106141412345678908"  # of the GS1 General Specifications (from memory)
CODE = "OB-1042/2"


def parcel(**changes: object) -> ParcelPaper:
    """An ordinary parcel, changed as asked."""
    plain = ParcelPaper(
        number=2,
        order="OB-1042",
        customer="Otter Bank Rowing Club",
        qr_text=CODE,
        shop="Our print shop",
        contact=("prints@shop.example", "+44 1632 960001"),
        purchase_order="REGATTA-7",
        ship_to=("Ines Ferro", "The Boathouse", "Lower Brackenmere"),
        weight_kg=2.35,
        consignment="CN 123 456",
        sscc=SSCC,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def bars_in(pixels: NDArray[np.uint8]) -> list[tuple[str, str]]:
    """What an independent reader makes of bars: the symbology identifier (ISO/IEC 15424) and the text."""
    found = zxingcpp.read_barcodes(pixels)
    return [(f.symbology_identifier, f.text) for f in found if f.format != zxingcpp.QRCode]


@pytest.mark.parametrize("size", [USUAL, LEAST_FOR_SSCC_MM, (105.0, 148.0), (152.0, 102.0 + 23.0)])
@pytest.mark.parametrize("dots", [203, 300])
def test_both_codes_are_read_as_a_carrier_and_the_desk_read_them(
    size: tuple[float, float], dots: int
) -> None:
    """]C1 says that it is GS1-128; the application identifier of a shipping code stands before it."""
    pdf = render_parcel(parcel(), size, FONTS)
    assert page_sizes_mm(pdf) == [pytest.approx(size, abs=0.1)]
    pixels = render(pdf, dots)
    assert bars_in(pixels) == [("]C1", f"(00){SSCC}")]
    assert scan(pixels) == [CODE]


def test_bars_are_as_wide_and_high_as_gs1_wants_them() -> None:
    """A module of 0.495 mm at least, ten modules of white on either side, 31.75 mm high (from memory)."""
    for size in (USUAL, LEAST_FOR_SSCC_MM):
        grey = render(render_parcel(parcel(), size, FONTS), 600)
        dark = grey < 128
        mm = 25.4 / 600
        rows = np.flatnonzero(dark.sum(axis=1) > 0.35 * dark.shape[1])  # only the bars are so dark
        bars = dark[rows[len(rows) // 2]]
        at = np.flatnonzero(bars)
        module_mm = (at[-1] + 1 - at[0]) * mm / gs1_bars("00" + SSCC).modules
        assert module_mm >= 0.495
        assert min(at[0], len(bars) - 1 - at[-1]) * mm >= 10 * module_mm
        assert dark[:, at[0]].sum() * mm >= 31.75


def test_a_symbol_has_the_modules_of_the_standard() -> None:
    """Start, FNC1, ten pairs of digits, check: eleven modules each; thirteen of the stop (ISO/IEC 15417)."""
    bars = gs1_bars("00" + SSCC)
    assert bars.modules == 11 * (1 + 1 + 10 + 1) + 13
    assert bars.widths[:12] == (2, 1, 1, 2, 3, 2, 4, 1, 1, 1, 3, 1)  # start C, then FNC1


def test_without_a_shipping_code_there_are_no_bars() -> None:
    """The address has the room."""
    pdf = render_parcel(parcel(sscc="", ship_to=(), weight_kg=None, consignment=""), USUAL, FONTS)
    assert bars_in(render(pdf, 203)) == []
    assert "Otter Bank Rowing Club" in text_of(pdf)


def test_all_that_the_carrier_and_the_desk_ask_stands_on_it() -> None:
    """Sender, address, parcel, order, reference, weight, consignment, and the digits for people."""
    said = text_of(render_parcel(parcel(), USUAL, FONTS))
    for words in (
        *("Our print shop", "prints@shop.example", "Ines Ferro", "The Boathouse", "Lower Brackenmere"),
        *("Parcel 2", "OB-1042", "REGATTA-7", "2.35 kg", "CN 123 456", f"(00) {SSCC}"),
    ):
        assert words in said


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_addresses_in_any_script_are_printed(name: str) -> None:
    """Without a box for a missing character."""
    pdf = render_parcel(parcel(ship_to=(name, name), customer=name), USUAL, FONTS)
    assert "no font" not in text_of(pdf)


@pytest.mark.parametrize("size", [(60.0, 60.0), (300.0, 300.0), (60.0, 150.0)])
def test_the_smallest_and_the_largest_label_hold_an_endless_order(size: tuple[float, float]) -> None:
    """The code is read, whatever else is cut."""
    long = "ab" * 100
    pdf = render_parcel(
        parcel(sscc="", ship_to=(long,) * 8, order=long, shop=long, consignment=long), size, FONTS
    )
    assert page_sizes_mm(pdf) == [pytest.approx(size, abs=0.1)]
    assert scan(render(pdf, 300)) == [CODE]


def test_a_label_that_is_too_small_for_the_bars_is_refused_when_it_is_set(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Before anything is printed on it."""
    folder = tmp_path_factory.mktemp("shop")
    toml = '[packing]\ngs1_company_prefix = "0614141"\nlabel_mm = [90.0, 100.0]\n'
    (folder / "shop.toml").write_text(toml, encoding="utf-8")
    with pytest.raises(SettingsProblem, match="92 × 125 at least"):
        load_settings(folder, {})
