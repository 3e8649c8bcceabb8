"""The house as it is drawn: arrows between rooms, pure rooms, edges with one home, modest sizes."""

from __future__ import annotations

import ast
import re

import pytest

from tests.house_rules import (
    MAY_DECODE,
    RULES,
    Rule,
    breaks_an_arrow,
    connects,
    is_impure,
    is_too_deep,
    is_too_long,
    is_vague,
    measures_with_more_than_arrays,
    opens_pictures,
    reads_the_environment,
    writes_the_books,
)
from tests.sources import ROOT, Source, all_sources, belongs, dotted, read_source

TOP_LEVEL = {
    *(".ci", ".git", ".gitattributes", ".gitignore", "CHANGELOG.md", "DEVELOPERS.md", "LICENSE", "README.md"),
    *("config", "docs", "hotfolder_demo", "intake", "pyproject.toml", "tests", "tickets"),
}
BUILD_FILES = ("pyproject.toml", "config/constraints.txt", ".ci/run", ".gitignore")


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.__name__)
def test_no_module_breaks_the_rule(rule: Rule) -> None:
    """Every module of the house keeps this rule; all that don't are named at once."""
    offenders = [said for source in all_sources() for said in rule(source)]
    assert not offenders, "\n" + "\n".join(offenders)


# One small module for each rule that breaks it, so that a rule that sees nothing is noticed.
BREAKING = [
    (breaks_an_arrow, "tickets.lookup", "from intake import order"),
    (breaks_an_arrow, "config.settings", "def load():\n    import tickets.models"),
    (breaks_an_arrow, "intake.checks.size", "from ...tests import sources"),
    (is_impure, "tickets.codes", "import os"),
    (is_impure, "tickets.codes", "from pathlib import Path"),
    (is_impure, "intake.order", "from config.settings import load_settings"),
    (is_impure, "intake.checks.fit", "from intake.daemon import run_daemon"),
    (is_impure, "intake.inbox.settling", "from datetime import datetime\nNOW = datetime.now()"),
    (is_impure, "tickets.codes", "import random\ndef f():\n    return random.choice('ab')"),
    (is_impure, "intake.measure.ink", "def f(p):\n    return open(p)"),
    (reads_the_environment, "intake.daemon", "import os\nHOME = os.environ['HOME']"),
    (reads_the_environment, "tickets.store", "from os import getenv\nX = getenv('X')"),
    (connects, "tickets.lookup", "from sqlmodel import create_engine\ncreate_engine('x')"),
    (connects, "intake.doctor", "import sqlite3"),
    (writes_the_books, "tickets.lookup", "def f(session):\n    session.add(1)"),
    (writes_the_books, "intake.daemon", "from sqlalchemy import update"),
    (writes_the_books, "intake.daemon", "SQL = 'UPDATE items SET x = 1'"),
    (opens_pictures, "intake.inbox.claiming", "def f():\n    from PIL import Image"),
    (measures_with_more_than_arrays, "intake.measure.ink", "import skimage"),
    (measures_with_more_than_arrays, "intake.measure.ink", "import cv2\ncv2.imread('x')"),
    (is_too_long, "intake.cli", "'''x'''\n" * 401),
    (is_too_long, "intake.cli", "def f():\n" + "    x = 1\n" * 50),
    (is_too_deep, "intake.cli", "def f():\n if 1:\n  for x in y:\n   if x:\n    while x:\n     pass"),
    (is_vague, "intake.utils", "'''One sentence.'''"),
    (is_vague, "intake.cli", "x = 1"),
]


@pytest.mark.parametrize(("rule", "module", "text"), BREAKING)
def test_a_broken_rule_is_seen(rule: Rule, module: str, text: str) -> None:
    """Each rule names a module that breaks it."""
    assert list(rule(Source(module, module.replace(".", "/") + ".py", text)))


KEEPING = [
    (
        is_impure,
        "intake.order",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from pathlib import Path",
    ),
    (
        is_impure,
        "tickets.codes",
        "from random import Random\ndef f(random: Random):\n    return random.choice('ab')",
    ),
    (is_impure, "intake.checks.fit", "from intake.facts import Finding\nfrom config.settings import Limits"),
    (writes_the_books, "tickets.ledger.scans", "def f(session):\n    session.add(1)"),
    (
        is_too_deep,
        "intake.cli",
        "def f():\n if 1:\n  pass\n elif 2:\n  pass\n elif 3:\n  pass\n elif 4:\n  pass",
    ),
]


@pytest.mark.parametrize(("rule", "module", "text"), KEEPING)
def test_a_kept_rule_is_not_called_broken(rule: Rule, module: str, text: str) -> None:
    """What a rule allows, it leaves alone."""
    assert not list(rule(Source(module, module.replace(".", "/") + ".py", text)))


def test_allowed_decoders_name_rooms_that_exist() -> None:
    """No permission outlives the room that it was given to."""
    known = {s.module for s in all_sources()}
    assert [room for room in MAY_DECODE if not any(belongs(module, (room,)) for module in known)] == []


def test_the_top_level_holds_only_what_belongs_there() -> None:
    """Someone who opens the folder sees the house, and nothing left lying about."""
    ignored = {line.strip("/ \n") for line in (ROOT / ".gitignore").read_text("utf-8").splitlines()}
    there = {p.name for p in ROOT.iterdir()}
    strangers = {n for n in there - TOP_LEVEL - ignored if not n.endswith(".egg-info") and n != ".venv"}
    assert strangers == set()


@pytest.mark.parametrize("name", BUILD_FILES)
def test_build_files_name_no_web_address(name: str) -> None:
    """Where packages come from is the machine's own setting, so that a shop behind a mirror can build."""
    text = (ROOT / name).read_text("utf-8")
    assert re.findall(r"https?://\S+|git\+\S+|@ file:|[\w.-]+\.(?:org|com|io)\b", text) == []


def test_every_package_of_the_house_is_listed_for_the_wheel() -> None:
    """The wheel holds config, tickets and intake; tests and the demo stay out of it."""
    import tomllib

    with (ROOT / "pyproject.toml").open("rb") as file:
        listed = tomllib.load(file)["tool"]["setuptools"]["packages"]["find"]["include"]
    assert listed == ["config*", "tickets*", "intake*"]


@pytest.mark.parametrize(
    "name", ["config/bootstrap.py", "config/__init__.py", "tests/__init__.py", "tests/__main__.py"]
)
def test_what_runs_before_the_set_up_parses_on_an_old_python(name: str) -> None:
    """An old Python comes as far as the sentence that says which one is needed."""
    ast.parse(read_source(ROOT / name).text, feature_version=(3, 8))


def test_dotted_names_are_read_as_written() -> None:
    """The reader of names, on which the rules stand, spells out attributes of attributes."""
    assert dotted(ast.parse("a.b.c", mode="eval").body) == "a.b.c"
