"""Orders, judgements, revisions and arrivals in the books: taken exactly once, and nothing forgotten."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlmodel import col, select

from tests.books import Shopfloor, item_draft, order_draft
from tickets.models import Arrival, Event, Original, Revision
from tickets.requests import ArrivalNote, Judgement, Taken


def arrival(name: str = "crest.png", standing: str = "taken", **changes: object) -> ArrivalNote:
    """A file as it lay in the customer's folder."""
    path = f"Otter Bank/{name}"
    note = ArrivalNote(
        path_bytes=path.encode(),
        path=path,
        folder="Otter Bank",
        name_folded=name.casefold(),
        fingerprint="1:2:3",
        standing=standing,
        says="taken as the artwork of OB-1042",
        sha256=f"sha-of-{name}",
    )
    return replace(note, **changes)  # type: ignore[arg-type]


def arrivals(floor: Shopfloor) -> list[Arrival]:
    """All rows of arrivals, oldest first."""
    with floor.store.reading() as session:
        return list(session.exec(select(Arrival).order_by(col(Arrival.id))))


def drop(floor: Shopfloor, sha256: str, name: str = "crest.png", order: str | None = None) -> Taken | None:
    """Drop corrected artwork alone."""
    note = arrival(name, sha256=sha256)
    return floor.ledger.revise_artwork(order, name.casefold(), "Otter Bank", sha256, 10, note)


def test_an_order_is_taken_with_all_that_came_with_it(floor: Shopfloor) -> None:
    """Order, items, first revisions, originals and arrivals are written in one go; no ticket yet."""
    draft = order_draft("OB-1", item_draft(sizes={"S": 10, "M": 30}), item_draft("back.png", 5))
    taken = floor.ledger.take_order(draft, [arrival()], [("sha-of-crest.png", 10), ("sha-of-back.png", 20)])
    assert (taken.outcome, taken.order, taken.says) == ("taken", "OB-1", "OB-1 is taken with 2 items.")
    order, item = floor.order("OB-1"), floor.item("OB-1")
    assert (order.id, order.phone_digits) == (taken.order_id, "441632960123")
    assert "otterbank" in order.search_text.split()
    assert (item.standing, item.revision, item.sizes) == ("unchecked", 1, {"S": 10, "M": 30})
    assert floor.codes("OB-1") == []
    with floor.store.reading() as session:
        assert len(session.exec(select(Original)).all()) == 2
        assert [r.number for r in session.exec(select(Revision))] == [1, 1]
    [row] = arrivals(floor)
    assert (row.standing, row.order_number, row.says) == ("taken", "OB-1", arrival().says)


def test_the_same_order_again_is_a_duplicate(floor: Shopfloor) -> None:
    """Nothing is booked twice, and the arrivals say so."""
    first = floor.take(order_draft())
    again = floor.ledger.take_order(order_draft(), [arrival()], [])
    assert (again.outcome, again.order_id) == ("duplicate", first.order_id)
    [row] = arrivals(floor)
    assert (row.standing, row.order_number, row.says) == ("duplicate", "OB-1042", again.says)


def test_another_content_under_the_same_number_is_a_conflict(floor: Shopfloor) -> None:
    """A person decides; the books stay as they are."""
    floor.take(order_draft())
    taken = floor.ledger.take_order(
        order_draft("OB-1042", item_draft(quantity=41), document_sha256="other"), [arrival()], []
    )
    assert taken.outcome == "conflict"
    assert floor.item("OB-1042").quantity == 40
    assert (arrivals(floor)[0].standing, arrivals(floor)[0].slug) == ("conflict", "order-conflict")


def test_the_same_order_with_new_artwork_revises_what_waits_for_it(floor: Shopfloor) -> None:
    """Items that are queried, refused or not checked yet get it; for an accepted one it is a conflict."""
    draft = order_draft("OB-1", item_draft(), item_draft("back.png", 5))
    floor.take(draft)
    floor.judge("OB-1", "query", 1)
    floor.judge("OB-1", "clear", 2)
    crest = replace(draft.items[0], artwork_sha256="better")
    assert floor.take(replace(draft, items=(crest, draft.items[1]))).outcome == "revised"
    item = floor.item("OB-1", 1)
    assert (item.standing, item.revision, item.artwork_sha256, item.findings) == (
        "unchecked",
        2,
        "better",
        [],
    )
    back = replace(draft.items[1], artwork_sha256="other")
    conflict = floor.take(replace(draft, items=(crest, back)))
    assert conflict.outcome == "conflict"
    assert "it is accepted already" in conflict.says
    assert floor.item("OB-1", 2).artwork_sha256 == draft.items[1].artwork_sha256
    floor.scan(floor.codes("OB-1")[1], "print", 1)
    assert "printing has begun" in floor.take(replace(draft, items=(crest, back))).says


