"""What is wrong with an order document, in sentences that name the key and the nearest known one."""

from __future__ import annotations

import difflib
import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from intake.order.fields import shown
from tickets.problems import OrderRefused

# The most telling error names the whole refusal: a path that leads out, then a misspelt key, for that is
# mostly why another one is missing.
_TELLING = (
    "artwork-leads-out",
    "order-unknown-key",
    "order-missing-key",
    "artwork-temporary-name",
    "order-wrong-value",
)
_DO = "Mend what is named and drop the file again."
_NEAR_ENOUGH = 0.6
_WANTED = {
    "string_type": "must be a text in quotes",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "int_parsing_size": "must be a whole number of ordinary size",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "list_type": "must be a list in [ ]",
    "dict_type": "must be an object in { }",
    "model_type": "must be an object in { }",
    "model_attributes_type": "must be an object in { }",
}


@dataclass(frozen=True, slots=True)
class Wrong:
    """One error: its slug and its sentence."""

    slug: str
    says: str


def refusal(errors: list[Wrong]) -> OrderRefused:
    """One refusal for all errors of a file, under the slug of the most telling one."""
    slugs = {e.slug for e in errors}
    slug = next((s for s in _TELLING if s in slugs), errors[0].slug)
    return OrderRefused(slug, list(dict.fromkeys(e.says for e in errors)), _DO)


def explain(error: ValidationError, document: type[BaseModel]) -> list[Wrong]:
    """A sentence for each error that pydantic found, in the order of the file."""
    return [_explain(found, document) for found in error.errors(include_url=False)]


def _explain(found: Any, document: type[BaseModel]) -> Wrong:
    kind, path = found["type"], found["loc"]
    where = json_path(path)
    if kind == "extra_forbidden":
        return Wrong("order-unknown-key", f"{where} is not a key of an order file.{_hint(path, document)}")
    if kind == "missing":
        return Wrong("order-missing-key", f"{where} is missing.")
    if kind in ("order-wrong-value", "artwork-leads-out", "artwork-temporary-name"):
        return Wrong(kind, f"{where}: {found['ctx']['says']}.")
    return Wrong("order-wrong-value", f"{where} {_wanted(kind, found)}.")


def _wanted(kind: str, found: Any) -> str:
    value, limits = found["input"], found.get("ctx") or {}
    got = f", not {_got(value)}"
    if kind in _WANTED:
        return _WANTED[kind] + got
    if kind == "greater_than_equal":
        return f"must be at least {limits['ge']:g}{got}"
    if kind == "less_than_equal":
        return f"must be at most {limits['le']:,g}{got}" if limits["le"] < 1e6 else f"is too large{got}"
    if kind == "literal_error":
        return f"must be {limits['expected'].replace(chr(39), chr(34))}{got}"
    if kind == "too_short":
        return "must hold at least one"
    if kind == "too_long":
        return f"holds more than {limits['max_length']:,}"
    return f"cannot be used{got}"


def _got(value: Any) -> str:
    if isinstance(value, str):
        return f"the text {shown(value)}"
    if isinstance(value, list):
        return "a list"
    return "an object" if isinstance(value, dict) else shown(value)


def json_path(path: tuple[int | str, ...]) -> str:
    """Where in the file: `items[0].width_mm`."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        elif part != "[key]":  # pydantic's mark for the key of a free table
            text += f".{_key(part)}" if text else _key(part)
    return text or "the order"


def _key(key: str) -> str:
    plain = key.isidentifier() and len(key) <= 60
    return key if plain else shown(key)


def _hint(path: tuple[int | str, ...], document: type[BaseModel]) -> str:
    key = str(path[-1])
    here = _model_at(path[:-1], document)
    near = difflib.get_close_matches(key.lower(), list(here.model_fields), 1, _NEAR_ENOUGH) if here else []
    if near:
        return f' Did you mean "{near[0]}"?'
    elsewhere = [
        (f, place) for f, place in _all_keys(document, "") if f == key.lower() and place != _place(path)
    ]
    if elsewhere:
        return f' "{elsewhere[0][0]}" belongs in {elsewhere[0][1] or "the order itself"}.'
    return ' Keys of your own begin with "x-".'


def _place(path: tuple[int | str, ...]) -> str:
    return json_path(tuple(p for p in path[:-1] if not isinstance(p, int)))


def _all_keys(model: type[BaseModel], place: str) -> Iterator[tuple[str, str]]:
    for name, known in model.model_fields.items():
        yield name, place
        inner = _model_in(known.annotation)
        if inner:
            yield from _all_keys(inner, f"{place}.{name}" if place else name)


def _model_at(path: tuple[int | str, ...], document: type[BaseModel]) -> type[BaseModel] | None:
    model: type[BaseModel] | None = document
    for part in path:
        if isinstance(part, str):
            known = model.model_fields.get(part) if model else None
            model = _model_in(known.annotation) if known else None
    return model


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and not isinstance(annotation, types.GenericAlias):
        return annotation if issubclass(annotation, BaseModel) else None
    return next((m for a in get_args(annotation) if (m := _model_in(a))), None)
