"""Order files as bytes: encodings, double keys, and wrecks of every kind."""

from __future__ import annotations

import codecs
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.intake.order.test_order import changed, read, refused


@pytest.mark.parametrize(
    ("data", "slug"),
    [
        (b"", "order-cut-short"),
        (b" \n", "order-cut-short"),
        (b'{"order": "OB-1', "order-cut-short"),
        (b'{"order": "OB-1", "items": [{"art', "order-cut-short"),
        (b'{"order": tru', "order-cut-short"),
        (b"not json at all", "order-not-json"),
        (b'{"order": OB-1}', "order-not-json"),
        (b'{"order": "a"} x', "order-not-json"),
        (b'{"order": "a",}', "order-not-json"),
        (b"[]", "order-not-object"),
        (b'"OB-1"', "order-not-object"),
        (b"7", "order-not-object"),
        (b'{"order": NaN}', "order-wrong-value"),
        (b'{"order": -Infinity}', "order-wrong-value"),
        (b'{"order": 1e999}', "order-wrong-value"),
        (b'{"order": ' + b"9" * 10_000 + b"}", "order-wrong-value"),
        (b'{"order": "\\ud800"}', "order-wrong-value"),
        (b'{"order": "a", "order": "b"}', "order-duplicate-key"),
        (b'{"items": [{"quantity": 1, "quantity": 2}]}', "order-duplicate-key"),
        (b"[" * 100_000, "order-too-deep"),
        (b'{"x-a":' * 200 + b"1" + b"}" * 200, "order-too-deep"),
        ('{"order": "é"}'.encode("latin-1"), "order-not-text"),
        (b"\x00\x01\x02", "order-not-json"),
        (b'{"x-filler": "' + b"a" * 5_000_000 + b'"}', "order-too-large"),
    ],
)
def test_what_is_no_order_at_all_is_refused_by_its_slug(data: bytes, slug: str) -> None:
    """Each kind of wreck has its own name; none raises anything else."""
    assert refused(data).slug == slug


def test_a_double_key_is_named_with_its_place() -> None:
    """Which of the two was meant nobody knows; where they stand is told."""
    problem = refused(b'{"items": [{"quantity": 1, "quantity": 2}]}')
    assert problem.errors == ['items[0] has the key "quantity" more than once.']


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_windows_encodings_are_read(encoding: str) -> None:
    """UTF-8 with and without a byte order mark, UTF-16 and UTF-32 with one."""
    marks = {"utf-16-le": codecs.BOM_UTF16_LE, "utf-16-be": codecs.BOM_UTF16_BE}
    text = json.dumps(changed("customer.name", "Café Ωmega"), ensure_ascii=False)
    order = read(marks.get(encoding, b"") + text.encode(encoding))
    assert order.customer.name == "Café Ωmega"


@settings(max_examples=200, deadline=None)
@given(
    st.binary(max_size=200) | st.text(max_size=80).map(lambda t: ("{" + t).encode("utf-8", "surrogatepass"))
)
def test_any_bytes_are_refused_in_words(data: bytes) -> None:
    """No byte string raises anything but a refusal that says something."""
    assert refused(data).says
