"""Which papers are printed is told from the books alone, on both databases."""

from __future__ import annotations

import pytest

from tests.tickets.front_desk import FrontDesk
from tickets.lookup.printing import PrintQueue, papers_of, printable, unprinted_papers
from tickets.problems import NotFound
from tickets.store import Store


@pytest.fixture
def desk(store: Store) -> FrontDesk:
    """A shop without orders."""
    return FrontDesk(store)


def waiting(queue: PrintQueue, desk: FrontDesk) -> list[str]:
    """The codes that the printer is still to print."""
    queue.read_on(desk.store)
    return [row.code for row in printable(desk.store, queue.waiting)]


def test_a_paper_waits_until_the_answer_to_its_last_asking(desk: FrontDesk) -> None:
    """An answer to an earlier one leaves it waiting; a queue that was away reads the same."""
    (first,), (second,) = desk.take("OB-1"), desk.take("OB-2")
    desk.ledger.note_papered(first, 1, to_print=True)
    desk.ledger.note_papered(second, 1)
    queue = PrintQueue()
    assert waiting(queue, desk) == [first]
    assert [(row.code, row.is_at_printer) for row in unprinted_papers(desk.store)] == [
        (first, True),
        (second, False),
    ]
    (asked,) = queue.waiting.values()
    desk.ledger.ask_print([first, second], "Ines")
    desk.ledger.note_printed({first: asked})
    assert (waiting(queue, desk), waiting(PrintQueue(), desk)) == ([first, second],) * 2
    desk.ledger.note_printed({row.code: row.asked for row in papers_of(desk.store, [first, second])})
    assert (waiting(queue, desk), waiting(PrintQueue(), desk)) == ([], [])
    assert unprinted_papers(desk.store) == []
    assert [row.printed_at is None for row in papers_of(desk.store, ["OB-2", "OB-1", second])] == [False] * 2


def test_a_paper_that_is_not_made_yet_is_asked_for_in_vain(desk: FrontDesk) -> None:
    """And none of the others with it."""
    (made,), (asked,) = desk.take("OB-1"), desk.take("OB-2", verdicts=["query"])
    desk.ledger.note_papered(made, 1)
    with pytest.raises(NotFound, match=f"The paper of {asked} is not made yet"):
        desk.ledger.ask_print([made, asked], "Ines")
    assert waiting(PrintQueue(), desk) == []
