"""The JSON Schema of order files: `python -m intake.order_schema` prints it, `--write` renews the file."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from config.settings import SHIPPED
from intake.order import OrderDocument

SCHEMA_FILE: Path = SHIPPED / "order.schema.json"


def schema() -> dict[str, Any]:
    """The JSON Schema 2020-12 of the order document, as `config/order.schema.json` holds it."""
    made = OrderDocument.model_json_schema()
    for part in (made, *made["$defs"].values()):
        part["patternProperties"] = {"^x-": {}}
        part.pop("title", None)
        for rule in part["properties"].values():
            rule.pop("title", None)
            _leave_out_null(rule)
    sizes = made["$defs"]["Garment"]["properties"]["sizes"]
    ((pattern, pieces),) = sizes.pop("patternProperties").items()
    sizes["propertyNames"]["pattern"] = pattern  # a size by another name is wrong, not just unknown
    sizes["additionalProperties"] = pieces
    made["$defs"]["ItemDocument"]["anyOf"] = [{"required": ["width_mm"]}, {"required": ["height_mm"]}]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "An order for filmdocket: one JSON object a file",
        **made,
    }


def _leave_out_null(rule: dict[str, Any]) -> None:
    """A key that may be left out may not be null: pydantic would allow what the reader refuses."""
    choices = [choice for choice in rule.get("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == 1:
        del rule["anyOf"]
        rule.update(choices[0])
    if rule.get("default", "") is None:
        del rule["default"]


def schema_text() -> str:
    """The schema as text, the same on every run."""
    return json.dumps(schema(), ensure_ascii=True, indent=2) + "\n"


def main(arguments: list[str]) -> int:
    """Print the schema, or write it where it belongs."""
    if arguments == ["--write"]:
        SCHEMA_FILE.write_text(schema_text(), encoding="utf-8")
    else:
        sys.stdout.write(schema_text())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
