"""Every word has its German one, with the same places to fill in; days and numbers are those of the CLDR."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from babel.dates import format_skeleton
from babel.numbers import format_decimal
from jinja2 import Environment, meta

from intake import cli
from intake.letters.specimens import SPECIMENS
from intake.letters.templating import KINDS, shipped_template
from tests.sources import ROOT
from tickets import languages, wording_floor, wording_pages, wording_where
from tickets.german import numbers
from tickets.problems import ShopProblem

WORDING = sorted(
    str(path.relative_to(ROOT).with_suffix("")).replace("\\", "/").replace("/", ".")
    for path in (*(ROOT / "tickets").glob("wording*.py"), *(ROOT / "intake").glob("*/wording.py"))
    if path.parent.name != "chart"  # of the test print, which commands make
)
# What only commands say, and what is no word: slugs, numbers, words that a reader's remarks are known by.
NOT_ON_PAGES = {
    *("pages_at", "owner_link", "loopback_only", "also_on_the_network", "pairing_lines", "device_line"),
    *("device_revoked", "certificate_lines"),
    *("COLOUR_WORDS", "FONT_WORDS", "Payload"),
}
# Alike in both, or without words of its own.
ALIKE = {
    *(
        "FILM",
        "FILM_PAGE",
        "PIN",
        "HAS_PIN_WORD",
        "STATION",
        "FROM_SETTINGS",
        "PERSON_NAME",
        "TRANSFERS_ONLY",
    ),
    *("SERVICES", "MESSAGE_FILE", "KINDS"),
}
# Modules that raise problems in sentences of their own, which pages show.
TELLERS = (
    *("tickets/web", "tickets/lookup", "tickets/database_words.py", "tickets/ledger/devices.py"),
    *(
        "tickets/ledger/people.py",
        "tickets/ledger/printing.py",
        "intake/drafts.py",
        "intake/corrected_drop.py",
    ),
    *(
        "intake/letters",
        "intake/reading",
        "intake/batches.py",
        "intake/sandbox",
        "intake/repaired_release.py",
    ),
)
FOR_COMMANDS = {
    "Name a file with --out, or set papers.print_command in shop.toml.",
    "The tickets are not printed: {}",
    "Look after the printer and do it again; filmdocket doctor says what waits.",
}
PROBLEMS = {
    *("ShopProblem", "BadInput", "NotFound", "SetupProblem", "ArtworkRefused", "NotAllowed", "NotLetIn"),
    *("PinRefused", "TooManyTries", "TooLarge"),
}
SENTENCES = [
    importlib.import_module(name).SENTENCES
    for name in ("tickets.german.sentences", "intake.german.sentences")
]


languages.add_sentences("de", "intake.german.sentences")


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    yield
    languages.speak("")
    languages.speak_in_house("en")


def own_words(module: ModuleType) -> dict[str, Any]:
    """What a module of words says itself: the names that it defines."""
    tree = ast.parse(Path(inspect.getsourcefile(module) or "").read_text("utf-8"))
    defined = {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
    for node in tree.body:
        if isinstance(node, ast.Assign):
            defined |= {name.id for name in ast.walk(node.targets[0]) if isinstance(name, ast.Name)}
    return {
        name: value
        for name, value in vars(module).items()
        if name in defined
        and not name.startswith("_")
        and (isinstance(value, str | tuple | dict) or inspect.isfunction(value))
    }


def german_of(name: str) -> ModuleType:
    importlib.import_module(name)
    return importlib.import_module(languages.translated(name, "de"))


@pytest.mark.parametrize("name", WORDING)
def test_every_word_has_a_german_one(name: str) -> None:
    """What is new in English fails here until it is said in German too."""
    module = importlib.import_module(name)
    english, german = own_words(module), vars(german_of(name))
    last = ast.parse(Path(inspect.getsourcefile(module) or "").read_text("utf-8")).body[-1]
    assert "make_spoken" in ast.unparse(last), "what is defined behind make_spoken speaks English only"
    assert sorted(set(english) - set(german) - NOT_ON_PAGES) == []


@pytest.mark.parametrize("name", WORDING)
def test_a_german_word_has_the_shape_and_the_places_of_the_english_one(name: str) -> None:
    """As many of them, the same keys, the same `{n}` to fill in; and it is not the English word."""
    german = vars(german_of(name))
    for word, value in own_words(importlib.import_module(name)).items():
        other = german.get(word, value)
        if inspect.isfunction(value) or word in NOT_ON_PAGES:
            continue
        assert type(other) is type(value), word
        for one, its in zip(said(value), said(other), strict=True):
            assert re.findall(r"\{\w+\}", one) == re.findall(r"\{\w+\}", its), word
        if isinstance(value, dict):
            assert list(value) == list(other), word
        assert other != value or word in ALIKE or not any(c.isalpha() for c in "".join(said(value))), word


def said(value: str | tuple[Any, ...] | dict[str, str]) -> list[str]:
    """The words of a word."""
    if isinstance(value, str):
        return [value]
    return [one for one in (value.values() if isinstance(value, dict) else value) if isinstance(one, str)]


@pytest.mark.parametrize("name", WORDING)
def test_whatever_an_english_sentence_is_made_of_is_in_the_german_one(name: str) -> None:
    """The same is asked of both, and each of it is used in both, or in neither."""
    english, german = functions(importlib.import_module(name)), functions(german_of(name))
    for function in sorted(set(english) & set(german)):
        one, other = english[function], german[function]
        assert ast.unparse(one.args) == ast.unparse(other.args), function
        lost = used(one) - used(other)
        assert not lost or (name.rpartition(".")[2], function) in LESS, f"{function} lost {lost}"


# Where German says less on purpose: pages have no command line, and what a page's reader has before them.
LESS = {
    *(("wording_floor", f) for f in ("run_takes_no_numbers", "ticket_queried", "ticket_held", "order_held")),
    *(("wording_floor", f) for f in ("which_ticket", "booked_unseen")),
    *(("wording_film", f) for f in ("no_run_file", "run_not_released", "taken_out")),
    *(("wording_film_spoiling", f) for f in ("not_on_the_run", "nothing_in_length")),
    *(("wording_parcels", f) for f in ("no_such_parcel",)),
    *(("wording_promise", f) for f in ("already_placed",)),
    *(("wording_sizes", f) for f in ("size_too_late",)),
}


def functions(module: ModuleType) -> dict[str, ast.FunctionDef]:
    """The public functions of a module of words, as written."""
    found = ast.parse(Path(inspect.getsourcefile(module) or "").read_text("utf-8"))
    return {f.name: f for f in found.body if isinstance(f, ast.FunctionDef) and not f.name.startswith("_")}


def used(function: ast.FunctionDef) -> set[str]:
    """Which of its parameters a function makes use of."""
    asked = {arg.arg for arg in (*function.args.args, *function.args.kwonlyargs)}
    return asked & {node.id for node in ast.walk(function) if isinstance(node, ast.Name)}


def told_in(tree: ast.AST) -> Iterator[str]:
    """The sentences of the problems that a module raises, what is filled in left out."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and getattr(node.func, "id", getattr(node.func, "attr", "")) in PROBLEMS
        ):
            for given in node.args[1:]:
                yield from plainly(given)


