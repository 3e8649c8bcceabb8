"""Tickets, pictures and renderings that the tests of papers share."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # ships no types
import zxingcpp
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from config.settings import load_settings
from tickets.paper import Form, StationTick, TicketPaper

# ISO 216 A5; the usual shipping label
FORMS_MM: dict[Form, tuple[float, float]] = {"a5": (148.0, 210.0), "label": (100.0, 150.0)}
STATIONS = tuple(StationTick(name) for name in ("Print", "Powder", "Cure", "Press", "Dispatch"))


@cache
def art(width: int = 400, height: int = 300) -> bytes:
    """A round mark with a soft rim on nothing, as PNG."""
    picture = Image.new("RGBA", (width, height), (0, 0, 0, 0))
    pen = ImageDraw.Draw(picture)
    pen.ellipse((4, 4, width - 5, height - 5), fill=(16, 33, 63, 255))
    pen.ellipse((width // 3, height // 3, 2 * width // 3, 2 * height // 3), fill=(230, 180, 60, 128))
    file = io.BytesIO()
    picture.save(file, "PNG")
    return file.getvalue()


def ticket(**changes: object) -> TicketPaper:
    """An ordinary ticket of an invented club, changed as asked."""
    plain = TicketPaper(
        code="7K3Q9XZ",
        order="OB-1042",
        customer="Otter Bank Rowing Club",
        quantity=40,
        shop="Our print shop",
        item=1,
        items=3,
        due=date(2026, 12, 4),
        purchase_order="REGATTA-7",
        artwork="crest.png",
        picture_png=art(),
        print_mm=(90.0, 67.5),
        placement="left chest",
        garment="navy hoodie",
        garment_colour="#10213f",
        fabric="cotton",
        sizes=(("S", 10), ("M", 20), ("L", 10)),
        film="hot peel",
        press=load_settings(None, {}).press[0],
        stations=STATIONS,
        note="two of the L are long sleeve",
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def render(pdf: bytes, dots_an_inch: float = 300, page: int = 0) -> NDArray[np.uint8]:
    """One page by PDFium, as grey pixels."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        picture = document[page].render(scale=dots_an_inch / 72).to_pil().convert("L")
        return np.asarray(picture)
    finally:
        document.close()


def page_sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of every page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [(p.get_width() * 25.4 / 72, p.get_height() * 25.4 / 72) for p in document]
    finally:
        document.close()


def text_of(pdf: bytes) -> str:
    """The text of all pages as PDFium reads it, line ends as spaces."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        texts = [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()
    return " ".join("\n".join(texts).replace("\x02", "-").split())


def scan(pixels: NDArray[np.uint8]) -> list[str]:
    """What an independent decoder (zxing-cpp) reads in a picture."""
    return [found.text for found in zxingcpp.read_barcodes(pixels) if found.format == zxingcpp.QRCode]
