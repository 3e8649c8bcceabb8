"""Rounds of the intake on a real shop: orders and artwork find each other."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from datetime import timedelta

from intake.inbox.claiming import original_path
from tests.intake.shops import Bench, as_file, order, png
from tickets.lookup import order_answer

Benches = Callable[..., Bench]


def test_an_order_and_its_artwork_are_taken_once_they_have_settled(bench: Bench) -> None:
    """Both leave the inbox, both are kept under their hash, and the books hold the order."""
    bench.drop("Otter Bank/order.json", as_file(order()))
    bench.drop("Otter Bank/crest.png", png())
    bench.round()
    assert bench.standing("Otter Bank/crest.png") == "settling"
    bench.round(2.9)
    assert bench.numbers() == []
    bench.round(0.2)
    assert bench.numbers() == ["OB-1"]
    assert bench.lying() == []
    row = bench.files()["Otter Bank/crest.png"]
    assert (row["standing"], row["order"], row["sha256"]) == (
        "taken",
        "OB-1",
        hashlib.sha256(png()).hexdigest(),
    )
    assert original_path(bench.shop, row["sha256"]).read_bytes() == png()


def test_files_that_lay_there_at_the_start_settle_like_all_others(bench: Bench) -> None:
    """A daemon that has only just started has no idea since when a file is unchanged."""
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png())
    os.utime(path, (0, 0))
    bench.restart()
    bench.round()
    assert bench.numbers() == []


def test_a_file_that_changes_starts_to_settle_anew(bench: Bench) -> None:
    """Growing, the same size with other bytes, and a restored modification time all count as changes."""
    bench.drop("order.json", as_file(order()))
    path = bench.drop("crest.png", png(1))
    bench.round()
    bench.round(2)
    before = path.stat()
    path.write_bytes(png(2))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    bench.round(2)
    assert bench.numbers() == []
    bench.round(3)
    assert bench.files()["crest.png"]["sha256"] == hashlib.sha256(png(2)).hexdigest()


def test_artwork_may_come_long_after_its_order(bench: Bench) -> None:
    """The order waits, says for what, is listed as lacking its artwork after the grace, and is taken."""
    bench.drop("order.json", as_file(order()))
    bench.settle()
    assert bench.standing("order.json") == "waiting"
    assert "crest.png" in bench.files()["order.json"]["says"]
    bench.round(601)
    assert bench.standing("order.json") == "waiting artwork-missing"
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]


def test_artwork_may_come_before_its_order(bench: Bench) -> None:
    """Artwork without an order waits, is listed, and is taken with its order."""
    bench.drop("crest.png", png())
    bench.settle()
    bench.round(60)
    assert bench.standing("crest.png") == "waiting"
    bench.drop("order.json", as_file(order()))
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    assert bench.lying() == []


def test_a_broken_order_is_refused_with_every_error_and_lies_in_refused(bench: Bench) -> None:
    """Its bytes are kept, the note beside it names the wrong key and the right one, the inbox is clear."""
    wrong = as_file({"order": "OB-1", "itms": []})
    bench.drop("order.json", wrong)
    bench.settle()
    assert bench.standing("order.json") == "refused order-unknown-key"
    (day,) = bench.shop.refused.iterdir()
    assert day.name == "2026-11-02"
    assert (day / "order.json").read_bytes() == wrong
    note = (day / "order.json.txt").read_text(encoding="utf-8")
    assert "itms" in note
    assert "items" in note
    assert "customer is missing" in note
    assert bench.lying() == []
    assert original_path(bench.shop, hashlib.sha256(wrong).hexdigest()).read_bytes() == wrong


def test_two_refused_files_of_one_name_both_lie_in_refused(bench: Bench) -> None:
    """A name that is taken gets a part of the hash; nothing is overwritten."""
    for content in (b"[]", b"[1]"):
        bench.drop("order.json", content)
        bench.settle()
    kept = {p.read_bytes() for p in bench.shop.refused.rglob("*.json")}
    assert kept == {b"[]", b"[1]"}
    assert len(list(bench.shop.refused.rglob("*.txt"))) == 2


def test_the_same_order_dropped_again_is_a_duplicate(bench: Bench) -> None:
    """With or without its artwork, it leaves the inbox and nothing is made twice."""
    for _ in range(2):
        bench.drop("order.json", as_file(order()))
        bench.drop("crest.png", png())
        bench.settle()
    assert bench.standing("order.json") == "duplicate"
    bench.drop("again.json", as_file({**order(), "x-sent": 2}))
    bench.settle()
    assert bench.standing("again.json") == "duplicate"
    assert bench.numbers() == ["OB-1"]
    assert bench.lying() == []


def test_the_same_number_with_other_content_is_a_conflict_for_a_person(bench: Bench) -> None:
    """It is kept, listed, and laid into refused/ with a note, at once and without waiting for artwork."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    other = as_file(order(artwork="other.png"))
    bench.drop("order2.json", other)
    bench.settle()
    assert bench.standing("order2.json") == "conflict order-conflict"
    assert [p.read_bytes() for p in bench.shop.refused.rglob("order2.json")] == [other]
    assert "decide" in next(iter(bench.shop.refused.rglob("*.txt"))).read_text(encoding="utf-8")
    assert bench.lying() == []


