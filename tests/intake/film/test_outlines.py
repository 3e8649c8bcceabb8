"""Film is laid by the outlines of real artworks: kept when they come in, made where they are missing."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from PIL import Image
from shapely import Geometry

from intake.cli import main
from intake.film.outlines import OUTLINES, kept_outline, open_outlines, outline_path
from intake.judging import judge_item
from intake.sandbox import Sandbox
from tests.intake.shops import Bench, as_file, make_bench
from tickets.film.judging import too_near
from tickets.film.outlined import outlines_on_film
from tickets.film.placing import ArtKey
from tickets.lookup import unchecked_items
from tickets.lookup.film_runs import stored_run
from tickets.web.film_map import map_of_run

PX, SIDE_MM = 60, 180.0
SETTINGS = '[shop]\nname = "Otter Print"\n[film.laying]\nminute_costs = 0.0\n'
CODES = ("wedge", "mirrored", "disc")


def ink(name: str) -> np.ndarray:
    """A wedge below the diagonal, or a disc."""
    y, x = np.mgrid[0:PX, 0:PX]
    disc: np.ndarray = (x - PX / 2 + 0.5) ** 2 + (y - PX / 2 + 0.5) ** 2 <= (PX / 2) ** 2
    wedge: np.ndarray = y >= x
    return disc if name == "disc" else wedge


def picture(name: str) -> bytes:
    """The same as a file."""
    pixels = np.zeros((PX, PX, 4), np.uint8)
    pixels[ink(name)] = (200, 30, 60, 255)
    if name == "mirrored":
        pixels[..., 2] = 90
    out = io.BytesIO()
    Image.fromarray(pixels, "RGBA").save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, empty_shop: Path) -> Iterator[Bench]:
    """Three orders of art that fills no box, checked by the real workers, waiting at print."""
    bench = make_bench(empty_shop, tmp_path_factory.mktemp("outlines") / "shop", SETTINGS)
    for name in CODES:
        item = {"artwork": f"{name}.png", "width_mm": SIDE_MM, "quantity": 6, "mirrored": name == "mirrored"}
        document = {"order": f"OB-{name}", "customer": {"name": "Rowing Club"}, "items": [item]}
        bench.drop(f"{name}.json", as_file(document))
        bench.drop(f"{name}.png", picture(name))
    bench.settle()
    with Sandbox(bench.shop.settings.sandbox) as sandbox:
        for item_row in unchecked_items(bench.shop.store):
            judge_item(bench.shop, sandbox, item_row)
    for name in CODES:
        bench.shop.ledger.release(f"OB-{name}", "Ines", "may stay")
    yield bench
    bench.shop.close()


def as_printed(name: str) -> Geometry:
    """All its ink in mm, px by px, as it lies on film unturned: mirrored art lies as it came."""
    covered = ink(name)[:, ::-1] if name == "mirrored" else ink(name)
    rows, columns = np.nonzero(covered)
    px_mm = SIDE_MM / PX
    boxes = shapely.box(columns * px_mm, rows * px_mm, (columns + 1) * px_mm, (rows + 1) * px_mm)
    return shapely.union_all(boxes)


def planned(bench: Bench, capsys: pytest.CaptureFixture[str], *more: str) -> list[dict[str, Any]]:
    """The runs of a plan."""
    capsys.readouterr()
    assert main(["film", "plan", "--seconds", "3", "--json", "--shop", str(bench.folder), *more]) == 0
    runs: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["runs"]
    return runs


def placed(piece: dict[str, Any], ink_of: Callable[[str], Geometry], names: dict[str, str]) -> Geometry:
    """A piece's ink on the film (turned: clockwise, y downwards)."""
    lies = ink_of(names[piece["code"]])
    if piece["turned"]:
        lies = shapely.transform(lies, lambda at: np.column_stack([SIDE_MM - at[:, 1], at[:, 0]]))
    return shapely.transform(lies, lambda at: at + np.array([piece["x_mm"], piece["y_mm"]]))


