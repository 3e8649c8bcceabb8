"""Rounds of the intake on a real shop: what becomes of zips."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from intake.inbox.claiming import original_path
from tests.intake.shops import Bench, as_file, order, png, zipped

Benches = Callable[..., Bench]


def test_a_zip_with_order_and_artwork_is_taken(bench: Bench) -> None:
    """Its files are known by their paths in it; the zip itself is kept too."""
    archive = zipped(order__json=as_file(order()), crest__png=png(), readme__txt=b"hello")
    bench.drop("Otter/job.zip", archive)
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.lying() == []
    assert bench.standing("Otter/job.zip") == "taken"
    assert bench.files()["Otter/job.zip/crest.png"]["order"] == "OB-1"
    assert "not named" in bench.files()["Otter/job.zip"]["says"]
    assert original_path(bench.shop, hashlib.sha256(archive).hexdigest()).read_bytes() == archive


def test_an_order_in_a_zip_may_have_its_artwork_beside_it_and_the_other_way_round(bench: Bench) -> None:
    """A zip counts as lying in its folder, whichever of the two holds the order."""
    bench.drop("a/job.zip", zipped(order__json=as_file(order("OB-1"))))
    bench.settle()
    assert bench.standing("a/job.zip") == "waiting"
    bench.drop("a/crest.png", png())
    bench.drop("b/order.json", as_file(order("OB-2")))
    bench.drop("b/art.zip", zipped(crest__png=png(5)))
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert bench.lying() == []


def test_orders_of_one_zip_are_taken_once_even_over_a_restart(bench: Bench) -> None:
    """One order of the zip waits; the other is not taken again when the daemon starts anew."""
    archive = zipped(
        a__json=as_file(order("OB-1", "a.png")),
        a__png=png(1),
        b__json=as_file(order("OB-2", "b.png")),
        c__json=b'{"order": 1}',
    )
    bench.drop("job.zip", archive)
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.standing("job.zip/c.json") == "refused order-missing-key"
    bench.restart()
    bench.settle()
    assert bench.standing("job.zip/a.json") == "taken"
    bench.drop("b.png", png(2))
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert bench.standing("job.zip") == "taken"
    assert bench.lying() == []
