"""The order document: what is read, what is refused, and that the JSON Schema says the same."""

from __future__ import annotations

import json
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from typing import Any

import jsonschema  # type: ignore[import-untyped] # its stubs would be one more package
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from config.settings import Settings, load_settings
from intake.order import OrderDocument, read_order
from intake.order.draft import Wanted, draft_of, wanted_artwork
from intake.order.fields import expand_pages
from intake.order_schema import SCHEMA_FILE, schema, schema_text
from tickets.problems import OrderRefused

NOW = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
SHOP = load_settings(None)

# The example of the contract.
FULL: dict[str, Any] = {
    "order": "OB-1042",
    "customer": {
        "name": "Otter Bank Rowing Club",
        "email": "kit@otterbank.example",
        "phone": "+44 1632 960123",
    },
    "purchase_order": "REGATTA-7",
    "due": "2026-12-04",
    "service": "pressed",
    "allow_part_dispatch": False,
    "items": [
        {
            "artwork": "crest.png",
            "width_mm": 90,
            "quantity": 40,
            "placement": "left chest",
            "garment": {
                "description": "navy hoodie",
                "colour": "#10213f",
                "fabric": "cotton",
                "sizes": {"S": 10, "M": 20, "L": 10},
            },
            "film": "hot peel",
            "note": "two of the L are long sleeve",
        }
    ],
}


def changed(path: str, value: Any) -> dict[str, Any]:
    """The full example with one value set, `items.0.quantity` being a path; `...` takes the key away."""
    document = deepcopy(FULL)
    *parents, last = path.split(".")
    place: Any = document
    for part in parents:
        place = place[int(part)] if part.isdigit() else place.setdefault(part, {})
    if value is ...:
        del place[last]
    else:
        place[int(last) if last.isdigit() else last] = value
    return document


def read(document: Any) -> OrderDocument:
    """The order in plain values, read as a file."""
    data = document if isinstance(document, bytes) else json.dumps(document).encode()
    return read_order(data, SHOP, NOW)


def refused(document: Any) -> OrderRefused:
    """The refusal of a document that must not be taken."""
    with pytest.raises(OrderRefused) as caught:
        read(document)
    return caught.value


def queries(document: Any) -> list[list[str]]:
    """The names of the questions that each item of a document raises."""
    draft = draft_of(read(document), {}, SHOP, "", NOW)
    return [[str(q["check"]) for q in item.order_queries] for item in draft.items]


def test_the_contracts_example_is_read_as_it_stands() -> None:
    """Every value of it arrives in the draft, the due day as the shop's closing time in its own zone."""
    london = SHOP.model_copy(update={"shop": SHOP.shop.model_copy(update={"time_zone": "Europe/London"})})
    summer = read_order(json.dumps(changed("due", "2027-06-04")).encode(), london, NOW)
    draft = draft_of(summer, {Wanted("crest.png"): "ab"}, london, "Otter Bank", NOW)
    assert draft.due_at == datetime(2027, 6, 4, 16, 0, tzinfo=UTC)
    assert (draft.number, draft.customer_name, draft.purchase_order) == (
        "OB-1042",
        "Otter Bank Rowing Club",
        "REGATTA-7",
    )
    item = draft.items[0]
    assert (item.artwork, item.artwork_sha256, item.width_mm, item.height_mm, item.quantity) == (
        "crest.png",
        "ab",
        90.0,
        None,
        40,
    )
    assert (item.garment, item.garment_colour, item.sizes) == (
        "navy hoodie",
        "#10213f",
        {"S": 10, "M": 20, "L": 10},
    )
    assert (item.service, item.film, item.may_turn, item.order_queries) == ("pressed", "hot peel", True, ())


