"""Which layers of a PDF are switched off, so that what they hold is not measured."""

from __future__ import annotations

from typing import Any

import pikepdf

from intake.reading.pdf_values import plain_name

_MOST_LAYERS = 5000


class Layers:
    """Optional content as the document's default setting shows it (ISO 32000-1 8.11)."""

    def __init__(self, root: Any) -> None:
        self._base_off = False
        self._on: set[tuple[int, int]] = set()
        self._off: set[tuple[int, int]] = set()
        properties = root.get("/OCProperties")
        setting = properties.get("/D") if isinstance(properties, pikepdf.Dictionary) else None
        if isinstance(setting, pikepdf.Dictionary):
            self._base_off = plain_name(setting.get("/BaseState")) == "OFF"
            self._on = _objects(setting.get("/ON"))
            self._off = _objects(setting.get("/OFF"))

    def is_hidden(self, content: Any) -> bool:
        """Whether content that belongs to this group or membership dictionary is not shown."""
        if not isinstance(content, pikepdf.Dictionary):
            return False
        if plain_name(content.get("/Type")) != "OCMD":
            return self._group_is_off(content)
        groups = content.get("/OCGs")
        if isinstance(groups, pikepdf.Dictionary):
            return self._group_is_off(groups)
        if not isinstance(groups, pikepdf.Array) or len(groups) == 0:
            return False
        off = [
            self._group_is_off(group)
            for group in list(groups)[:_MOST_LAYERS]
            if isinstance(group, pikepdf.Dictionary)
        ]
        if not off:
            return False
        policy = plain_name(content.get("/P")) or "AnyOn"
        shown = {"AllOn": not any(off), "AnyOff": any(off), "AllOff": all(off)}.get(policy, not all(off))
        return not shown

    def _group_is_off(self, group: Any) -> bool:
        usage = group.get("/Usage")
        view = usage.get("/View") if isinstance(usage, pikepdf.Dictionary) else None
        state = plain_name(view.get("/ViewState")) if isinstance(view, pikepdf.Dictionary) else ""
        if state:  # what the renderer goes by first
            return state == "OFF"
        key = group.objgen
        if key in self._off:
            return True
        return self._base_off and key not in self._on


def _objects(groups: Any) -> set[tuple[int, int]]:
    if not isinstance(groups, pikepdf.Array):
        return set()
    return {group.objgen for group in list(groups)[:_MOST_LAYERS] if isinstance(group, pikepdf.Dictionary)}
