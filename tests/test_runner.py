"""`python -m tests`: what is left out is named, and where every part must be there it has failed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.sources import ROOT

LEAVING_OUT = """\
import pytest

def test_needs_a_server():
    pytest.skip("no PostgreSQL server on this machine")

def test_needs_windows():
    pytest.skip("only on Windows")

@pytest.mark.xfail(reason="a known limit")
def test_knows_its_limit():
    assert False

def test_that_can_always_run():
    pass
"""


def run(folder: Path, wants: str) -> subprocess.CompletedProcess[str]:
    """Run pytest as the runner does, on tests that leave things out."""
    (folder / "test_leaving_out.py").write_text(LEAVING_OUT, encoding="utf-8")
    environ = {**os.environ, "FILMDOCKET_TESTS": wants, "PYTHONPATH": str(ROOT)}
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-p",
        "tests.conftest",
        "-p",
        "no:cacheprovider",
        "-ra",
        "--rootdir",
    ]
    return subprocess.run(
        [*command, str(folder), "-c", str(ROOT / "pyproject.toml"), str(folder / "test_leaving_out.py")],
        cwd=folder,
        env=environ,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def test_a_missing_part_is_named(tmp_path: Path) -> None:
    """On a machine that lacks something the rest runs, and the summary says what was left out and why."""
    ended = run(tmp_path, "")
    assert ended.returncode == 0, ended.stdout
    assert "no PostgreSQL server on this machine" in ended.stdout
    assert "1 passed, 2 skipped, 1 xfailed" in ended.stdout


def test_a_missing_part_fails_where_all_are_asked_for(tmp_path: Path) -> None:
    """With FILMDOCKET_TESTS=all a part that is missing has failed; what belongs to another system has not."""
    ended = run(tmp_path, "all")
    assert ended.returncode == 1, ended.stdout
    assert "left out, and FILMDOCKET_TESTS=all asks for every part: no PostgreSQL server" in ended.stdout
    assert "1 failed, 1 passed, 1 skipped, 1 xfailed" in ended.stdout


@pytest.mark.parametrize(
    ("arguments", "is_parallel"),
    [([], True), (["tests/config"], True), (["-n0"], False), (["--pdb"], False), (["-k", "-n"], False)],
)
def test_all_cores_are_used_unless_told_otherwise(
    arguments: list[str], is_parallel: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The runner adds its own number of workers only where none was asked for."""
    from tests.__main__ import run as run_tests

    asked: list[list[str]] = []

    def listen(given: list[str]) -> int:
        asked.append(given)
        return 0

    monkeypatch.setattr(pytest, "main", listen)
    assert run_tests(arguments) == 0
    assert ("auto" in asked[0]) is is_parallel
    assert asked[0][-len(arguments) :] == arguments or not arguments
