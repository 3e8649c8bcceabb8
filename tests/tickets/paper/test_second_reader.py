"""Job tickets and artwork reports read back by a second reader of PDF (pypdf), strict about the file."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from intake.report import render_report
from tests.intake.report_samples import FACTS, preflight
from tests.tickets.paper.samples import FORMS_MM, ticket
from tests.tickets.paper.test_shaping import NAMES
from tickets.paper import load_fonts, render_ticket
from tickets.paper.ticket import Form

FONTS = load_fonts()


def read(pdf: bytes) -> PdfReader:
    """A paper as that reader has it; strict: what is not as ISO 32000 wants it is an error and not mended."""
    return PdfReader(io.BytesIO(pdf), strict=True)


def shown_with(reader: PdfReader) -> list[tuple[str, dict[str, Any]]]:
    """Every text that is shown, with the font dictionary that it is shown with."""
    found: list[tuple[str, dict[str, Any]]] = []

    def note(text: str, _user: object, _text: object, font: dict[str, Any] | None, _size: float) -> None:
        if text.strip():
            found.append((text, font or {}))

    for page in reader.pages:
        page.extract_text(visitor_text=note)
    return found


def is_embedded(font: dict[str, Any]) -> bool:
    """Whether the outlines travel with the file, so that no other machine puts a face of its own there."""
    return any(
        {"/FontFile2", "/FontFile3"} & set(inner.get_object()["/FontDescriptor"].get_object())
        for inner in font.get("/DescendantFonts", ())
    )


@pytest.mark.parametrize("form", FORMS_MM)
def test_a_ticket_is_read_alike_by_another_program(form: Form) -> None:
    """Size of the page, title, order, customer and pieces: a second reader finds what PDFium finds."""
    reader = read(render_ticket(ticket(), form, FONTS))
    (page,) = reader.pages
    size_mm = (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
    assert size_mm == pytest.approx(FORMS_MM[form], abs=0.1)
    assert reader.metadata is not None
    assert reader.metadata.title == "Job ticket 7K3Q9XZ"
    text = " ".join(page.extract_text().split())
    assert [w for w in ("OB-1042", "Otter Bank Rowing Club", "40", "crest.png") if w not in text] == []


@pytest.mark.parametrize("form", FORMS_MM)
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_every_face_travels_with_the_paper(form: Form, name: str) -> None:
    """Whatever the script, nothing is shown in a face that the printing machine would have to have."""
    shown = shown_with(read(render_ticket(ticket(customer=name, note=name), form, FONTS)))
    assert len(shown) > 10
    assert [text for text, font in shown if not is_embedded(font)] == []


def test_an_artwork_report_holds_nothing_that_acts() -> None:
    """No script, no action, no attachment, no link: customers open these files."""
    reader = read(render_report(FACTS, preflight(), FONTS))
    assert not {"/Names", "/OpenAction", "/AA", "/AcroForm"} & set(reader.root_object)
    assert [page for page in reader.pages if {"/AA", "/Annots"} & set(page)] == []
    assert [text for text, font in shown_with(reader) if not is_embedded(font)] == []
