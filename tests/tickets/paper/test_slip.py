"""Packing slips as they come off the printer: read by a scanner, by PDFium and by people."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from tests.tickets.paper.samples import page_sizes_mm, render, scan, text_of
from tests.tickets.paper.test_shaping import NAMES
from tests.tickets.test_packing import SIZES, packed_item
from tickets import wording_packing as words
from tickets.packing import Packed, pack_items
from tickets.paper import load_fonts
from tickets.paper.slip import SIZES_MM, SlipForm, SlipPaper, SlipParcel, render_slip

FONTS = load_fonts()
ADDRESS = "http://192.0.2.10:8765/orders/OB-1042"
PART = pack_items(
    [
        packed_item(1, artwork="crest.png", placement="left chest", garment_set="h", sizes=SIZES),
        packed_item(2, artwork="back.png", placement="back", garment_set="h"),
        packed_item(3, 12, artwork="cap.svg", garment="white cap", follows=8, ordered=20),
        packed_item(4, 100, artwork="sheet.pdf", service="transfers"),
    ]
)


def slip(packed: Packed = PART, **changes: object) -> SlipPaper:
    """An ordinary slip of a part, changed as asked."""
    plain = SlipPaper(
        number=1,
        order="OB-1042",
        customer="Otter Bank Rowing Club",
        packed=packed,
        at=datetime(2026, 12, 4, 15, 20, tzinfo=UTC),
        qr_text=ADDRESS,
        shop="Our print shop",
        contact=("prints@shop.example", "+44 1632 960001"),
        purchase_order="REGATTA-7",
        ship_to=("Ines Ferro", "The Boathouse", "Lower Brackenmere"),
        parcels=(SlipParcel(1, 2.35, "CN 123"), SlipParcel(2, 11.0)),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def many(count: int, **more: object) -> Packed:
    """So many items that are each a line."""
    return pack_items([packed_item(n, n, artwork=f"art-{n}.png", **more) for n in range(1, count + 1)])


@pytest.mark.parametrize("form", SIZES_MM)
def test_all_that_the_packer_and_the_customer_ask_stands_on_it(form: SlipForm) -> None:
    """Order, reference, address, garments, prints, sizes, what follows, parcels, and whom to tell."""
    pdf = render_slip(slip(), form, FONTS)
    assert page_sizes_mm(pdf) == [pytest.approx(SIZES_MM[form], abs=0.1)]
    said = text_of(pdf)
    for part in (
        *("Our print shop", "Packing slip 1", "OB-1042", "REGATTA-7", "Otter Bank Rowing Club"),
        *("Ines Ferro", "The Boathouse", "Lower Brackenmere", "PART OF THE ORDER", "Fri 4 Dec 2026, 15:20"),
        *("40 garments: navy hoodie", "S 10 M 20 L 10", "1. crest.png, left chest", "2. back.png, back"),
        *("12 garments: white cap (of 20 ordered)", "100 transfers", "4. sheet.pdf"),
        "In all: 52 garments and 100 transfers, in 2 parcels",
        *("Parcel 1 · 2.35 kg · consignment CN 123", "Parcel 2 · 11 kg", "STILL TO FOLLOW", "8 garments"),
        "prints@shop.example or +44 1632 960001",
    ):
        assert part in said, part
    assert scan(render(pdf, 200)) == [ADDRESS]


def test_a_whole_order_says_that_nothing_follows() -> None:
    """And who collected it, when somebody did."""
    said = text_of(render_slip(slip(pack_items([packed_item(1)]), collected_by="Tom"), "a5", FONTS))
    assert "THE WHOLE ORDER" in said
    assert "Collected on Fri 4 Dec 2026, 15:20 by Tom" in said
    assert words.NOTHING_FOLLOWS in said
    rest = pack_items([packed_item(1, 3, before=37, ordered=40)])
    assert "THE REST OF THE ORDER" in text_of(render_slip(slip(rest), "a5", FONTS))


@pytest.mark.parametrize("form", SIZES_MM)
def test_a_long_order_goes_on_on_more_pages(form: SlipForm) -> None:
    """Each line stands on exactly one page, whole; every page says which of how many, and whose it is."""
    pdf = render_slip(slip(many(80), parcels=tuple(SlipParcel(n, 1.0) for n in range(1, 30))), form, FONTS)
    pages = len(page_sizes_mm(pdf))
    said = text_of(pdf)
    assert pages > 3
    for page in range(1, pages + 1):
        assert said.count(f"Page {page} of {pages}") == 1
    assert [said.count(f" {n}. art-{n}.png") for n in range(1, 81)] == [1] * 80
    assert all(f"Parcel {n} ·" in said for n in range(1, 30))
    assert said.count("OB-1042") == pages
    assert "In all: 3240 garments" in said


def test_a_void_slip_says_so_across_every_page() -> None:
    """Nobody packs by it, whichever page is in their hand."""
    pdf = render_slip(slip(many(30), is_void=True), "a5", FONTS)
    pages = len(page_sizes_mm(pdf))
    assert text_of(pdf).count("VOID") == pages + 1  # and the flag
    for page in range(pages):
        grey = render(pdf, 60, page)
        assert np.mean((grey > 200) & (grey < 235)) > 0.03  # the large letters under the lines


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_names_in_any_script_are_printed(name: str) -> None:
    """Customer, address, garment and placement, without a box for a missing character."""
    packed = pack_items([packed_item(1, garment=name, placement=name, artwork=f"{name}.png")])
    pdf = render_slip(slip(packed, customer=name, ship_to=(name, name), purchase_order=name), "a5", FONTS)
    assert "no font" not in text_of(pdf)
    assert scan(render(pdf, 200)) == [ADDRESS]


def test_the_same_slip_gives_the_same_bytes() -> None:
    """So that it may be printed twice; another one gives others."""
    first = render_slip(slip(), "a5", FONTS)
    assert render_slip(slip(), "a5", FONTS) == first
    assert render_slip(slip(number=2), "a5", FONTS) != first


def test_whatever_stands_on_it_it_is_printed() -> None:
    """Endless words, stacked marks, no lines at all: pages of its form, and the code reads."""
    endless = "ab" * 200
    for changed in (
        slip(pack_items([packed_item(1, artwork=endless, garment=endless, placement=endless)])),
        slip(customer=endless, ship_to=(endless,) * 8, purchase_order=endless, shop=endless),
        slip(customer="Z" + "\u0302\u0323" * 60, collected_by=endless, contact=()),
        slip(pack_items([packed_item(1, 0)])),
        slip(pack_items([packed_item(n, 5, garment_set="h") for n in range(1, 100)])),
    ):
        pdf = render_slip(changed, "a5", FONTS)
        assert set(page_sizes_mm(pdf)) == set(page_sizes_mm(pdf)[:1])
        assert scan(render(pdf, 200)) == [ADDRESS]
