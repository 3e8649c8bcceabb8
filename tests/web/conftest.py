"""Shops with pages, for the tests of the pages."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.shops import WebShop, make_template, open_web_shop


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop without orders, to be copied."""
    return make_template(tmp_path_factory.mktemp("template") / "shop")


@pytest.fixture
def web_shop(tmp_path: Path, template: Path) -> Iterator[WebShop]:
    """A shop without orders, and its application."""
    yield from open_web_shop(template, tmp_path / "shop")
