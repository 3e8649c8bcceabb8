"""Plain Python values out of PDF objects, whatever a stranger wrote there instead."""

from __future__ import annotations

import math
from typing import Any

import pikepdf


def plain_name(value: Any) -> str:
    """A PDF name without its slash; "" for anything else."""
    return str(value)[1:] if isinstance(value, pikepdf.Name) else ""


def inherited(page: Any, key: str) -> Any:
    """A page attribute, looked up through its parents (ISO 32000-1 7.7.3.4), never for ever."""
    node = page
    for _ in range(60):
        if not isinstance(node, pikepdf.Object) or not hasattr(node, "get"):
            return None
        value = node.get(key)
        if value is not None:
            return value
        node = node.get("/Parent")
        if node is None:
            return None
    return None


def number(value: Any, otherwise: float) -> float:
    """A finite number from a PDF object, else `otherwise`."""
    try:
        plain = float(value)
    except (TypeError, ValueError, OverflowError):
        return otherwise
    return plain if math.isfinite(plain) else otherwise


def numbers(value: Any, count: int) -> list[float] | None:
    """The first `count` numbers of a PDF array; None when there are fewer or others."""
    if not isinstance(value, pikepdf.Array) or len(value) < count:
        return None
    found = [number(item, math.nan) for item in list(value)[:count]]
    return None if any(math.isnan(v) for v in found) else found
