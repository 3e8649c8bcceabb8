"""Shops with a daemon."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.shop import make_shop
from tests.acceptance.daemons import Watched, make_watched


@pytest.fixture(scope="session")
def shop_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop folder as `init` makes it, to be copied."""
    folder = tmp_path_factory.mktemp("template") / "shop"
    make_shop(folder)
    return folder


@pytest.fixture
def watched(tmp_path: Path, shop_template: Path) -> Iterator[Watched]:
    """A shop whose daemon a test may start."""
    shop = make_watched(shop_template, tmp_path / "shop")
    yield shop
    shop.close()
