"""In a real browser: a name is chosen, a wrong PIN makes one wait, and who does nothing is signed out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from sqlmodel import select

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, expect, sync_playwright  # noqa: E402 - after the question

from tests.web.browsers import Served, find_chromium, serve, start_browser, type_scan, wait_for  # noqa: E402
from tests.web.shops import WebShop  # noqa: E402
from tickets.layouts import typed_through  # noqa: E402
from tickets.models_people import WrongPin  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]


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


def test_a_name_is_chosen_and_a_wrong_pin_makes_one_wait(served: Served, browser: Browser) -> None:
    """By keypad and keyboard; locked out, the page counts the seconds down, then lets one try."""
    code = served.shop.take("OB-1")
    served.shop.web.people.add("Nadia", "4071")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/print")
    page.get_by_role("link", name="Choose your name").click()
    page.get_by_role("button", name="Nadia").click()
    for wrong in ("9926", "9926", "9926"):
        for digit in wrong:
            page.get_by_role("button", name=digit, exact=True).click()
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("alert")).to_contain_text("This is not the PIN of Nadia.")
    expect(page.get_by_role("alert")).to_contain_text("Wait 15 seconds, then try again.")
    send = page.locator("#pin-send")
    expect(send).to_be_disabled()
    expect(send).to_have_text(re.compile(r"Wait \d+ s"))
    with served.shop.shop.store.writing() as session:  # the wait is over
        session.exec(select(WrongPin)).one().last_at -= timedelta(seconds=20)
    page.goto(f"{served.address}/sign-in?name=Nadia&back=/at/print")
    page.keyboard.type("4071")
    page.keyboard.press("Enter")
    expect(page.locator(".who")).to_contain_text("Used by Nadia")
    expect(page.locator("#next")).to_be_visible()  # the page listens to scanners now
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("Booked")
    assert served.shop.scans()[-1].by == "Nadia"
    page.get_by_role("button", name="Sign out").click()
    expect(page.locator(".who")).to_contain_text("Used by nobody yet")


def test_who_does_nothing_for_long_is_signed_out_before_their_eyes(served: Served, browser: Browser) -> None:
    """Each scan begins the time anew; then the page names nobody, and books nothing without a name."""
    settings = served.shop.web.settings
    idle = settings.people.model_copy(update={"idle_minutes": 10, "name_needed": True})
    object.__setattr__(settings, "people", idle)
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.clock.install()
    served.shop.web.sign_ins.sign_in(served.shop.devices.devices()[0].id, "Ines")
    page.goto(f"{served.address}/at/print")
    expect(page.locator(".who")).to_contain_text("Used by Ines")
    expect(page.locator("#next")).to_be_visible()
    page.context.set_offline(True)  # the device knows by itself
    page.clock.fast_forward("09:00")
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("Kept here")
    page.clock.fast_forward("09:00")
    expect(page.locator(".who")).to_contain_text("Used by Ines")
    page.clock.fast_forward("01:10")
    expect(page.locator(".who")).to_contain_text("Used by nobody yet")
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("a scan needs a name")
    page.context.set_offline(False)
    wait_for(lambda: len(served.shop.scans()) == 1)
    assert served.shop.scans()[0].by == "Ines"


# Keys of a French keyboard: the driver knows only those of a US one.
PRESSED = """(text) => {
  for (const key of [...text, "Enter"]) {
    document.body.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
  }
}"""


def test_a_scanner_set_to_another_keyboard_is_told_of_once(served: Served, browser: Browser) -> None:
    """The scan is booked; what to set stands there until somebody has understood it, and never again."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/print")
    for count in ("1", "2"):
        type_scan(page, count)
        page.evaluate(PRESSED, typed_through(code, "French"))
        expect(page.locator("#answer")).to_contain_text(f"{count} piece")
        if count == "1":
            expect(page.locator("#keyboard")).to_contain_text("set to different keyboards (US and French")
            page.get_by_role("button", name="Understood").click()
        expect(page.locator("#keyboard")).to_be_hidden()
    assert served.shop.waiting("OB-1")["powder"] == 3