def test_a_clear_judgement_issues_the_ticket(floor: Shopfloor) -> None:
    """Its pieces wait at print; judged twice, or late, nothing more happens."""
    floor.take(order_draft("OB-1", item_draft(), rush=True))
    item = floor.item("OB-1")
    judgement = Judgement(
        item.id or 0, 1, "clear", 90.0, 81.4, ({"check": "soft", "level": "note"},), {"a": 1}
    )
    for _ in range(2):
        floor.ledger.book_judgement(judgement)
    [code] = floor.codes("OB-1")
    assert floor.places(code) == {"print": 40}
    assert (floor.ticket(code).rush, floor.ticket(code).reprint_of_id) == (True, None)
    item = floor.item("OB-1")
    assert (item.standing, item.print_height_mm, item.measures) == ("accepted", 81.4, {"a": 1})
    assert [e.kind for e in floor.events()] == ["taken", "judged", "issued"]


def test_a_question_of_the_order_itself_is_asked_too(floor: Shopfloor) -> None:
    """Sizes that don't add up stop an item whose artwork is clear."""
    query = {"check": "sizes", "level": "query"}
    floor.take(order_draft("OB-1", item_draft(order_queries=(query,))))
    floor.judge("OB-1")
    assert floor.item("OB-1").standing == "queried"
    assert len(floor.codes("OB-1")) == 1


def test_a_refused_item_has_no_ticket_and_may_close_its_order(floor: Shopfloor) -> None:
    """Better artwork opens it again."""
    floor.take(order_draft())
    floor.judge("OB-1042", "refuse", slug="artwork-encrypted")
    item = floor.item("OB-1042")
    assert (item.standing, item.refused_slug, floor.codes("OB-1042")) == ("refused", "artwork-encrypted", [])
    assert floor.order("OB-1042").closed_at is not None
    revised = drop(floor, "better")
    assert revised is not None
    assert revised.outcome == "revised"
    assert floor.order("OB-1042").closed_at is None
    floor.judge("OB-1042")
    assert len(floor.codes("OB-1042")) == 1


def test_a_worse_file_leaves_a_queried_item_queried(floor: Shopfloor) -> None:
    """Its ticket is out already; but no release lets artwork through that can't be printed."""
    floor.take(order_draft())
    floor.judge("OB-1042", "query")
    [code] = floor.codes("OB-1042")
    drop(floor, "worse")
    floor.judge("OB-1042", "refuse", slug="artwork-damaged")
    assert floor.item("OB-1042").standing == "queried"
    assert floor.events()[-1].payload["kept"]
    with pytest.raises(Exception, match="artwork-damaged") as refused:
        floor.ledger.release(code, "Ines")
    assert getattr(refused.value, "slug", "") == "artwork-not-usable"
    drop(floor, "better")
    floor.judge("OB-1042")
    assert floor.codes("OB-1042") == [code]
    floor.scan(code, "print")


def test_an_answer_about_older_artwork_is_ignored(floor: Shopfloor) -> None:
    """The preflight was still at work when the correction came."""
    floor.take(order_draft())
    old = floor.item("OB-1042")
    drop(floor, "better")
    floor.ledger.book_judgement(Judgement(old.id or 0, old.revision, "refuse", None, None, (), {}))
    assert floor.item("OB-1042").standing == "unchecked"


def test_lone_artwork_goes_to_every_item_that_waits_for_it(floor: Shopfloor) -> None:
    """Of that name and folder, in any order; the same bytes once more are a duplicate."""
    for number in ("OB-1", "OB-2"):
        floor.take(order_draft(number, item_draft("Crest.PNG"), item_draft("Crest.PNG", 5)))
        for item in (1, 2):
            floor.judge(number, "query", item)
    floor.take(order_draft("OB-3", item_draft("Crest.PNG"), source_folder="Somebody else"))
    revised = drop(floor, "better", "Crest.PNG")
    assert revised is not None
    assert (revised.outcome, revised.says[:45]) == (
        "revised",
        "Crest.PNG is taken as new artwork for OB-1 an",
    )
    assert [floor.item(n, i).revision for n in ("OB-1", "OB-2") for i in (1, 2)] == [2] * 4
    assert floor.item("OB-3").revision == 1
    again = drop(floor, "better", "Crest.PNG")
    assert again is not None
    assert again.outcome == "duplicate"
    assert [a.standing for a in arrivals(floor)] == ["duplicate"]
    only = drop(floor, "best", "Crest.PNG", "OB-2")
    assert only is not None
    assert [floor.item(n).revision for n in ("OB-1", "OB-2")] == [2, 3]


def test_lone_artwork_for_work_at_hand_is_a_conflict(floor: Shopfloor) -> None:
    """Not for the same bytes, not for a name that nobody ordered, not once the order is done."""
    [code] = floor.accept()
    assert drop(floor, "sha-of-crest.png") is None
    assert drop(floor, "new", "other.png") is None
    assert arrivals(floor) == []
    conflict = drop(floor, "new")
    assert conflict is not None
    assert (conflict.outcome, floor.item("OB-1042").revision) == ("conflict", 1)
    floor.scan(code, "dispatch", catch_up=True)
    assert drop(floor, "new") is None