def test_one_artwork_serves_two_orders_that_lie_beside_it(bench: Bench) -> None:
    """Neither order waits for a file that the other one has taken along."""
    bench.drop("a.json", as_file(order("OB-1")))
    bench.drop("b.json", as_file(order("OB-2")))
    bench.drop("crest.png", png())
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert bench.lying() == []


def test_a_later_order_may_name_artwork_that_came_earlier(bench: Bench) -> None:
    """After a moment in which its own could still come, the one that came before is used, and it says so."""
    bench.drop("Otter/order.json", as_file(order()))
    bench.drop("Otter/crest.png", png())
    bench.settle()
    bench.drop("Otter/next.json", as_file(order("OB-2")))
    bench.settle()
    assert bench.standing("Otter/next.json") == "waiting"
    bench.round(10)
    assert bench.numbers() == ["OB-1", "OB-2"]
    assert "came with order OB-1" in bench.files()["Otter/next.json"]["says"]


def test_artwork_of_another_folder_is_never_used(bench: Bench) -> None:
    """The same name in another customer's folder is another picture."""
    bench.drop("Otter/order.json", as_file(order()))
    bench.drop("Otter/crest.png", png())
    bench.settle()
    bench.drop("Heron/order.json", as_file(order("HB-1")))
    bench.settle()
    bench.round(3000)
    assert bench.numbers() == ["OB-1"]


def test_an_old_name_with_two_contents_is_a_question(bench: Bench) -> None:
    """Which of the two is meant nobody can know: the order waits until the right one is dropped."""
    for number, shade in (("OB-1", 1), ("OB-2", 2)):
        bench.drop("order.json", as_file(order(number)))
        bench.drop("crest.png", png(shade))
        bench.settle()
    bench.drop("third.json", as_file(order("OB-3")))
    bench.settle()
    bench.round(10)
    assert bench.standing("third.json") == "waiting artwork-ambiguous"
    bench.drop("crest.png", png(2))
    bench.settle()
    assert bench.numbers() == ["OB-1", "OB-2", "OB-3"]


def test_old_artwork_is_forgotten_after_the_days_of_the_setting(new_bench: Benches) -> None:
    """What came longer ago than `reuse_days` is not used."""
    bench = new_bench("[intake]\nreuse_days = 2\n")
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png())
    bench.settle()
    bench.wall += timedelta(days=3)
    bench.drop("next.json", as_file(order("OB-2")))
    bench.settle()
    bench.round(60)
    assert bench.numbers() == ["OB-1"]


