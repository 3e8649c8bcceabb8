"""What a packing slip lists: garments are counted where prints share them, and nothing is lost or doubled."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tickets.packing import Counts, PackedItem, pack_items
from tickets.wording_packing import line_name, total

SIZES = (("S", 10), ("M", 20), ("L", 10))


def packed_item(number: int, sent: int = 40, **more: object) -> PackedItem:
    """An item of which so many pieces go; all that was ordered unless `ordered` says otherwise."""
    known: dict[str, object] = {"artwork": f"{number}.png", "service": "pressed", "garment": "navy hoodie"}
    rest = {name: more.pop(name, 0) for name in ("before", "follows", "cancelled")}
    counts = Counts(sent, ordered=more.pop("ordered", sent), **rest)  # type: ignore[arg-type]
    return PackedItem(number, counts=counts, **{**known, **more})  # type: ignore[arg-type]


def test_forty_hoodies_with_chest_and_back_are_forty_garments() -> None:
    """Prints of one set are one line; its sizes stand once."""
    packed = pack_items([packed_item(n, garment_set="hoodies", sizes=SIZES) for n in (1, 2)])
    (line,) = packed.here
    assert (line.count, line.unit, line.name, line.sizes) == (40, "garments", "navy hoodie", SIZES)
    assert [print_.item for print_ in line.prints] == [1, 2]
    assert packed.garments == 40
    assert total(packed, 2) == "In all: 40 garments, in 2 parcels"


def test_prints_without_a_set_are_garments_of_their_own() -> None:
    """Two items of forty are eighty, and another set is another line."""
    packed = pack_items([packed_item(1), packed_item(2), packed_item(3, 5, garment_set="caps")])
    assert [line.count for line in packed.here] == [40, 40, 5]
    assert packed.garments == 85


def test_transfers_are_counted_by_the_print_whatever_set_they_name() -> None:
    """They lie in the parcel one by one, on no garment."""
    packed = pack_items([packed_item(n, 30, service="transfers", garment_set="h") for n in (1, 2)])
    assert (packed.garments, packed.transfers) == (0, 60)
    assert total(packed, 0) == "In all: 60 transfers"


def test_a_part_says_of_how_many_and_what_follows() -> None:
    """Sizes are left out: which ones a part holds is not known."""
    packed = pack_items([packed_item(1, 12, follows=8, ordered=20, sizes=(("S", 20),))])
    assert line_name(packed.here[0]) == "garments: navy hoodie (of 20 ordered)"
    assert packed.here[0].sizes == ()
    assert [(line.count, line.unit) for line in packed.follows] == [(8, "garments")]
    assert packed.before == ()


def test_cancelled_pieces_are_told() -> None:
    """Who ordered twenty and gets eighteen reads why."""
    packed = pack_items([packed_item(1, 18, cancelled=2, ordered=20)])
    assert line_name(packed.here[0]) == "garments: navy hoodie (of 20 ordered, 2 cancelled)"


def test_prints_of_one_garment_that_differ_in_number_are_pointed_out() -> None:
    """As many garments as the most frequent print; a person counts."""
    packed = pack_items(
        [packed_item(1, 40, garment_set="h"), packed_item(2, 38, garment_set="h", ordered=40)]
    )
    assert (packed.here[0].count, packed.here[0].is_uneven) == (40, True)
    assert not pack_items([packed_item(1)]).here[0].is_uneven


ITEMS = st.lists(
    st.tuples(st.integers(0, 9), st.sampled_from(["", "a", "b"]), st.sampled_from(["pressed", "transfers"])),
    max_size=8,
)


@given(ITEMS)
def test_every_print_that_goes_stands_on_the_slip_once(items: list[tuple[int, str, str]]) -> None:
    """Whatever is shared: no print is lost or told twice; a line has as many as its most frequent."""
    asked = [
        packed_item(n, sent, garment_set=name, service=service)
        for n, (sent, name, service) in enumerate(items, 1)
    ]
    packed = pack_items(asked)
    told = [(p.item, p.count) for line in packed.here for p in line.prints]
    assert sorted(told) == [(n, sent) for n, (sent, _, _) in enumerate(items, 1) if sent]
    assert all(line.count == max(p.count for p in line.prints) for line in packed.here)
    assert packed.garments <= sum(sent for sent, _, service in items if service == "pressed")