def plainly(node: ast.AST) -> Iterator[str]:
    """A sentence as written, if it is one."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value:
        yield node.value
    if isinstance(node, ast.JoinedStr):
        text = "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
        if re.search(r"[A-Za-z]{3}", text):
            yield text


@pytest.mark.parametrize("where", TELLERS)
def test_every_problem_that_a_page_can_show_has_german_sentences(where: str) -> None:
    """Those outside of wording modules stand in the list of sentences."""
    known = {re.sub(r"\{\w+\}", "{}", english) for listed in SENTENCES for english in listed} | FOR_COMMANDS
    at = ROOT / where
    missing = []
    for file in sorted(at.glob("*.py")) if at.is_dir() else [at]:
        missing += [one for one in told_in(ast.parse(file.read_text("utf-8"))) if one not in known]
    assert missing == []


@pytest.mark.parametrize("listed", SENTENCES, ids=("tickets", "intake"))
def test_the_lists_of_sentences_fill_in_the_same(listed: dict[str, str]) -> None:
    """Nothing is lost, nothing is made up, and no two English sentences could be mistaken for each other."""
    for english, german in listed.items():
        assert sorted(re.findall(r"\{\w+\}", english)) == sorted(re.findall(r"\{\w+\}", german)), english
        languages.speak("de")
        if "{" not in english:
            assert languages.retold(english) == german
    assert languages.retold("There is no order 'OB-1' in the books.") == "Einen Auftrag 'OB-1' gibt es nicht."
    assert languages.retold("Unknown words stay.") == "Unknown words stay."
    wrong = "items[0].width_mm must be at least 1, not 0. items[0].quantity is missing."
    told = "items[0].width_mm muss mindestens 1 sein, nicht 0. items[0].quantity fehlt."
    assert languages.retold(wrong) == told
    both = "There is no such page. Begin at the line."
    assert languages.retold(both) == "Diese Seite gibt es nicht. Bei der Fertigung beginnen."


def test_a_problem_keeps_its_slug_and_its_kind_in_german() -> None:
    """What programs go by is the same in every language."""
    plain = wording_floor.nothing_waits_here("7K3Q9XZ", "press", "40 at cure", may_catch_up=False)
    languages.speak("de")
    told = wording_floor.nothing_waits_here("7K3Q9XZ", "press", "40 beim Aushärten", may_catch_up=False)
    assert isinstance(told, ShopProblem)
    assert (told.slug, told.http_status) == (plain.slug, plain.http_status)
    assert told.says == "Von 7K3Q9XZ wartet beim Pressen nichts: 40 beim Aushärten."
    assert wording_pages.LINE == "Fertigung"
    languages.speak("tlh")
    assert wording_pages.LINE == "The line"


def test_what_goes_to_customers_is_said_as_the_house_speaks() -> None:
    """Whatever the language of the device on which somebody asks for it."""
    languages.speak_in_house("de")
    languages.speak("en")
    assert wording_pages.LINE == "The line"
    with languages.as_the_house_speaks():
        assert wording_pages.LINE == "Fertigung"
    assert wording_pages.LINE == "The line"


def test_days_are_written_as_the_cldr_has_them() -> None:
    """Every day of a year, in both languages."""
    zone, start = ZoneInfo("Europe/Berlin"), datetime(2027, 1, 1, 12, tzinfo=UTC)
    for days in range(365):
        at = start + timedelta(days=days)
        english = format_skeleton("MMMEd", at, locale="en").split(", ")  # Fri, Jan 1
        month, day = english[1].split(" ")
        assert wording_where.say_day(at, start, zone) == f"{english[0]} {day} {month}"
        assert numbers.local_day(at, start, zone) == format_skeleton("MMMEd", at, locale="de")
    assert numbers.local_time(start, start, zone) == "Fr., 1. Jan., 13:00 Uhr"


def test_numbers_and_money_are_written_as_the_cldr_has_them() -> None:
    """A comma for decimals, a point between thousands, the currency behind."""
    assert wording_pages.number(1250.25, 1) == format_decimal(1250.2, format="0.0", locale="en")
    assert numbers.number(1250.5, 2) == "1.250,50"
    assert numbers.short(2.35) == "2,35"
    assert numbers.percent(0.125, 1) == "12,5 %"
    assert numbers.money_said("EUR 1250.00") == "1.250,00\u00a0€"
    assert numbers.money_said("EUR 0.0268") == "0,0268\u00a0€"
    assert numbers.money(1250, "EUR") == "1.250,00\u00a0€"


@pytest.mark.parametrize("kind", KINDS)
def test_a_german_message_tells_of_the_same_facts(kind: str) -> None:
    """Whatever the English template asks about, the German one asks about too, and it works."""
    languages.speak("de")
    german = shipped_template(kind)
    languages.speak("en")
    english = shipped_template(kind)
    asked = [meta.find_undeclared_variables(Environment().parse(one.text)) for one in (german, english)]
    assert asked[0] == asked[1]
    assert german.text != english.text
    for facts in SPECIMENS[kind]:
        assert "Auftrag" in german.words(facts).subject


def test_commands_answer_in_english_and_write_as_the_house_speaks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Scripts read what commands say, whatever the language of the shop; customers do not."""
    assert cli.main(["init", str(tmp_path)]) == 0
    (tmp_path / "shop.toml").write_text('[shop]\nlanguage = "de"\n', "utf-8")
    capsys.readouterr()
    assert cli.main(["where", "nobody", "--shop", str(tmp_path)]) == 0
    assert "Nothing in the books fits" in capsys.readouterr().out
    assert languages.spoken() == "de"  # of the house, once the command is done
