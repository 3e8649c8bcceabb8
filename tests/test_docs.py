"""The guides speak of everything that the program has, of nothing that it lacks, and their examples work."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shlex
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from config.settings import load_settings
from tests import documented
from tests.sources import ROOT, all_sources

README, DEVELOPERS = ROOT / "README.md", ROOT / "DEVELOPERS.md"
GUIDES = (README, DEVELOPERS)
EVERYWHERE = {"--shop", "--help", "--json"}  # told once for all commands
PLACEHOLDER = re.compile(r"\b[A-Z]{3,}\b|…|\.\.\.|[()]")
EXAMPLE_CODE = re.compile(r"\b(?=[0-9A-Z]*\d)[0-9A-HJKMNP-TV-Z]{7}\b")
ANSWERED = {0, 3, 4, 5}  # not 1, a bug, and not 2, an example that nobody can type


def text_of(guide: Path) -> str:
    """A guide's text."""
    return guide.read_text("utf-8")


def blocks(guide: Path, *languages: str) -> list[str]:
    """The fenced blocks of a guide in one of these languages."""
    found = re.findall(r"^```(\w+)\n(.*?)^```", text_of(guide), re.M | re.S)
    return [body for language, body in found if language in languages]


def outside_blocks(guide: Path) -> str:
    """A guide's text without its fenced blocks."""
    return re.sub(r"^```.*?^```", "", text_of(guide), flags=re.M | re.S)


def in_backticks() -> set[str]:
    """Everything that the guides set in backticks, and the first word of it."""
    quoted = re.findall(r"`([^`\n]+)`", "".join(outside_blocks(g) for g in GUIDES))
    return {*quoted, *(q.split()[0] for q in quoted if q.split())}


def test_every_setting_is_told() -> None:
    """Each shipped setting stands in the README by its whole name."""
    missing = [s.key for s in documented.settings() if s.key not in in_backticks()]
    assert missing == []


def test_every_command_and_option_is_told() -> None:
    """Each command stands in the README as it is typed, each option by its name."""
    text = text_of(README)
    missing = [name for name in documented.commands() if f"`filmdocket {name}" not in text]
    for name, command in documented.commands().items():
        missing += [
            f"{name} {o}" for o in documented.options(command) if o not in EVERYWHERE and o not in text
        ]
    assert missing == []


def test_every_check_is_told_with_its_limit_and_what_to_do() -> None:
    """Each check has its row: name, what it measures, where the limit comes from, what to do."""
    missing = [
        c.NAME
        for c in documented.checks()
        if not re.search(rf"^\|\s*`{c.NAME}`(.*\|){{4}}", text_of(README), re.M)
    ]
    assert missing == []


def test_every_problem_is_told() -> None:
    """Whoever looks up the word that a message ends in finds it."""
    missing = {slug: where for slug, where in documented.slugs().items() if slug not in in_backticks()}
    assert missing == {}


def test_no_problem_is_told_that_there_is_not() -> None:
    """Words that the program no longer says don't stay in the list."""
    listed = re.findall(r"^\|\s*`([a-z]+(?:-[a-z0-9]+)+)`", text_of(README), re.M)
    known = {*documented.slugs(), *(c.NAME for c in documented.checks())}
    assert [slug for slug in listed if slug not in known] == []


def test_every_station_and_variable_is_told() -> None:
    """The stations of the line, and the variables of the environment."""
    wanted = {*documented.stations(), *documented.environment()}
    assert wanted - in_backticks() == set()


def test_what_is_no_slug_is_still_somewhere() -> None:
    """The list of words that are no slugs holds none that the program has dropped."""
    said = {text for source in all_sources("tickets", "intake") for text, _ in source.strings()}
    assert set(documented.NO_SLUGS) - said == set()


@pytest.mark.parametrize("guide", GUIDES, ids=lambda g: g.name)
def test_links_lead_somewhere(guide: Path) -> None:
    """Every file and picture that a guide points to is there, every heading too."""
    headings = {_anchor(h) for g in GUIDES for h in re.findall(r"^#+ (.+)$", outside_blocks(g), re.M)}
    for target in re.findall(r"\]\(([^)\s]+)\)", outside_blocks(guide)):
        path, _, anchor = target.partition("#")
        if not re.match(r"\w+:", target):
            assert not path or (ROOT / path).exists(), target
            assert not anchor or anchor in headings, target


def _anchor(heading: str) -> str:
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


@pytest.mark.parametrize("guide", GUIDES, ids=lambda g: g.name)
def test_modules_that_are_to_be_run_are_there(guide: Path) -> None:
    """`python -m …` in a guide names something that can be run."""
    for module in re.findall(r"\bpy(?:thon3?)? -m ([\w.]+)", text_of(guide)):
        path = ROOT / module.replace(".", "/")
        is_tool = module in ("pip", "venv", "pytest")
        assert is_tool or path.with_suffix(".py").is_file() or (path / "__main__.py").is_file(), module


