"""The description of the JSON twins (OpenAPI): what they take, what they answer, and what is refused how."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

from fastapi import FastAPI

from tickets.web.gate import COOKIE, TOKEN_HEADER

PREFIX = "/api/"
# The statuses with which a twin may refuse; the answer is always a slug, what is wrong, and what to do.
REFUSALS = {
    "400": "What was sent is not what it says it is.",
    "401": "The device is not let in.",
    "403": "The device may not do this, or the token of its pages is missing.",
    "404": "There is no such thing in the books.",
    "405": "It takes no such method.",
    "409": "It cannot be done as things stand.",
    "413": "More was sent than is taken.",
    "422": "What was sent cannot be read.",
    "500": "A fault in the program.",
    "503": "Something of the shop's own, such as its database, is not as it must be.",
}
_TEXT = {"type": "string"}
_PROBLEM = {
    "type": "object",
    "required": ["slug", "says", "do"],
    "properties": {"slug": _TEXT, "says": _TEXT, "do": _TEXT},
}
_SCHEMES = {
    "device": {"type": "apiKey", "in": "cookie", "name": COOKIE, "description": "Given by pairing."},
    "token": {
        "type": "apiKey",
        "in": "header",
        "name": TOKEN_HEADER,
        "description": "Stands as `form-token` in every page of the device.",
    },
}


def describe(app: FastAPI) -> dict[str, Any]:
    """The whole document, of the twins alone: the pages are for people."""
    document = copy.deepcopy(app.openapi())
    document["paths"] = {path: of for path, of in document["paths"].items() if path.startswith(PREFIX)}
    for operations in document["paths"].values():
        for method, operation in operations.items():
            is_change = method != "get"
            operation["security"] = [{"device": [], "token": []} if is_change else {"device": []}]
            operation["responses"] |= {status: _refusal(says) for status, says in REFUSALS.items()}
    schemas = {**document["components"]["schemas"], "Problem": _PROBLEM}
    named = _named(document["paths"], schemas, set())
    document["components"] = {
        "schemas": {name: schema for name, schema in schemas.items() if name in named},
        "securitySchemes": _SCHEMES,
    }
    return document


def _named(part: Any, schemas: dict[str, Any], found: set[str]) -> set[str]:
    """The schemas that a part of the document refers to, and those that these refer to."""
    for name in re.findall(r"#/components/schemas/(\w+)", json.dumps(part)):
        if name not in found:
            found.add(name)
            _named(schemas[name], schemas, found)
    return found


def _refusal(says: str) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Problem"}
    return {"description": says, "content": {"application/json": {"schema": schema}}}
