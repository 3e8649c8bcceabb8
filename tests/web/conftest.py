"""Shops with pages, for the tests of the pages."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.web.shops import WebShop, make_template, open_web_shop

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.web.browsers import Served


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop without orders, to be copied."""
    return make_template(tmp_path_factory.mktemp("template") / "shop")


@pytest.fixture
def web_shop(tmp_path: Path, template: Path) -> Iterator[WebShop]:
    """A shop without orders, and its application."""
    yield from open_web_shop(template, tmp_path / "shop")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests of a module."""
    from playwright.sync_api import sync_playwright  # a module of browser tests has asked whether it is here

    from tests.web.browsers import start_browser

    with sync_playwright() as driver:
        started = start_browser(driver)
        yield started
        started.close()


@pytest.fixture
def served(web_shop: WebShop) -> Iterator[Served]:
    """The shop's pages on a port."""
    from tests.web.browsers import serve

    with serve(web_shop) as there:
        yield there
