"""One shop and one sandbox for all tests of the run's file: encoding is done once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.sandbox import Sandbox
from intake.shop import Shop, make_shop, open_shop


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """An empty shop."""
    folder: Path = tmp_path_factory.mktemp("film") / "shop"
    make_shop(folder)
    with open_shop(folder) as opened:
        yield opened


@pytest.fixture(scope="module")
def sandbox(shop: Shop) -> Iterator[Sandbox]:
    """Its workers."""
    with Sandbox(shop.settings.sandbox) as opened:
        yield opened
