"""What customers read of dispatch: consignment numbers, who collected it, where it goes, nothing internal."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.intake.shops import Bench, as_file, order, png
from tests.intake.test_letters import read, written
from tests.intake.test_papers import taken
from tickets.lookup import due_papers
from tickets.requests import ParcelChange, ScanRequest


def pressed(bench: Bench) -> str:
    """An order of four crests that waits at dispatch; its ticket's code."""
    code = taken(bench, "clear")
    written(bench)
    bench.shop.ledger.scan(ScanRequest(code, "press", catch_up=True))
    return code


def send_now(bench: Bench, code: str, **more: object) -> None:
    """Scan at dispatch."""
    bench.shop.ledger.scan(ScanRequest(code, "dispatch", **more))  # type: ignore[arg-type]


def test_the_message_names_the_consignment_numbers(bench: Bench) -> None:
    """Of parcels that were packed before and of those noted just after; each once."""
    code = pressed(bench)
    bench.shop.ledger.add_parcel("OB-1", ParcelChange(900, "CN 1"))
    send_now(bench, code)
    for number in ("CN 2", "CN 2", None):
        bench.shop.ledger.add_parcel("OB-1", ParcelChange(900, number))
    [name] = written(bench)
    body = read(bench, name)[1]
    assert "has left our house" in body
    assert "\nConsignment numbers: CN 1, CN 2\n" in body


def test_a_number_that_comes_after_the_message_is_told_by_itself(bench: Bench) -> None:
    """Its subject says so; the pieces are named again, and nothing twice."""
    code = pressed(bench)
    send_now(bench, code)
    assert len(written(bench)) == 1
    bench.shop.ledger.add_parcel("OB-1", ParcelChange(900, "CN 7"))
    [name] = written(bench)
    subject, body = read(bench, name)
    assert subject == "Order OB-1: the consignment number"
    assert "What has left our house of your order OB-1 can be followed on its way:" in body
    assert "\nConsignment number: CN 7\n" in body
    assert written(bench) == []


def test_who_collected_it_is_confirmed(bench: Bench) -> None:
    """Without any word of a carrier."""
    code = pressed(bench)
    send_now(bench, code, collected_by="Tom Reed")
    subject, body = read(bench, written(bench)[0])
    assert subject == "Order OB-1: it was collected"
    assert "Your order OB-1 was collected by Tom Reed:" in body
    assert "Consignment" not in body


def test_what_goes_last_is_told_as_the_rest(bench: Bench) -> None:
    """After a part has gone, in the subject and in the sentence."""
    code = pressed(bench)
    bench.wall += timedelta(hours=1)
    send_now(bench, code, good=1, part=True, why="needed on Friday")
    assert read(bench, written(bench)[0])[0] == "Order OB-1: a part of it has left our house"
    bench.wall += timedelta(hours=1)
    send_now(bench, code)
    subject, body = read(bench, written(bench)[0])
    assert subject == "Order OB-1: the rest of it has left our house"
    assert "The rest of your order OB-1 has left our house:" in body


def test_being_ready_names_no_shelf_and_nothing_else_of_ours(bench: Bench) -> None:
    """The shelf, codes and stations are the shop's own."""
    code = pressed(bench)
    bench.shop.ledger.put_on_shelf("OB-1", "SHELF-B3", "Ines")
    subject, body = read(bench, written(bench)[0])
    assert subject == "Order OB-1: ready for collection"
    for internal in ("SHELF-B3", "shelf", code, "Ines", "dispatch", "press"):
        assert internal not in body


def test_an_order_with_an_address_is_sent_and_not_collected(bench: Bench) -> None:
    """Its customer reads where it goes, and is not asked to come."""
    document = {**order("OB-1"), "ship_to": ["Ines Ferro", "The Boathouse"]}
    bench.drop("order.json", as_file(document))
    bench.drop("crest.png", png())
    bench.settle()
    bench.judge()
    written(bench)
    code = due_papers(bench.shop.store)[0].code
    bench.shop.ledger.scan(ScanRequest(code, "press", catch_up=True))
    subject, body = read(bench, written(bench, timedelta(hours=1))[0])
    assert subject == "Order OB-1: ready to be sent"
    assert "It goes to:\n\n  Ines Ferro\n  The Boathouse\n\nYou hear from us again" in body
    assert "collect" not in body


@pytest.mark.parametrize("words", ["Tom\r\nBcc: all@else.example", "Tom {{ order }} {% raw %}"])
def test_names_are_words_and_never_parts_of_a_message(bench: Bench, words: str) -> None:
    """Whoever types a line end or a template's signs has them shown as what they are."""
    code = pressed(bench)
    send_now(bench, code, collected_by=words)
    name = written(bench)[0]
    head = (bench.shop.outbox / "OB-1" / name).read_bytes().split(b"\r\n\r\n", 1)[0]
    assert b"Bcc" not in head
    assert "OB-1 {%" not in read(bench, name)[1]
