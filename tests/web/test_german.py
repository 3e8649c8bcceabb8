"""Stations and tickets speak German whole: every word of their pages, every answer, nothing lost in it."""

from __future__ import annotations

import inspect
import re
from types import ModuleType
from typing import Any

import pytest

from tests.web.shops import WebShop, post_json, submit
from tickets import (
    german,
    wording,
    wording_floor,
    wording_pages,
    wording_people,
    wording_route,
    wording_where,
)
from tickets.german import codes, floor, pages, people, route, where
from tickets.problems import ShopProblem
from tickets.web.language_page import SPOKEN_TO
from tickets.web.showing import FOLDER

PAIRS = (
    (wording, codes),
    (wording_route, route),
    (wording_floor, floor),
    (wording_pages, pages),
    (wording_people, people),
    (wording_where, where),
)
TEMPLATES = ("station", "ticket", "kept", "names", "pin", "base", "_me", "_who", "_kept", "_problem")
SAME = {
    "FILM_PAGE",
    "STATION",
    "PIN",
    "age",
    "pieces",
    "blocked_says",
    "standing_says",
}  # also where they read alike
SPECIMENS: dict[str, Any] = {
    "int": 7,
    "str": "7K3Q9XZ",
    "Sequence[str]": ["A9S346G", "B3D25V5"],
    "str | None": "held by Ines",
    "bool": True,
    "Iterable[tuple[str, str, int]]": [("press", "R01X", 30), ("dispatched", "", 8)],
}


def own_names(module: ModuleType) -> dict[str, Any]:
    """What a module of words says itself."""
    return {
        name: value
        for name, value in vars(module).items()
        if not name.startswith("_")
        and (isinstance(value, str | tuple) or inspect.isfunction(value))
        and getattr(value, "__module__", module.__name__) == module.__name__
    }


def sentences(said: Any) -> str:
    """All that was said."""
    if isinstance(said, ShopProblem):
        return f"{said.says} {said.do}"
    return " ".join(said) if isinstance(said, tuple) else str(said)


@pytest.mark.parametrize(("english", "other"), PAIRS, ids=lambda module: module.__name__)
def test_each_german_word_stands_for_an_english_one(english: ModuleType, other: ModuleType) -> None:
    """Of the same shape, with the same places to fill in, and the same things asked of it."""
    for name, value in own_names(other).items():
        plain = getattr(english, name)
        if inspect.isfunction(value):
            assert list(inspect.signature(value).parameters) == list(inspect.signature(plain).parameters), (
                name
            )
        elif isinstance(value, tuple) and isinstance(plain, tuple):
            assert len(value) == len(plain), name
        elif isinstance(value, str):
            assert re.findall(r"\{\w+\}", value) == re.findall(r"\{\w+\}", plain), name
            assert value != plain or name in SAME, name


@pytest.mark.parametrize("name", sorted(n for n, v in own_names(floor).items() if inspect.isfunction(v)))
def test_whatever_a_sentence_names_it_names_in_german_too(name: str) -> None:
    """Codes, numbers, stations and reasons survive, and a problem keeps its slug."""
    plain, other = getattr(wording_floor, name), getattr(floor, name)
    given = {
        parameter.name: SPECIMENS[str(parameter.annotation)]
        for parameter in inspect.signature(plain).parameters.values()
    }
    said, english = sentences(other(**given)), sentences(plain(**given))
    for value in ("7K3Q9XZ", "A9S346G", "B3D25V5", "R01X", "30"):
        assert (value in said) == (value.lower() in english.lower()), said
    assert re.findall(r"\b7\b", english) == re.findall(r"\b7\b", said)
    assert said != english or name in SAME


def test_every_word_of_the_pages_of_the_floor_is_german() -> None:
    """Whatever their templates name is translated."""
    known = {
        "words": own_names(pages) | own_names(floor) | own_names(where),
        "people_words": own_names(people),
    }
    missing = []
    for name in TEMPLATES:
        text = (FOLDER / "templates" / f"{name}.html").read_text("utf-8")
        for module, used in re.findall(r"\b(words|people_words)\.(\w+)", text):
            if used not in known[module]:
                missing.append(f"{name}: {used}")
    assert missing == []


def test_a_device_chooses_its_language_and_others_keep_theirs(web_shop: WebShop) -> None:
    """Pages and answers follow; the desk's pages stay as they are."""
    code, late = web_shop.take("OB-1"), web_shop.take("OB-2")
    kiosk, phone = web_shop.device(), web_shop.device()
    submit(kiosk, "/language", language="de", back="/at/print")
    page = kiosk.get("/at/print").text
    assert '<html lang="de">' in page
    for word in (
        "Zettel scannen",
        "Wartet hier",
        "Gerade erledigt",
        "80 Stück",
        "Hier arbeitet",
        "Fr 4. Dez. 2099",
    ):
        assert word in page, word
    for word in ("Waits", "Scan a ticket", "Just done", "pieces", "Undo"):
        assert word not in page, word
    told = post_json(kiosk, "/api/scan", code=code, station="print").json()
    assert told["says"] == f"40 Stück von {code} gedruckt, weiter zu powder."
    wrong = post_json(kiosk, "/api/scan", code=code, station="print")
    assert (wrong.status_code, wrong.json()["slug"]) == (409, "nothing-waits-here")
    assert wrong.json()["says"] == f"Von {code} wartet nichts bei print: 40 bei powder."
    typed = post_json(kiosk, "/api/scan", code=f"{code[:-1]}", station="print").json()
    assert (typed["slug"], "zu kurz für einen Code" in typed["says"]) == ("code-not-read", True)
    assert typed["do"].startswith("Scanne den QR-Code")
    submit(kiosk, "/me", station="print", back=f"/t/{late}")
    page = kiosk.get(f"/t/{late}").text
    assert "40 gedruckt" in page
    assert "in Arbeit" in page
    assert "40 bei print." in page
    assert '<html lang="en">' in kiosk.get("/").text
    assert "Waits here" in phone.get("/at/print").text
    answer = post_json(phone, "/api/scan", code=late, station="print").json()
    assert answer["says"] == f"40 pieces of {late} printed, on to powder."


def test_an_unknown_language_is_not_kept(web_shop: WebShop) -> None:
    """The device is spoken to as before."""
    kiosk = web_shop.device()
    submit(kiosk, "/language", language="tlh", back="/at/print")
    assert '<html lang="en">' in kiosk.get("/at/print").text
    assert "at" in SPOKEN_TO
    assert german.pages is pages
