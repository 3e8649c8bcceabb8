"""The film page in a real browser: planned, laid, taken out, spoiled, dropped; and fit for everybody."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, expect, sync_playwright  # noqa: E402 - after the question

from tests.web.browsers import Served, find_chromium, serve, start_browser  # noqa: E402
from tests.web.shops import WebShop  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]
LOOKS = Path(__file__).with_name("looks.js").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests of this module."""
    with sync_playwright() as driver:
        started = start_browser(driver)
        yield started
        started.close()


@pytest.fixture
def served(web_shop: WebShop) -> Iterator[Served]:
    """The shop's pages on a port."""
    with serve(web_shop) as there:
        yield there


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


@pytest.mark.parametrize(("scheme", "size"), [("light", "phone"), ("dark", "desktop")])
def test_the_film_page_is_fit_for_everybody(served: Served, browser: Browser, scheme: str, size: str) -> None:
    """An accessibility engine finds nothing; nothing is too small to touch or sticks out of a phone."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed").Axe()
    served.shop.take("OB-1")
    page = served.let_in(browser, "owner", size)
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]
    page.goto(f"{served.address}/film/plan")
    page.get_by_role("button", name="Lay it").click()
    expect(page.get_by_role("status")).to_contain_text("Booked")
    served.shop.take("OB-2")
    page.goto(f"{served.address}/film/plan")
    found = axe.run(page).response["violations"]
    assert [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found] == []
    assert page.evaluate(f"{LOOKS}.tooSmall()") == []
    assert page.evaluate(f"{LOOKS}.tooFaint()") == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