@pytest.mark.parametrize(
    ("due", "at"),
    [
        ("2026-12-04", datetime(2026, 12, 4, 17, 0, tzinfo=UTC)),
        ("2026-12-04T15:00:00Z", datetime(2026, 12, 4, 15, 0, tzinfo=UTC)),
        ("2026-12-04t15:00:00.123456789+01:00", datetime(2026, 12, 4, 14, 0, tzinfo=UTC)),
        ("2026-12-31T23:59:60Z", datetime(2026, 12, 31, 23, 59, 59, tzinfo=UTC)),
        ("1990-12-31T15:59:60-08:00", datetime(1990, 12, 31, 23, 59, 59, tzinfo=UTC)),
        ("2026-02-29", None),
        ("2026-13-01", None),
        ("2026-12-04T15:00:00", None),
        ("2026-12-04 15:00", None),
        ("20261204", None),
        ("2026-W49-5", None),
        ("٢٠٢٦-12-04", None),
        ("tomorrow", None),
        ("9999-12-31", None),
        ("0001-01-01", None),
    ],
)
def test_due_is_an_rfc_3339_day_or_time_and_nothing_else(due: str, at: datetime | None) -> None:
    """Days that no calendar has, times without an offset, far-off years are refused (RFC 3339, 5.6, 5.8)."""
    if at is None:
        assert refused(changed("due", due)).errors[0].startswith("due")
    else:
        assert draft_of(read(changed("due", due)), {}, SHOP, "", NOW).due_at == at


WRONG_VALUES: list[tuple[str, Any, str]] = [
    ("order", "", "order-wrong-value"),
    ("order", " OB-1", "order-wrong-value"),
    ("order", "OB\u202e1", "order-wrong-value"),
    ("order", "x" * 65, "order-wrong-value"),
    ("order", 1042, "order-wrong-value"),
    ("order", ..., "order-missing-key"),
    ("customer", "Otter", "order-wrong-value"),
    ("customer.name", ..., "order-missing-key"),
    ("customer.name", "  ", "order-wrong-value"),
    ("customer.name", "Otter\nBank", "order-wrong-value"),
    ("customer.email", "kit at otterbank", "order-wrong-value"),
    ("customer.email", "kit@otterbank.example\nBcc: all@x.example", "order-wrong-value"),
    ("service", "presed", "order-wrong-value"),
    ("rush", 1, "order-wrong-value"),
    ("rush", None, "order-wrong-value"),
    ("allow_part_dispatch", "yes", "order-wrong-value"),
    ("items", [], "order-wrong-value"),
    ("items", {}, "order-wrong-value"),
    ("items.0", 7, "order-wrong-value"),
    ("items.0.quantity", ..., "order-missing-key"),
    ("items.0.quantity", 0, "order-wrong-value"),
    ("items.0.quantity", -4, "order-wrong-value"),
    ("items.0.quantity", 1_000_000, "order-wrong-value"),
    ("items.0.quantity", "40", "order-wrong-value"),
    ("items.0.quantity", 40.5, "order-wrong-value"),
    ("items.0.quantity", True, "order-wrong-value"),
    ("items.0.width_mm", ..., "order-missing-key"),
    ("items.0.width_mm", "90", "order-wrong-value"),
    ("items.0.width_mm", True, "order-wrong-value"),
    ("items.0.width_mm", -90, "order-wrong-value"),
    ("items.0.width_mm", 0.5, "order-wrong-value"),
    ("items.0.width_mm", 5001, "order-wrong-value"),
    ("items.0.artwork", "", "order-wrong-value"),
    ("items.0.artwork", "../crest.png", "artwork-leads-out"),
    ("items.0.artwork", "/etc/passwd", "artwork-leads-out"),
    ("items.0.artwork", "art/crest.png", "artwork-leads-out"),
    ("items.0.artwork", "art\\crest.png", "artwork-leads-out"),
    ("items.0.artwork", "C:crest.png", "artwork-leads-out"),
    ("items.0.artwork", "..", "artwork-leads-out"),
    ("items.0.artwork", "crest.png\u0000.txt", "artwork-leads-out"),
    ("items.0.artwork", ".crest.png", "artwork-temporary-name"),
    ("items.0.artwork", "crest.png.PART", "artwork-temporary-name"),
    ("items.0.artwork", "~$crest.png", "artwork-temporary-name"),
    ("items.0.garment.colour", "navy", "order-wrong-value"),
    ("items.0.garment.sizes", {"S": -1}, "order-wrong-value"),
    ("items.0.garment.sizes", {"": 1}, "order-wrong-value"),
    ("items.0.garment.sizes", [1], "order-wrong-value"),
    ("items.0.pages", "x", "order-wrong-value"),
    ("items.0.color", "red", "order-unknown-key"),
    ("item", [], "order-unknown-key"),
]
RIGHT_VALUES: list[tuple[str, Any]] = [
    ("order", "Zoë 7/11 (Nr. 3)"),
    ("x-anything", {"any": [1, None]}),
    ("customer.x-id", 7),
    ("items.0.x-shelf", "B"),
    ("items.0.garment.x-supplier", 1),
    ("items.0.garment.sizes", {"x-large": 40}),
    ("customer.name", "شرکت می\u200cخواهم"),
    ("customer.email", ""),
    ("due", ""),
    ("due", "2026-12-04T15:00:00+05:30"),
    ("items.0.quantity", 40.0),
    ("items.0.width_mm", 1),
    ("items.0.width_mm", 5000),
    ("items.0.height_mm", 81.4),
    ("items.0.pages", "1-4"),
    ("items.0.pages", "1,3"),
    ("items.0.artwork", "Café (endgültig) v2.png"),
    ("items.0.artwork_of", "OB-0991"),
    ("items.0.note", "first line\nsecond line"),
    ("items.0.garment", {}),
    ("items.0.service", "transfers"),
    ("rush", True),
]


