"""The table of field failures is complete, and names only tests and modules that there are."""

from __future__ import annotations

import re
from pathlib import Path

from tests.sources import ROOT

TABLE = Path(__file__).with_name("FAILURES.md")
ROW = re.compile(r"^\| (\d+) \| ([^|]+) \| ([^|]+) \|$", re.M)


def test_every_failure_names_what_shows_it() -> None:
    """Fifty-five rows in order; each has a test that exists, or says why not and which code answers it."""
    rows = ROW.findall(TABLE.read_text("utf-8"))
    assert [int(number) for number, *_ in rows] == list(range(1, 56))
    tests = "\n".join(p.read_text("utf-8") for p in (ROOT / "tests").rglob("test_*.py"))
    for number, _, shown_by in rows:
        named = re.findall(r"`([^`]+)`", shown_by)
        assert named, f"row {number} names nothing"
        for name in named:
            is_there = f"def {name}(" in tests if name.startswith("test_") else (ROOT / name).is_file()
            assert is_there, f"row {number}: {name}"
        assert "**untested**" in shown_by or any(name.startswith("test_") for name in named), number
