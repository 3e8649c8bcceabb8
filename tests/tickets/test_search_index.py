"""The search indexes are changed with the books, by the database itself, and can be made anew."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA
from sqlalchemy import text
from sqlmodel import Session, select

from tests.stores import Home
from tests.tickets.front_desk import FrontDesk, item
from tickets.models import Order
from tickets.search import create_search, drop_search, is_search_object, refill_search
from tickets.search.index import index_order
from tickets.search.reading import search_index
from tickets.search.slips import likeness, numbers_near, one_slip_from, slips_allowed
from tickets.search.terms import Line, Searchable, order_lines, words_to_spell
from tickets.store import Store


def found(session: Session, *terms: str, live: bool = True) -> set[int]:
    """The orders that hold all of these terms."""
    return {
        hit.order_id
        for hit in search_index(session.connection()).orders([[t] for t in terms], live=live, most=50)
    }


def test_an_order_is_indexed_and_closed_with_its_row(store: Store) -> None:
    """Taken: among the live ones; closed: among the finished; opened again: live again."""
    desk = FrontDesk(store)
    (code,) = desk.take()
    with store.reading() as session:
        assert found(session, "otter", "crest") == {1}
        assert found(session, "otter", live=False) == set()
    desk.scan(code, "print", "powder", "cure", "press", "dispatch")
    with store.reading() as session:
        assert found(session, "otter") == set()
        assert found(session, "otter", live=False) == {1}
    desk.ledger.undo(code)
    with store.reading() as session:
        assert found(session, "otter") == {1}


def test_a_changed_name_is_found_and_the_old_one_is_not(store: Store) -> None:
    """The index follows the search text, also for an order that is finished."""
    desk = FrontDesk(store)
    desk.take()
    with store.writing() as session:
        order = session.exec(select(Order)).one()
        order.customer_name = "Puffin Rowing"
        index_order(session, order)
    with store.reading() as session:
        assert found(session, "puffin") == {1}
        assert found(session, "otter") == set()


def test_what_is_rolled_back_was_never_indexed(store: Store) -> None:
    """Order, words and index are one transaction."""
    desk = FrontDesk(store)
    desk.take()
    with pytest.raises(RuntimeError):
        _rename_and_fail(store)
    with store.reading() as session:
        assert found(session, "puffin") == set()
        assert search_index(session.connection()).known(["puffin", "otter"]) == {"otter"}


def _rename_and_fail(store: Store) -> None:
    with store.writing() as session:
        order = session.exec(select(Order)).one()
        order.customer_name = "Puffin Rowing"
        index_order(session, order)
        session.flush()
        raise RuntimeError("the power went")


def test_the_index_can_be_made_anew(store: Store) -> None:
    """Dropped, made and filled again it finds the same; making it twice does no harm."""
    desk = FrontDesk(store)
    desk.take()
    (gone,) = desk.take("OB-2", "Heron Choir", [item("heron.png")])
    desk.scan(gone, "print", "powder", "cure", "press", "dispatch")
    with store.writing() as session:
        connection = session.connection()
        drop_search(connection)
        create_search(connection)
        create_search(connection)
        refill_search(connection)
    desk.take("OB-3", "Fox Band")
    for words, number in (("oter", "OB-1042"), ("hreon", "OB-2"), ("fxo", "OB-3"), ("otterb", "OB-1042")):
        assert desk.numbers(words) == [number]


def test_without_pg_trgm_the_same_is_found(home: Home) -> None:
    """A PostgreSQL server that lacks the extension answers slower, not worse."""
    if home.dialect != "postgresql":
        pytest.skip("only on PostgreSQL")
    store = home.open()
    with store.writing() as session:
        connection = session.connection()
        drop_search(connection)
        connection.execute(text("DROP EXTENSION IF EXISTS pg_trgm CASCADE"))
        for name in ("ix_search_orders", "ix_search_live_orders"):
            connection.execute(text(f"DROP INDEX IF EXISTS {name}"))
    desk = FrontDesk(store)
    desk.take(customer_phone="+44 1632 960123")
    for words in ("otter", "otter bnak", "oetter", "960123", "otterbakn"):
        assert desk.numbers(words) == ["OB-1042"]
    store.close()


def test_only_the_search_s_own_things_are_left_out_of_comparisons() -> None:
    """Migrations are compared with the models: FTS5's tables are none, the table of words is one."""
    assert is_search_object("search_orders")
    assert is_search_object("search_trigrams_data")
    assert is_search_object("ix_search_live_orders")
    assert not is_search_object("search_words")
    assert not is_search_object("orders")
    assert not is_search_object(None)