def names_of(bench: Bench) -> dict[str, str]:
    """Which artwork each ticket prints."""
    from tickets.lookup import list_orders

    found = [answer.as_json() for answer in list_orders(bench.shop.store, bench.shop.settings)]
    return {t["code"]: str(o["order"]).removeprefix("OB-") for o in found for t in o["tickets"]}


def test_real_art_is_laid_by_its_ink_and_gaps_hold(shop: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """Wedges lock into each other, on less film than their boxes take; all ink stays 8 mm from other ink."""
    (run,) = planned(shop, capsys)
    assert run["way"] == "outlines"
    names = names_of(shop)
    pieces = np.array([placed(piece, as_printed, names) for piece in run["pieces"]], dtype=object)
    assert len(pieces) == 18
    boxes: list[Geometry] = [shapely.box(*shapely.bounds(piece)) for piece in pieces]
    assert any(shapely.intersects(boxes[a], boxes[b]) for a in range(18) for b in range(a))
    tree = shapely.STRtree(pieces)
    near = tree.query(pieces, predicate="dwithin", distance=8.0 - 1e-3)
    assert (near[0] == near[1]).all(), [float(shapely.distance(pieces[a], pieces[b])) for a, b in near.T]
    right, bottom = shapely.bounds(pieces)[:, 2:].max(axis=0)
    assert right <= 590 + 1e-6
    assert bottom + 18 <= run["length_mm"] + 1e-6


def test_what_was_laid_by_outline_is_printed_so(shop: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """The file of such a run is proved by reading it back; maps show each outline round its ink."""
    (run,) = planned(shop, capsys, "--lay")
    stored = stored_run(shop.shop.store, run["run"])
    with open_outlines(shop.shop) as outlines:
        forms = outlines_on_film(stored.pieces, outlines)
        drawn, _ = map_of_run(stored, outlines)
    names = names_of(shop)
    for piece in stored.pieces:
        told = {"code": piece.code, "turned": piece.turned, "x_mm": piece.x_mm, "y_mm": piece.y_mm}
        shown = shapely.union_all([shapely.Polygon(ring) for ring in forms[piece.number]])
        assert shapely.covers(shapely.buffer(shown, 0.01), placed(told, as_printed, names))
    assert drawn.count('<path class="piece"') == 18
    with open_outlines(shop.shop) as outlines:
        assert too_near(stored, 8.0, outlines) == []
        first, second, *rest = stored.pieces
        onto = replace(first, x_mm=second.x_mm + 3.0, y_mm=second.y_mm)
        near = too_near(replace(stored, pieces=(onto, second, *rest)), 8.0, outlines)
        assert (1, 2, 0.0) in [(one.number, other.number, mm) for one, other, mm in near]
    assert main(["film", "file", run["run"], "--json", "--shop", str(shop.folder)]) == 0
    assert json.loads(capsys.readouterr().out)["pieces"] == 18
    assert main(["film", "drop", run["run"], "--shop", str(shop.folder)]) == 0


def test_an_outline_is_kept_and_made_again(shop: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """The check keeps it; without it, or with what is no outline in its place, a plan makes the same anew."""
    folder = shop.shop.derived / OUTLINES
    kept = {path.name: path.read_bytes() for path in folder.glob("*.json")}
    assert len(kept) == 3
    key = ArtKey(next(iter(kept)).split("-")[0], 1, SIDE_MM, SIDE_MM)
    assert kept_outline(shop.shop, key)
    for wrong in (b"[[[0,0],[9,9],[1e9,4]]]", b"[[[0,0],[9,9]]]", b"{", b'[[["a",0],[1,1],[2,0]]]', b"7"):
        outline_path(shop.shop, key).write_bytes(wrong)
        assert kept_outline(shop.shop, key) is None
    for path in list(folder.glob("*.json"))[1:]:
        path.unlink()
    assert [run["way"] for run in planned(shop, capsys)] == ["outlines"]
    assert {path.name: path.read_bytes() for path in folder.glob("*.json")} == kept
