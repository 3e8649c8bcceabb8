"""The language in which something is said: English in the wording modules, others beside them by name."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from contextvars import ContextVar
from types import FunctionType, ModuleType
from typing import Any

from tickets.problems import ShopProblem

ENGLISH = "en"
NAMES = {ENGLISH: "English", "de": "Deutsch"}
_SPOKEN: ContextVar[str] = ContextVar("spoken", default=ENGLISH)
_OTHERS: dict[tuple[str, str], ModuleType] = {}


def speak(language: str) -> None:
    """From here on, in this task, sentences are said in this language; an unknown one is English."""
    _SPOKEN.set(language if language in NAMES else ENGLISH)


def spoken() -> str:
    """The language that is spoken here."""
    return _SPOKEN.get()


def add_language(language: str, modules: Mapping[str, ModuleType]) -> None:
    """Learn a language: by the name of each wording module, the module that says the same in it."""
    _OTHERS.update({(language, name): module for name, module in modules.items()})


def word(module: ModuleType, name: str) -> Any:
    """A word of a wording module in the language that is spoken; in English where it is not translated."""
    other = _OTHERS.get((_SPOKEN.get(), module.__name__))
    plain = getattr(module, name)
    return plain if callable(plain) else getattr(other, name, plain)


def make_spoken(module: str, names: dict[str, Any]) -> None:
    """Have the public functions of a wording module say their sentences in the language that is spoken.

    What makes a problem has the same slug in every language; its translation gives the two sentences.
    """
    for name, plain in list(names.items()):
        if isinstance(plain, FunctionType) and plain.__module__ == module and not name.startswith("_"):
            names[name] = _spoken(module, plain)


def _spoken(module: str, plain: Callable[..., Any]) -> Callable[..., Any]:
    @functools.wraps(plain)
    def say(*values: Any, **named: Any) -> Any:
        said = plain(*values, **named)
        other = getattr(_OTHERS.get((_SPOKEN.get(), module)), plain.__name__, None)
        if other is None:
            return said
        if isinstance(said, ShopProblem):
            said.says, said.do = other(*values, **named)
            return said
        return other(*values, **named)

    return say
