"""`python -m tests.web.screenshots --shop DIR OUT`: every page at the size of phone, tablet and desk."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from intake.serving import web_of_shop
from intake.shop import Shop, open_shop
from tests.web.browsers import SIZES, Served, serve, start_browser
from tests.web.shops import WebShop
from tickets.lookup import list_orders
from tickets.lookup.items import open_questions
from tickets.web.app import build_app


def pages_of(shop: Shop) -> Iterator[tuple[str, str]]:
    """A name and an address for each page, about orders that the shop has."""
    orders = list_orders(shop.store, shop.settings)
    asked = open_questions(shop.store)
    busiest = max(orders, key=lambda order: sum(len(t.waiting) for t in order.tickets))
    ticket = next((t for o in orders for t in o.tickets if t.last and t.waiting.get("press")), None)
    yield "line", "/"
    yield "station", "/at/press"
    yield "where", f"/where?words={busiest.customer.split()[0].lower()}"
    yield "promise", "/promise?quantity_1=120&width_mm_1=90&quantity_2=60&width_mm_2=280&due=2027-01-29"
    yield "order", f"/orders/{asked[0].order if asked else busiest.order}"
    yield "queries", "/queries"
    yield "film", "/film/plan"
    yield "devices", "/devices"
    yield "names", "/sign-in"
    yield "people", "/people"
    yield "drop", "/drop"
    yield "kept", "/kept"
    yield "messages", "/messages"
    yield "words", "/messages/words/dispatched"
    yield "papers", "/papers?of=today"
    if ticket or busiest.tickets:
        yield "ticket", f"/t/{(ticket or busiest.tickets[0]).code}"


def take_pictures(served: Served, out: Path) -> None:
    """Photograph every page at every size, in light, and at the desk's size in dark too."""
    out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as driver:
        browser = start_browser(driver)
        for size in SIZES:
            page = served.let_in(browser, "owner", size)
            page.goto(
                f"{served.address}/t/{next(a for n, a in pages_of(served.shop.shop) if n == 'ticket')[3:]}"
            )
            page.get_by_label("This device is at").select_option("press")
            page.get_by_role("button", name="Remember").click()
            for name, address in pages_of(served.shop.shop):
                page.goto(served.address + address)
                photograph(page, out / f"{name}-{size}", in_dark=size == "desktop")
        browser.close()


def photograph(page: Page, path: Path, *, in_dark: bool) -> None:
    """The whole page in light, and in dark too where asked."""
    page.wait_for_load_state("load")
    page.screenshot(path=path.with_name(f"{path.name}.png"), full_page=True)
    if in_dark:
        page.emulate_media(color_scheme="dark", reduced_motion="reduce")
        page.screenshot(path=path.with_name(f"{path.name}-dark.png"), full_page=True)
        page.emulate_media(color_scheme="light")


def main() -> None:
    """Open the shop, serve it, photograph it."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--shop", type=Path, required=True)
    asked.add_argument("out", type=Path)
    given = asked.parse_args()
    with open_shop(given.shop) as shop:
        web = web_of_shop(shop)
        with serve(WebShop(shop, web, build_app(web))) as served:
            take_pictures(served, given.out)


if __name__ == "__main__":
    main()