def test_each_field_has_its_line() -> None:
    """Number, customer, purchase order, address, phone, then artworks and garments; the whole field last."""
    lines = order_lines(
        Searchable(
            number="OB-0042",
            customer_name="Otter Bank RC",
            purchase_order="REGATTA7",
            email="kit@ob.example",
            phone="+44 (1632) 960-123",
            artworks=("In/Crest_v2.PNG", "In/Crest_v2.PNG"),
            garments=("navy T-shirt",),
        )
    )
    assert lines[Line.NUMBER] == "ob 0042 42 ob0042"
    assert lines[Line.CUSTOMER] == "otter bank rc otterbank bankrc otterbankrc"
    assert lines[Line.PURCHASE_ORDER] == "regatta 7 regatta7"
    assert lines[Line.EMAIL] == "kit ob example kitobexample"
    assert lines[Line.PHONE] == "441632960123"
    assert lines[Line.FIRST_ITEM :] == ("crest v2 png crestv2png", "navy t shirt navyt tshirt")
    words = words_to_spell(lines)
    assert {"otter", "otterbank", "441632960123", "tshirt", "regatta", "crest"} <= set(words)
    assert not {"0042", "42", "regatta7", "v2"} & set(words)


words_of_letters = st.text("abcdefghijklmnopqrstuvwxyz", min_size=3, max_size=9)


@settings(max_examples=60)
@given(words_of_letters, st.data())
def test_every_single_slip_is_tried(word: str, data: st.DataObject) -> None:
    """Wrong, missing, extra or swapped: the word that was meant is among those that are looked up."""
    at = data.draw(st.integers(0, len(word) - 1))
    letter = data.draw(st.sampled_from("abcxyz"))
    said = data.draw(
        st.sampled_from(
            [
                word[:at] + letter + word[at + 1 :],
                word[:at] + word[at + 1 :],
                word[:at] + letter + word[at:],
                word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :],
            ]
        )
    )
    assert word == said or word in one_slip_from(said)
    assert all(OSA.distance(said, other) == 1 for other in sorted(one_slip_from(said))[:50])


@pytest.mark.parametrize("word", ["выдра", "שלום", "οτερ"])
def test_slips_in_other_scripts_are_tried(word: str) -> None:
    """A wrong letter of the word's own script."""
    said = word[:1] + word[2:]
    assert word in one_slip_from(said)
    assert likeness(word, said) > 0.5


def test_short_words_are_forgiven_less() -> None:
    """Two letters are what they are; longer words may have more slips, and the beginning counts."""
    assert [slips_allowed("x" * length) for length in (2, 3, 5, 6, 9, 10)] == [0, 1, 1, 2, 2, 3]
    assert likeness("ab", "ac") == 0
    assert likeness("otter", "oter") > likeness("otter", "utter") > 0


def test_numbers_that_look_alike_are_as_good_as_right() -> None:
    """O and 0, I, L and 1; a swap is likelier than a wrong digit; letters do not become digits otherwise."""
    near = numbers_near("ob1o42")
    assert near["ob1042"] == 1.0
    assert numbers_near("ob1024")["ob1042"] > numbers_near("ob1049")["ob1042"]
    assert "ob1042" not in numbers_near("ob1042")
    assert "9b1042" not in numbers_near("ob1042")
