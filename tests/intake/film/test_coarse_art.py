"""Artwork of few pixels, released by somebody as it is: its runs are proved like others."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from intake.sandbox import Sandbox
from intake.shop import Shop
from tests.intake.film.film_shop import Kind, as_bytes, badge, draw, photo, proved, run_of

SIZE_MM = (80.0, 60.0)
COARSE_PPI = (40.0, 22.0, 9.0)


def test_few_pixels_are_proved_and_others_are_not(shop: Shop, sandbox: Sandbox, tmp_path: Path) -> None:
    """From 40 down to 9 ppi, smoothed by the reader or in blocks; another picture in its place is noticed."""
    kinds = [
        kind
        for ppi in COARSE_PPI
        for kind in (
            Kind(f"badge{ppi:g}.png", as_bytes(badge(SIZE_MM, 3, ppi)), SIZE_MM, 1),
            Kind(f"photo{ppi:g}.png", as_bytes(photo(SIZE_MM, 3, ppi)), SIZE_MM, 1, turned=True),
        )
    ]
    made = draw(shop, run_of(shop, kinds), sandbox, tmp_path / "run.pdf")
    assert proved(made.plan) == []
    (page,) = made.plan.pages
    arts = [piece.art for piece in page.pieces]
    swapped = tuple(replace(p, art=art) for p, art in zip(page.pieces, arts[1:] + arts[:1], strict=True))
    found = proved(replace(made.plan, pages=(replace(page, pieces=swapped),)))
    told = " ".join(fault.says for fault in found)
    assert all(f"Piece {piece.number} " in told for piece in page.pieces)
