"""The page of papers: several tickets as one PDF, or to the shop's printer, for the desk alone."""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest

from intake.papers import write_due_papers
from tests.web.shops import ADDRESS, WebShop, open_web_shop, submit, token_of


def printed_text(content: bytes) -> list[str]:
    """The text of each page."""
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages]


def test_ticked_tickets_are_one_pdf_and_count_as_printed(web_shop: WebShop) -> None:
    """They leave the list; of the order's own page they can be taken again."""
    first, second = web_shop.take("OB-1"), web_shop.take("OB-2")
    web_shop.take("OB-3", verdict="query")
    desk = web_shop.device("desk")
    assert "paper is printed." in desk.get("/papers").text  # made, it would be listed
    write_due_papers(web_shop.shop)
    page = desk.get("/papers").text
    assert page.count("checked") == 2
    assert "OB-3" not in page
    taken = submit(desk, "/papers/file", code=[first, second])
    assert taken.headers["content-type"] == "application/pdf"
    assert ["OB-1" in taken_text for taken_text in printed_text(taken.content)] == [True, False]
    assert "paper is printed." in desk.get("/papers").text
    assert "printed 20" in desk.get("/papers?of=today").text
    assert desk.get("/papers?order=OB-1").text.count("checked") == 1
    assert "/papers?order=OB-1" in desk.get("/orders/OB-1").text


def test_nothing_ticked_and_no_printer_are_said(web_shop: WebShop) -> None:
    """With what to do; nothing is noted."""
    code = web_shop.take("OB-1")
    write_due_papers(web_shop.shop)
    desk = web_shop.device("desk")
    assert "No ticket is ticked." in submit(desk, "/papers/file").text
    assert "No printer is set" in submit(desk, "/papers/send", code=[code]).text
    assert "Send the ticked" not in desk.get("/papers").text
    assert desk.get("/papers").text.count("checked") == 1


def test_a_station_prints_no_batches(web_shop: WebShop) -> None:
    """Papers are the desk's, and a form without the page's token is nobody's."""
    code, desk = web_shop.take("OB-1"), web_shop.device("desk")
    assert web_shop.device().get("/papers").status_code == 403
    assert desk.post("/papers/file", data={"code": [code]}, headers={"Origin": ADDRESS}).status_code == 403
    assert token_of(desk.get("/papers"))


@pytest.fixture
def with_printer(tmp_path: Path, template: Path) -> Iterator[WebShop]:
    """A shop that names a print command; its daemon is not at work."""
    own = shutil.copytree(template, tmp_path / "own")
    with (own / "shop.toml").open("a", encoding="utf-8") as toml:
        toml.write('[papers]\nprint_command = ["lp", "{file}"]\n')
    yield from open_web_shop(own, tmp_path / "shop")


def test_the_ticked_are_sent_to_the_printer(with_printer: WebShop) -> None:
    """They wait there until the daemon has printed them; why they wait stands on the line page."""
    code = with_printer.take("OB-1")
    write_due_papers(with_printer.shop)
    desk = with_printer.device("desk")
    submit(desk, "/papers/send", code=[code])
    page = desk.get("/papers").text
    assert "1 ticket sent to the printer." in page
    assert "waits for the printer" in page
    with_printer.shop.ledger.beat("printer", "1 ticket waits for the printer: lp said: no paper.", "here")
    assert "lp said: no paper." in desk.get("/").text