@pytest.mark.parametrize(("path", "value", "slug"), WRONG_VALUES)
def test_a_wrong_value_is_refused_by_its_key_here_and_in_the_schema(path: str, value: Any, slug: str) -> None:
    """The reader names the key under the right slug; the published schema refuses the same document."""
    document = changed(path, value)
    problem = refused(document)
    assert problem.slug == slug
    *_, last = path.split(".")
    key = f"items[{last}]" if last.isdigit() else last
    assert any(key in error for error in problem.errors)
    assert not _fits_schema(document)


@pytest.mark.parametrize(("path", "value"), RIGHT_VALUES)
def test_a_right_value_is_taken_here_and_by_the_schema(path: str, value: Any) -> None:
    """What the schema allows the reader takes."""
    document = changed(path, value)
    read(document)
    assert _fits_schema(document)


def _fits_schema(document: Any) -> bool:
    return bool(jsonschema.Draft202012Validator(schema()).is_valid(document))


def test_the_published_schema_is_the_one_of_the_model() -> None:
    """`python -m intake.order_schema --write` was run after the last change; it is a valid schema."""
    assert SCHEMA_FILE.read_text(encoding="utf-8") == schema_text()
    jsonschema.Draft202012Validator.check_schema(schema())


def test_all_errors_of_a_file_are_told_at_once_with_the_nearest_key() -> None:
    """Five slips, five sentences; a misspelt key names the refusal, for it explains the missing one."""
    document = changed("items.0.width_mm", ...)
    document["items"][0]["widht_mm"] = 90
    document["items"][0]["quantity"] = "40"
    document["due"] = "tomorrow"
    document["email"] = "kit@otterbank.example"
    problem = refused(document)
    assert problem.slug == "order-unknown-key"
    assert len(problem.errors) == 5
    text = " ".join(problem.errors)
    assert 'items[0].widht_mm is not a key of an order file. Did you mean "width_mm"?' in text
    assert '"email" belongs in customer' in text
    assert "items[0] needs width_mm or height_mm" in text


def test_saying_the_same_differently_is_the_same_order() -> None:
    """Key order, white space, x- keys, 90 or 90.0, defaults written out, decomposed letters: one hash."""
    plain = changed("customer.name", "Caf\u00e9")
    again = dict(reversed(list(changed("customer.name", "Cafe\u0301").items())))
    again["x-sent"] = "2026-11-02"
    again["rush"] = False
    again["items"][0]["width_mm"] = 90.0
    again["items"][0]["may_turn"] = True
    assert read(json.dumps(again, indent=4).encode()).sha256() == read(plain).sha256()


@pytest.mark.parametrize(("path", "value"), [("items.0.quantity", 41), ("rush", True), ("due", "2026-12-05")])
def test_saying_something_else_is_another_order(path: str, value: Any) -> None:
    """Whatever changes the meaning changes the hash."""
    assert read(changed(path, value)).sha256() != read(FULL).sha256()


