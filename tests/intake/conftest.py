"""Shops for the tests of the intake."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from intake.shop import make_shop
from tests.intake.shops import Bench, make_bench


@pytest.fixture(scope="session")
def empty_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop folder as `init` makes it, to be copied."""
    folder = tmp_path_factory.mktemp("template") / "shop"
    make_shop(folder)
    return folder


@pytest.fixture
def new_bench(tmp_path: Path, empty_shop: Path) -> Iterator[Callable[..., Bench]]:
    """Makes shops with settings of their own, and closes them."""
    made: list[Bench] = []

    def make(settings: str = "") -> Bench:
        made.append(make_bench(empty_shop, tmp_path / f"shop{len(made)}", settings))
        return made[-1]

    yield make
    for bench in made:
        bench.shop.close()


@pytest.fixture
def bench(new_bench: Callable[..., Bench]) -> Bench:
    """A shop with the shipped settings."""
    return new_bench()