def test_order_files_in_the_readme_are_read() -> None:
    """The README's order files keep the contract."""
    from intake.order import read_order

    orders = [b for b in blocks(README, "json") if '"items"' in b]
    assert orders
    for order in orders:
        read_order(order.encode(), load_settings(None, {}), datetime(2026, 11, 2, tzinfo=UTC))


def test_settings_in_the_readme_are_settings(tmp_path: Path) -> None:
    """What the README says to write into shop.toml can be written there."""
    for body in blocks(README, "toml"):
        (tmp_path / "shop.toml").write_text(body, encoding="utf-8")
        assert load_settings(tmp_path, {}).origins


def console_lines(guide: Path) -> list[str]:
    """The commands in a guide's console blocks, without prompts."""
    lines = [
        line.removeprefix("$ ")
        for block in blocks(guide, "console", "sh", "bash")
        for line in block.splitlines()
    ]
    return [line for line in lines if line.startswith("filmdocket ")]


def inline_examples(guide: Path) -> list[str]:
    """Commands that a guide gives whole, with values and not with placeholders."""
    found = re.findall(r"`(filmdocket [a-z][^`\n]*)`", outside_blocks(guide))
    return [example for example in found if not PLACEHOLDER.search(example)]


def epilogs() -> list[str]:
    """The example that each command's own help gives."""
    return [str(command.epilog).removeprefix("Example: ") for command in documented.commands().values()]


def test_every_help_has_an_example_that_can_be_typed() -> None:
    """Each `--help` ends in an example whose command and options exist."""
    for name, command in documented.commands().items():
        example = shlex.split(str(command.epilog or "").removeprefix("Example: "))
        assert example[:2] == ["filmdocket", name], name
        command.make_context(name, example[2:])  # raises when it can't be typed


@pytest.mark.parametrize("example", sorted({e for g in GUIDES for e in inline_examples(g)}))
def test_examples_in_the_text_can_be_typed(example: str) -> None:
    """An example within a sentence is a command with options that exist."""
    words = shlex.split(example)
    assert words[1] in documented.commands(), example
    if len(words) > 2:
        documented.commands()[words[1]].make_context(words[1], words[2:])


@pytest.fixture
def readme_shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to follow the README in, and no shop set by the environment."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("FILMDOCKET_SHOP", raising=False)
    monkeypatch.delenv("FILMDOCKET_DATABASE_URL", raising=False)
    return tmp_path / "shop"


def run(line: str) -> tuple[int, str]:
    """Type one line of a guide; status, and all that was said."""
    from intake import cli

    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        status = cli.main(shlex.split(line, posix=os.name != "nt")[1:])
    return status, said.getvalue()


def test_a_day_by_the_readme_comes_out(readme_shop: Path) -> None:
    """Whoever follows the README from `init` on, with its own order file, gets a ticket and an answer."""
    from hotfolder_demo.drawing import crest

    code, told = "", []
    for line in console_lines(README):
        line = EXAMPLE_CODE.sub(code or "7K3Q9XZ", line)
        if line.startswith("filmdocket watch"):
            _drop(readme_shop, next(b for b in blocks(README, "json") if '"items"' in b), crest())
            line += "" if "--once" in line else " --once"
        status, said = run(line)
        told.append(f"$ {line}\n{said}")
        assert status in ANSWERED, told
        code = code or _first_code(readme_shop)
    status, said = run(f"filmdocket where otter --shop {readme_shop} --json")
    assert status == 0
    assert [o["order"] for o in json.loads(said)["orders"]] == ["OB-1042"], told
    assert code, told
    status, said = run(f"filmdocket scan {code} --at print --shop {readme_shop}")
    assert status == 0, said


def _drop(shop: Path, order: str, artwork: bytes) -> None:
    settings = shop / "shop.toml"
    settings.write_text("[intake]\nsettle_seconds = 0.2\nscan_seconds = 0.1\n", encoding="utf-8")
    later: dict[str, Any] = {**json.loads(order), "due": "2099-12-04"}  # a due day in the past is a question
    (shop / "inbox" / "crest.png").write_bytes(artwork)
    (shop / "inbox" / "OB-1042.json").write_text(json.dumps(later), encoding="utf-8")


def _first_code(shop: Path) -> str:
    if not (shop / "filmdocket.db").exists():
        return ""
    status, said = run(f"filmdocket orders --json --shop {shop}")
    tickets = [t for o in json.loads(said)["orders"] for t in o["tickets"]] if status == 0 else []
    return str(tickets[0]["code"]) if tickets else ""


def test_pictures_of_the_readme_are_made_by_the_program() -> None:
    """The tour shows pictures, and says which command made them."""
    text = text_of(README)
    assert re.findall(r"!\[[^\]]+\]\([^)]+\)", text)
    assert "--pictures" in text + text_of(DEVELOPERS)