def test_a_remembered_release_answers_the_same_question(floor: Shopfloor) -> None:
    """For the same bytes, size and garment colour, if the shop wants that; a new kind is asked."""
    remembering = floor.settings.queries.model_copy(update={"remember_releases": True})
    own = floor.with_settings(queries=remembering)
    for number in ("OB-1", "OB-2", "OB-3", "OB-4"):
        own.take(order_draft(number, item_draft(garment_colour="#10213f")))
    own.judge("OB-1", "query")
    own.ledger.release("OB-1", "Ines", "thin is fine")
    own.judge("OB-2", "query")
    assert (own.item("OB-2").standing, own.item("OB-2").released_by) == ("accepted", "Ines")
    own.judge("OB-3", "query", print_width_mm=91.0)
    own.judge("OB-4", "query", findings=({"check": "soft", "level": "query"},))
    assert [own.item(n).standing for n in ("OB-3", "OB-4")] == ["queried", "queried"]
    floor.take(order_draft("OB-5", item_draft(garment_colour="#10213f")))
    floor.judge("OB-5", "query")
    assert floor.item("OB-5").standing == "queried"


def test_papers_and_reports_are_noted_once_and_never_go_back(floor: Shopfloor) -> None:
    """A late note of an older revision changes nothing."""
    [code] = floor.accept()
    item = floor.item("OB-1042")
    for revision in (2, 2, 1):
        floor.ledger.note_papered(code, revision)
        floor.ledger.note_reported(floor.order("OB-1042").id or 0, {item.id or 0: revision})
    assert (floor.ticket(code).papered_revision, floor.item("OB-1042").reported_revision) == (2, 2)
    assert [e.kind for e in floor.events()].count("papered") == 1
    assert [e.kind for e in floor.events()].count("reported") == 1


def test_a_file_has_one_open_row_until_it_is_dealt_with(floor: Shopfloor) -> None:
    """However often it is looked at; when its order is taken, the row says so, and clearing closes it."""
    for says in ("still changing", "settled", "waits for its order"):
        floor.ledger.note_arrival(arrival(standing="settling", says=says, sha256=""))
    floor.ledger.take_order(order_draft(), [arrival()], [])
    [row] = arrivals(floor)
    assert (row.standing, row.is_open, row.is_cleared) == ("taken", True, False)
    assert row.seen_at < row.changed_at
    for _ in range(2):
        floor.ledger.mark_cleared(arrival().path_bytes)
    [row] = arrivals(floor)
    assert (row.is_open, row.is_cleared) == (False, True)
    floor.ledger.note_arrival(arrival(standing="settling", fingerprint="later"))
    assert [a.is_open for a in arrivals(floor)] == [False, True]


def test_a_closed_row_is_not_written_twice_after_a_restart(floor: Shopfloor) -> None:
    """Where taken files stay in the inbox, the note comes closed; the same note again adds nothing."""
    note = arrival(is_open=False, is_cleared=True)
    for _ in range(2):
        floor.ledger.note_arrival(note)
    floor.ledger.note_arrival(replace(note, fingerprint="dropped again"))
    assert len(arrivals(floor)) == 2


def test_a_file_that_vanishes_is_waited_for_no_longer(floor: Shopfloor) -> None:
    """What waited is ignored from now on; what was decided stays decided."""
    floor.ledger.note_arrival(arrival("a.png", "waiting"))
    floor.ledger.note_arrival(arrival("b.png", "refused", slug="artwork-empty"))
    for name in ("a.png", "b.png", "never.png"):
        floor.ledger.close_arrival(f"Otter Bank/{name}".encode(), "It was taken out again.")
    assert [(a.standing, a.is_open) for a in arrivals(floor)] == [("ignored", False), ("refused", False)]


def test_names_need_not_be_text(floor: Shopfloor) -> None:
    """A path is kept as the system has it, whatever bytes that are."""
    floor.ledger.note_arrival(arrival(path_bytes=b"caf\xe9.png"))
    floor.ledger.mark_cleared(b"caf\xe9.png")
    assert arrivals(floor)[0].path_bytes == b"caf\xe9.png"


def test_the_longest_path_is_kept(floor: Shopfloor) -> None:
    """Longer than what a database can put into an index, like the longest that a file system allows."""
    folder = "/".join(["ordner" * 40] * 16)
    note = arrival(path_bytes=f"{folder}/a.png".encode(), path=f"{folder}/a.png", folder=folder)
    for _ in range(2):
        floor.ledger.note_arrival(note)
    floor.ledger.mark_cleared(note.path_bytes)
    assert [(a.folder, a.is_open) for a in arrivals(floor)] == [(folder, False)]


def test_the_heartbeat_is_one_row(floor: Shopfloor) -> None:
    """The latest beat counts, and beats are no history."""
    from tickets.models import Heartbeat

    for says in ("starting", "watching"):
        floor.ledger.beat("intake", says, "host:1")
    with floor.store.reading() as session:
        assert [h.says for h in session.exec(select(Heartbeat))] == ["watching"]
        assert session.exec(select(Event)).all() == []