def test_artwork_of_an_earlier_order_is_found_by_its_number(bench: Bench) -> None:
    """`artwork_of` looks into that order, wherever it came from; an unknown number waits."""
    document = order("HB-2")
    document["items"][0]["artwork_of"] = "OB-1"
    bench.drop("Heron/order.json", as_file(document))
    bench.settle()
    assert "OB-1" in bench.files()["Heron/order.json"]["says"]
    bench.drop("Otter/order.json", as_file(order()))
    bench.drop("Otter/crest.png", png())
    bench.settle()
    bench.round(4)
    assert bench.numbers() == ["HB-2", "OB-1"]


def test_corrected_artwork_alone_revises_an_item_that_is_queried(bench: Bench) -> None:
    """It is checked anew under the same order; the file is taken and cleared."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png(1))
    bench.settle()
    bench.judge("query")
    bench.drop("crest.png", png(2))
    bench.settle()
    bench.round(10)
    assert bench.standing("crest.png") == "taken"
    assert bench.lying() == []
    bench.judge("clear")
    answer = order_answer(bench.shop.store, bench.shop.settings, "OB-1").as_json()
    assert answer["standing"] == "in work"
    assert answer["tickets"][0]["artwork_sha256"] == hashlib.sha256(png(2)).hexdigest()


def test_other_artwork_for_an_item_in_work_is_a_conflict(bench: Bench) -> None:
    """Nobody may change what is being printed; the bytes are kept for a person to decide."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png(1))
    bench.settle()
    bench.judge("clear")
    bench.drop("crest.png", png(2))
    bench.settle()
    bench.round(10)
    assert bench.standing("crest.png").startswith("conflict")
    assert [p.read_bytes() for p in bench.shop.refused.rglob("crest.png")] == [png(2)]
    bench.drop("crest.png", png(1))
    bench.settle()
    bench.round(10)
    assert bench.standing("crest.png") == "duplicate"


def test_artwork_is_never_a_conflict_while_its_order_may_still_come(bench: Bench) -> None:
    """A customer whose files are all called design.png drops the picture first, the order seconds later."""
    bench.drop("order.json", as_file(order("OB-1", "design.png")))
    bench.drop("design.png", png(1))
    bench.settle()
    bench.judge("clear")
    bench.drop("design.png", png(2))
    bench.settle()
    bench.round(5)
    bench.drop("next.json", as_file(order("OB-2", "design.png")))
    bench.round(2)
    bench.round(4)
    assert bench.numbers() == ["OB-1", "OB-2"]


def test_names_are_matched_composed_and_without_case(bench: Bench) -> None:
    """A Mac's decomposed name and another case are found; two that are alike are a question."""
    bench.drop("order.json", as_file(order(artwork="Caf\u00e9.png")))
    bench.drop("cafe\u0301.PNG", png())
    bench.settle()
    assert bench.numbers() == ["OB-1"]
    bench.drop("order.json", as_file(order("OB-2", "Logo.png")))
    bench.drop("LOGO.png", png(1))
    bench.drop("logo.png", png(2))
    bench.settle()
    assert bench.standing("order.json") == "waiting artwork-ambiguous"


def test_a_corrected_artwork_is_the_one_that_later_orders_mean(bench: Bench) -> None:
    """What it replaced is no second meaning of the name."""
    bench.drop("order.json", as_file(order()))
    bench.drop("crest.png", png(1))
    bench.settle()
    bench.judge("query")
    bench.drop("crest.png", png(2))
    bench.settle()
    bench.round(10)
    bench.judge("clear")
    bench.drop("next.json", as_file(order("OB-2")))
    bench.settle()
    bench.round(10)
    assert bench.standing("next.json") == "taken"
    answer = order_answer(bench.shop.store, bench.shop.settings, "OB-2").as_json()
    assert answer["order"] == "OB-2"
