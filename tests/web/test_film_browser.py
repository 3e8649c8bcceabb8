"""The film page in a real browser: planned, laid, taken out, spoiled, dropped; and fit for everybody."""

from __future__ import annotations

from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, expect  # noqa: E402 - after the question

from tests.web.browsers import Served, find_chromium  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]
LOOKS = Path(__file__).with_name("looks.js").read_text(encoding="utf-8")


def test_the_desk_plans_and_changes_the_film(served: Served, browser: Browser) -> None:
    """Plan, lay, take one ticket out, and book the film as spoiled: it waits to be planned again."""
    served.shop.take("OB-1")
    out = served.shop.take("OB-2")
    page = served.let_in(browser, "desk")
    said: list[str] = []
    page.on("console", lambda m: said.append(m.text) if m.type == "error" else None)
    page.goto(f"{served.address}/film")
    page.get_by_role("button", name="Plan the film").click()
    expect(page.get_by_text("80 pieces of 2 tickets")).to_be_visible()
    page.get_by_role("button", name="Lay it").click()
    expect(page.get_by_role("status")).to_contain_text("Booked")
    expect(page.get_by_role("img")).to_have_count(1)
    page.get_by_role("button", name=f"Take out {out}").click()
    expect(page.get_by_role("status")).to_contain_text("is taken out")
    assert served.shop.waiting("OB-2")["print"] == 40
    page.get_by_text("Spoiled film…").click()
    page.get_by_label("What happened").fill("banding")
    page.get_by_role("button", name="Book it as spoiled").click()
    expect(page.get_by_role("status")).to_contain_text("start again at print")
    expect(page.get_by_text("No run is planned, released or on the line.")).to_be_visible()
    assert said == []
