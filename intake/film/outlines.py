"""The outline of each artwork's ink, which pieces are laid by: a small file, made where it is missing."""

from __future__ import annotations

import contextlib
import json
import math
import os
from collections.abc import Callable, Collection, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake.durable import write_whole
from intake.film.work import FilmTask, FilmWork
from intake.inbox.claiming import original_path
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.shop import Shop
from tickets.film.model import Ring
from tickets.film.placing import ArtKey

OUTLINES = "outlines"  # below derived/
KEPT_DAYS = 60
MOST_BYTES = 64_000  # a ring has few corners: see tickets.film.outlining
_AT_ONCE = 8

Rings = tuple[Ring, ...]


def outline_path(shop: Shop, key: ArtKey) -> Path:
    """Where the outline of an artwork at one size lies."""
    return shop.derived / OUTLINES / f"{key.name}.json"


def keep_outline(shop: Shop, key: ArtKey, rings: Rings) -> None:
    """Keep an outline; none (the box serves as well) is kept too, so that nobody looks again."""
    rounded = [[[round(x, 3), round(y, 3)] for x, y in ring] for ring in rings]
    content = json.dumps(rounded, separators=(",", ":")).encode("ascii")
    write_whole(outline_path(shop, key), content if len(content) <= MOST_BYTES else b"[]")


@dataclass(frozen=True)
class ShopOutlines:
    """Answers with the outlines of artworks (tickets.film.outlined.Outlines).

    `sandbox`: asked for only where one is missing. `says`: told how many have to be made first.
    """

    shop: Shop
    sandbox: Callable[[], Sandbox]
    says: Callable[[int], None] = lambda _count: None

    def __call__(self, keys: Collection[ArtKey]) -> Mapping[ArtKey, Rings]:
        """The outlines of these, in mm at their size. What can't be opened any more is laid by its box."""
        found = {key: rings for key in keys if (rings := kept_outline(self.shop, key)) is not None}
        missing = [key for key in dict.fromkeys(keys) if key not in found]
        missing = [key for key in missing if original_path(self.shop, key.sha256).is_file()]
        if missing:
            self.says(len(missing))
            _forget(self.shop)
            sandbox = self.sandbox()
            with ThreadPoolExecutor(_AT_ONCE, thread_name_prefix="outline") as pool:
                made = pool.map(lambda key: self._make(key, sandbox), missing)
                found |= dict(zip(missing, made, strict=True))
        return found

    def _make(self, key: ArtKey, sandbox: Sandbox) -> Rings:
        settings = self.shop.settings
        job = PreflightJob(
            original_path(self.shop, key.sha256),
            key.sha256,
            settings.limits,
            settings.film,
            page=key.page,
            width_mm=key.width_mm,
            height_mm=key.height_mm,
            film_work=FilmWork(FilmTask.OUTLINE),
        )
        rings = _checked(sandbox.preflight(job).outline, key) or ()
        keep_outline(self.shop, key, rings)
        return rings


@contextlib.contextmanager
def open_outlines(shop: Shop, says: Callable[[int], None] = lambda _count: None) -> Iterator[ShopOutlines]:
    """The shop's outlines with workers of their own, started if one has to be made, and ended afterwards."""
    with contextlib.ExitStack() as stack:
        started: list[Sandbox] = []

        def sandbox() -> Sandbox:
            if not started:
                started.append(stack.enter_context(Sandbox(shop.settings.sandbox)))
            return started[0]

        yield ShopOutlines(shop, sandbox, says)


def kept_outline(shop: Shop, key: ArtKey) -> Rings | None:
    """What was kept, every corner checked; None where there is nothing, or nothing whole."""
    path = outline_path(shop, key)
    try:
        if path.stat().st_size > MOST_BYTES:
            return None
        rings = _checked(json.loads(path.read_text("ascii")), key)
    except (OSError, ValueError, RecursionError):
        return None
    with contextlib.suppress(OSError):
        os.utime(path)
    return rings


def _checked(rings: Any, key: ArtKey) -> Rings | None:
    """Rings of three corners at least, all within the artwork's box: their maker opened a stranger's file."""
    try:
        found = tuple(tuple((_at(x, key.width_mm), _at(y, key.height_mm)) for x, y in ring) for ring in rings)
    except (TypeError, ValueError):
        return None
    return found if all(len(ring) >= 3 for ring in found) else None


def _at(value: Any, most_mm: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{value!r} is no length")
    if not -0.01 <= value <= most_mm + 0.01:
        raise ValueError(f"{value!r} mm is not within the artwork")
    return min(max(float(value), 0.0), most_mm)


def _forget(shop: Shop) -> None:
    """Remove outlines that no plan has asked for in two months: they can be made again."""
    before = shop.clock().timestamp() - KEPT_DAYS * 86_400
    for path in (shop.derived / OUTLINES).glob("*.json"):
        with contextlib.suppress(OSError):
            if path.stat().st_mtime < before:
                path.unlink()
