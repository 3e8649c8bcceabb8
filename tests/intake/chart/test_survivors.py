"""What survived becomes the shop's own limits: told, dated, and nothing else in the file is changed."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from config.settings import load_settings
from intake.chart.survivors import limits_of, with_limits
from intake.cli import main
from tickets.problems import BadInput

OWN = """# our own, see the folder on the shelf
[line]  # lines
query_mm = 0.35   # guessed
run_mm = 0.6

[soft]
query_share = 0.02  # the boss likes glows
"""
lengths = st.integers(1, 200).map(lambda n: n / 100)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop folder."""
    folder = tmp_path / "shop"
    assert main(["init", str(folder)]) == 0
    return folder


def run(capsys: pytest.CaptureFixture[str], shop: Path, *words: str) -> tuple[int, str, str]:
    """Status, stdout and stderr of `limits`."""
    capsys.readouterr()
    status = main(["limits", *words, "--shop", str(shop)])
    said = capsys.readouterr()
    return status, said.out, said.err


@settings(max_examples=60, deadline=None)
@given(
    text=st.sampled_from(["", OWN, OWN.replace("\n", "\r\n"), "line.query_mm = 0.4\n[gap]\n", "[gap]"]),
    line=lengths,
    gap=lengths,
)
def test_all_else_in_the_file_stays(text: str, line: float, gap: float) -> None:
    """The limits hold what was given; every other key and comment is as it was; twice is once."""
    new = {"line.query_mm": line, "gap.query_mm": gap}
    out = with_limits(text, new, "from our own test print, 2026-11-25")
    read, was = tomllib.loads(out), tomllib.loads(text)
    assert read["line"].pop("query_mm") == line
    assert read["gap"].pop("query_mm") == gap
    for table in ("line", "gap"):
        was.setdefault(table, {}).pop("query_mm", None)
    assert read == was
    for kept in re.findall(r"# (?!guessed)[^\r\n]+", text):
        assert kept in out
    assert out.count("test print, 2026-11-25") == 2
    assert with_limits(out, new, "from our own test print, 2026-11-25") == out
    assert ("\r\n" in out) == ("\r\n" in text)


@pytest.mark.parametrize(
    "text", ["line = {query_mm = 0.3}\n", "[line\n", 'x = """\n[line]\nquery_mm = 1\n"""\n']
)
def test_a_file_that_cannot_be_kept_is_left_alone(text: str) -> None:
    """What would be changed beyond the limits is not written; a person is told what to set."""
    with pytest.raises(BadInput) as caught:
        with_limits(text, {"line.query_mm": 0.2}, "today")
    assert caught.value.slug == "limits-not-edited"
    assert caught.value.do


def test_a_size_must_survive_every_step() -> None:
    """Of the smallest sizes step by step the largest counts; what is not filled in sets nothing."""
    form = {
        "line_mm": {"print": 0.1, "powder": 0.15, "wash": 0.25, "cure": None},
        "dot_mm": 0.4,
        "gap_mm": None,
    }
    assert limits_of(form) == {"line.query_mm": 0.25, "island.query_mm": 0.4}


@pytest.mark.parametrize(
    "form",
    [
        {},
        {"line_mm": None},
        {"line_mm": "0.2"},
        {"gap_mm": -1},
        {"dot_mm": 40},
        {"lines": 0.2},
        {"gap_mm": True},
    ],
)
def test_a_form_without_usable_numbers_is_refused(form: dict[str, object]) -> None:
    """Nothing is guessed from a form that says nothing."""
    with pytest.raises(BadInput) as caught:
        limits_of(form)
    assert caught.value.slug == "form-not-usable"
    assert caught.value.do


def test_limits_are_written_told_and_used(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each limit is told as it was and as it is, with the day and where it comes from, and then holds."""
    (shop / "limits.toml").write_text(OWN, encoding="utf-8")
    status, out, _ = run(capsys, shop, "--line-mm", "0.25", "--dot-mm", "0.45")
    assert status == 0
    assert "line.query_mm: 0.25 from now on, was 0.35 (your own)" in out
    assert "island.query_mm: 0.45 from now on, was 0.5 (as shipped)" in out
    assert re.search(r"from our own test print, \d{4}-\d\d-\d\d", (shop / "limits.toml").read_text("utf-8"))
    limits = load_settings(shop).limits
    assert (limits.line.query_mm, limits.island.query_mm, limits.soft.query_share) == (0.25, 0.45, 0.02)
    status, out, _ = run(capsys, shop, "--json")
    assert {r["limit"]: r["value"] for r in json.loads(out)["limits"]}["line.query_mm"] == 0.25


def test_a_filled_form_is_taken(shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The form that the chart writes can be filled in and handed over; options count above it."""
    form = tmp_path / "form.json"
    assert main(["chart", str(tmp_path / "c.pdf"), "--form", str(form)]) == 0
    filled = json.loads(form.read_text("utf-8"))
    filled["line_mm"] |= {"print": 0.1, "wash": 0.3}
    filled["gap_mm"]["wash"] = 0.35
    form.write_text(json.dumps(filled), encoding="utf-8")
    status, out, _ = run(capsys, shop, "--from", str(form), "--gap-mm", "0.4", "--json")
    assert status == 0
    written = {t["limit"]: (t["was"], t["now"]) for t in json.loads(out)["written"]}
    assert written == {"line.query_mm": (0.3, 0.3), "gap.query_mm": (0.5, 0.4)}


@pytest.mark.parametrize("content", ["", "[1]", "{", "nothing there"])
def test_a_form_that_is_none_is_told(
    content: str, shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A form that cannot be read changes nothing and says what to do."""
    form = tmp_path / "form.json"
    if content != "nothing there":
        form.write_text(content, encoding="utf-8")
    before = sorted(p.name for p in shop.iterdir())
    status, _, err = run(capsys, shop, "--from", str(form))
    assert status == 5
    assert "form-not-usable" in err
    assert sorted(p.name for p in shop.iterdir()) == before


def test_limits_without_a_shop_are_shown_but_not_set(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Outside a shop folder the shipped limits are shown; setting them needs a shop."""
    status, out, _ = run(capsys, tmp_path)
    assert status == 0
    assert "line.query_mm = 0.3" in out
    status, _, err = run(capsys, tmp_path, "--line-mm", "0.2")
    assert status == 5
    assert "no-shop-here" in err
