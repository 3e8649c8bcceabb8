"""The language in which something is said: English in the wording modules, others beside them by name."""

from __future__ import annotations

import functools
import importlib
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import _GeneratorContextManager, contextmanager
from contextvars import ContextVar
from types import FunctionType, ModuleType
from typing import Any

from tickets.problems import ShopProblem

ENGLISH = "en"
NAMES = {ENGLISH: "English", "de": "Deutsch"}
_SENTENCES = {"de": ["tickets.german.sentences"]}  # modules of what is said outside of wording modules
_NEXT_SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z“]|[a-z_]+[\[.])")  # or the key of an order file
_PLACE = re.compile(r"\{(\w+)\}")
_SPOKEN: ContextVar[str] = ContextVar("spoken", default="")  # "": the house's
_house = ENGLISH
_translations: dict[str, Mapping[str, str]] = {}


def speak_in_house(language: str) -> None:
    """The shop's own language: of its papers, of messages, and wherever nobody has chosen another."""
    global _house
    _house = language if language in NAMES else ENGLISH


def speak(language: str) -> None:
    """From here on, in this task, sentences are said in this language; in the house's when it is unknown."""
    _SPOKEN.set(language if language in NAMES else "")


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """What is said in here is said in this language; "": in the house's."""
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def as_the_house_speaks() -> _GeneratorContextManager[None]:
    """What is written in here goes to customers or onto paper: in the shop's language, whoever asks."""
    return speaking("")


def spoken() -> str:
    """The language that is spoken here."""
    return _SPOKEN.get() or _house


class SpokenModule(ModuleType):
    """A module of words: whoever asks for one gets it in the language that is spoken."""

    def __getattribute__(self, name: str) -> Any:
        plain = super().__getattribute__(name)
        if name.startswith("_") or callable(plain) or isinstance(plain, ModuleType):
            return plain
        other = _other(super().__getattribute__("__name__"))
        return plain if other is None else vars(other).get(name, plain)


def make_spoken(module: str, **others: str) -> None:
    """Have a wording module speak others too; `others`: by language, the module that says the same in it.

    Its words are then those of the language that is spoken, and so is what its public functions say. What
    makes a problem gives two sentences in another language: its slug is the same in all. A function without
    words of its own stands once: the other module imports it, and what it calls is said as it is spoken. A
    word that is taken with `from … import` stays as it was then; functions do not.
    """
    made = sys.modules[module]
    _translations[module] = others
    for name, plain in list(vars(made).items()):
        if isinstance(plain, FunctionType) and plain.__module__ == module and not name.startswith("_"):
            setattr(made, name, _spoken(module, plain))
    made.__class__ = SpokenModule


def translated(module: str, language: str) -> str:
    """The name of the module that says the same in another language."""
    return _translations[module][language]


def _other(module: str) -> ModuleType | None:
    name = _translations[module].get(spoken())
    return importlib.import_module(name) if name else None


def _spoken(module: str, plain: Callable[..., Any]) -> Callable[..., Any]:
    @functools.wraps(plain)
    def say(*values: Any, **named: Any) -> Any:
        other = _other(module)
        say_it = getattr(other, plain.__name__, None) if other else None
        if say_it is None or say_it is say:
            return plain(*values, **named)
        told = say_it(*values, **named)
        if not isinstance(told, tuple):
            return told
        said = plain(*values, **named)
        if isinstance(said, ShopProblem):
            said.says, said.do = told
            return said
        return type(said)(*told) if hasattr(said, "_fields") else told

    return say


def add_sentences(language: str, module: str) -> None:
    """Learn the sentences of one more module, which are said outside of wording modules: `SENTENCES`."""
    if module not in _SENTENCES[language]:
        _SENTENCES[language].append(module)
        _catalogue.cache_clear()


def retold(said: str) -> str:
    """What was said in English, in the language that is spoken, sentence by sentence; what it lacks stays."""
    if spoken() not in _SENTENCES or not said:
        return said
    whole = _retold(said)
    if whole is not None:
        return whole
    return " ".join(_retold(one) or one for one in _NEXT_SENTENCE.split(said))


def retell(problem: ShopProblem) -> None:
    """Say a problem in the language that is spoken."""
    problem.says, problem.do = retold(problem.says), retold(problem.do)


def _retold(sentence: str) -> str | None:
    exact, patterns = _catalogue(spoken())
    if sentence in exact:
        return exact[sentence]
    for pattern, other in patterns:
        if found := pattern.fullmatch(sentence):
            return other.format(**{name: retold(text) for name, text in found.groupdict().items()})
    return None


@functools.cache
def _catalogue(language: str) -> tuple[dict[str, str], list[tuple[re.Pattern[str], str]]]:
    """Plain sentences, and those with places to fill in, as `{name}` in both languages."""
    exact: dict[str, str] = {}
    patterns = []
    for name in _SENTENCES[language]:
        for english, other in importlib.import_module(name).SENTENCES.items():
            if _PLACE.search(english):
                patterns.append((re.compile(_as_pattern(english), re.DOTALL), other))
            else:
                exact[english] = other
    return exact, patterns


def _as_pattern(english: str) -> str:
    parts = _PLACE.split(english)
    return "".join(re.escape(part) if at % 2 == 0 else f"(?P<{part}>.+?)" for at, part in enumerate(parts))
