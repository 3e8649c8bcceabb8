"""Pages by keyboard alone, without motion where that is wished, and on paper: in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Page, sync_playwright  # noqa: E402 - after the question

from intake.papers import write_due_papers  # noqa: E402
from tests.web.browsers import find_chromium, serve, start_browser  # noqa: E402
from tests.web.shops import open_web_shop  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]
PAGES = ("/", "/where?words=otter", "/orders/OB-1", "/queries", "/papers", "/at/print", "/drop", "/devices")
MOST_TABS = 120
FOCUSABLE = """() => {
  const can = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
  const found = [...document.querySelectorAll(can)].filter((e) => e.checkVisibility() && !e.disabled);
  const groups = new Set();
  window.wanted = found.filter((e) => {
    if (e.type !== "radio") return true;
    const is_new = !groups.has(e.name);
    groups.add(e.name);
    return is_new;
  });
  window.reached = new Set();
  window.unseen = [];
  document.addEventListener("focusin", (event) => {
    const e = event.target, style = getComputedStyle(e.type === "radio" ? e.nextElementSibling ?? e : e);
    reached.add(e.type === "radio" ? e.name : e);
    if (style.outlineStyle === "none" || style.outlineWidth === "0px") unseen.push(e.outerHTML.slice(0, 120));
  });
}"""
MISSED = """() => wanted.filter((e) => !reached.has(e.type === "radio" ? e.name : e))
  .map((e) => e.outerHTML.slice(0, 120))"""
MOVING = """() => [...document.querySelectorAll("*")].filter((e) => {
  const { animationName, transitionDuration, scrollBehavior } = getComputedStyle(e);
  return animationName !== "none" || transitionDuration !== "0s" || scrollBehavior === "smooth";
}).map((e) => e.outerHTML.slice(0, 120))"""
ON_PAPER = """() => [...document.querySelectorAll("nav, form, button, .button, .skip, .foot")]
  .filter((e) => e.checkVisibility()).map((e) => e.outerHTML.slice(0, 120))"""
GROUND = "getComputedStyle(document.documentElement).backgroundColor"


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, template: Path) -> Iterator[tuple[Page, str]]:
    """An owner's browser, and the address of a shop with a question, a paper and something to scan."""
    for shop in open_web_shop(template, tmp_path_factory.mktemp("manners") / "shop"):
        shop.take("OB-1", verdict="query")
        shop.take("OB-2")
        write_due_papers(shop.shop)
        with serve(shop) as served, sync_playwright() as driver:
            browser = start_browser(driver)
            yield served.let_in(browser, "owner"), served.address
            browser.close()


def test_everything_is_reached_by_tab_and_seen_when_it_is(page: tuple[Page, str]) -> None:
    """No page keeps anything from those who have no mouse, and the focus is outlined wherever it is."""
    browser, address = page
    for path in PAGES:
        browser.goto(address + path)
        browser.evaluate(FOCUSABLE)
        rounds = 0  # some pages put the focus into a field in their middle
        for _ in range(MOST_TABS):
            browser.keyboard.press("Tab")
            rounds += browser.evaluate("document.activeElement === document.body")
            if rounds == 2:
                break
        assert browser.evaluate(MISSED) == [], path
        assert browser.evaluate("unseen") == [], path


def test_nothing_moves_where_no_motion_is_wished(page: tuple[Page, str]) -> None:
    """No animation, no transition, no smooth scrolling."""
    browser, address = page
    browser.emulate_media(reduced_motion="reduce")
    for path in PAGES:
        browser.goto(address + path)
        assert browser.evaluate(MOVING) == [], path
    browser.emulate_media(reduced_motion="no-preference")


def test_a_printed_page_is_ink_on_white_without_buttons(page: tuple[Page, str]) -> None:
    """Also from a dark screen."""
    browser, address = page
    browser.emulate_media(media="print", color_scheme="dark")
    for path in PAGES:
        browser.goto(address + path)
        assert browser.evaluate(ON_PAPER) == [], path
        assert browser.evaluate(GROUND) == "rgb(255, 255, 255)", path
    browser.emulate_media(media="screen", color_scheme="light")