def test_sizes_that_do_not_add_up_are_a_question() -> None:
    """39 sizes for 40 pieces: a query of that item, not a refusal."""
    assert queries(FULL) == [[]]
    assert queries(changed("items.0.garment.sizes", {"S": 39})) == [["order-sizes"]]


def test_a_due_day_in_the_past_is_a_question() -> None:
    """Today until closing time is not past."""
    assert queries(changed("due", "2026-11-02")) == [[]]
    assert queries(changed("due", "2026-11-01")) == [["order-due"]]
    late = NOW + timedelta(hours=6)
    draft = draft_of(read(changed("due", "2026-11-02")), {}, SHOP, "", late)
    assert [q["check"] for q in draft.items[0].order_queries] == ["order-due"]


def test_two_items_alike_are_a_question_and_the_same_artwork_twice_is_not() -> None:
    """Chest and back with one artwork are ordinary; the very same line twice is asked about."""
    twice = deepcopy(FULL)
    twice["items"].append(deepcopy(twice["items"][0]))
    assert queries(twice) == [[], ["order-twice"]]
    twice["items"][1]["placement"] = "back"
    assert queries(twice) == [[], []]


def test_a_film_that_the_shop_has_not_is_a_question() -> None:
    """Its spelling does not matter, and no film means the shop's usual one."""
    assert queries(changed("items.0.film", "glow in the dark")) == [["order-film"]]
    assert queries(changed("items.0.film", "Hot Peel")) == [[]]
    draft = draft_of(read(changed("items.0.film", ...)), {}, SHOP, "", NOW)
    assert draft.items[0].film == SHOP.film.default_kind


def test_pages_become_an_item_each() -> None:
    """ "2-3" of one artwork at 40 pieces are two items of 40 pieces."""
    draft = draft_of(read(changed("items.0.pages", "2-3")), {Wanted("crest.png"): "ab"}, SHOP, "", NOW)
    assert [(i.page, i.quantity, i.artwork_sha256) for i in draft.items] == [(2, 40, "ab"), (3, 40, "ab")]


@pytest.mark.parametrize("text", ["0", "4-1", "1,1", "1-3,2", "1-9999", "1-"])
def test_pages_that_cannot_be_are_refused(text: str) -> None:
    """From 0, backwards, twice, or thousands."""
    assert any("pages" in error for error in refused(changed("items.0.pages", text)).errors)


def test_expanded_pages_keep_their_order() -> None:
    """As written, each once."""
    assert expand_pages("5,1-3") == (5, 1, 2, 3)
    assert expand_pages("") == ()


def test_an_items_own_service_wins_over_the_orders() -> None:
    """`service` of the order is what items have that name none."""
    document = changed("service", "transfers")
    document["items"].append({**deepcopy(document["items"][0]), "service": "pressed", "placement": "back"})
    draft = draft_of(read(document), {}, SHOP, "", NOW)
    assert [i.service for i in draft.items] == ["transfers", "pressed"]


def test_artworks_are_wanted_once_each() -> None:
    """The same name of another order is another artwork."""
    document = deepcopy(FULL)
    document["items"] += [
        {**FULL["items"][0], "placement": "back"},
        {**FULL["items"][0], "artwork_of": "OB-1"},
    ]
    assert wanted_artwork(read(document)) == [Wanted("crest.png"), Wanted("crest.png", "OB-1")]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from([path for path, *_ in WRONG_VALUES]), json_values)
def test_any_value_anywhere_is_taken_or_refused_as_the_schema_has_it(path: str, value: Any) -> None:
    """Nothing but OrderRefused is raised, and what the reader takes the schema takes too."""
    document = changed(path, value)
    problem = None
    try:
        read(document)
    except OrderRefused as refusal:
        problem = refusal
    assert problem.errors if problem else _fits_schema(json.loads(json.dumps(document)))


def test_settings_are_only_read() -> None:
    """Reading an order leaves the settings as they are (they are shared by all threads)."""
    before = SHOP.model_dump_json()
    read(FULL)
    assert isinstance(SHOP, Settings)
    assert SHOP.model_dump_json() == before
