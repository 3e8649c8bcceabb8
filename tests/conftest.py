"""What all tests share: with `FILMDOCKET_TESTS=all` a test that is left out for want of a part has failed."""

from __future__ import annotations

from collections.abc import Generator

import pytest
from hypothesis import settings

from config.bootstrap import wants_all_tests
from tests.books import floor
from tests.stores import home, postgres_server, sqlite_home, sqlite_template, store

__all__ = [
    "floor",
    "home",
    "postgres_server",
    "sqlite_home",
    "sqlite_template",
    "store",
]  # fixtures for every test

settings.register_profile("shop", deadline=None, derandomize=True)  # a busy machine is no failure
settings.load_profile("shop")

RIGHTLY_ELSEWHERE = "only on "  # a skip whose reason begins so is no missing part: "only on Windows"


def _is_missing_part(report: pytest.TestReport | pytest.CollectReport) -> bool:
    if not report.skipped or hasattr(report, "wasxfail") or not wants_all_tests():
        return False
    return not _reason(report).startswith(RIGHTLY_ELSEWHERE)


def _reason(report: pytest.TestReport | pytest.CollectReport) -> str:
    said = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return str(said).removeprefix("Skipped: ")


def _fail(report: pytest.TestReport | pytest.CollectReport) -> None:
    report.outcome = "failed"
    report.longrepr = f"left out, and FILMDOCKET_TESTS=all asks for every part: {_reason(report)}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn a skip into a failure where every part must be there."""
    report = yield
    if _is_missing_part(report):
        _fail(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Likewise for a whole module that is skipped while it is read."""
    report = yield
    if _is_missing_part(report):
        _fail(report)
    return report
