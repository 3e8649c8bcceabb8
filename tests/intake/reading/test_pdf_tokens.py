"""Content streams, well written and broken."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from intake.reading.pdf_tokens import InlineImage, Name, operations


def test_all_kinds_of_operands_come_back_as_written() -> None:
    """Numbers, names, strings, hex, arrays, dictionaries and booleans arrive with their operator."""
    content = (
        rb"-1.5 .25 +3 /Na#20me (a\(b\)\051\n) <4142> [1 (x) [2]] <</K /V /N 1>> true null op % note" + b"\nq"
    )
    (name, operands), then = list(operations(content))
    assert name == "op"
    assert operands == [
        -1.5,
        0.25,
        3.0,
        Name("Na me"),
        b"a(b))\n",
        b"AB",
        [1.0, b"x", [2.0]],
        {"K": Name("V"), "N": 1.0},
        True,
        None,
    ]
    assert then == ("q", [])


def test_strange_numbers_are_read_as_far_as_they_are_numbers() -> None:
    """Double signs, two points and glued numbers do not lose the operator behind them."""
    assert list(operations(b"--5 1.2.3 0.5-3 4. w")) == [("w", [-5.0, 1.2, 0.5, 4.0])]


def test_pixels_that_spell_ei_do_not_end_an_inline_image() -> None:
    """The length of an unpacked image is known: EI among its pixels is data."""
    content = b"BI /W 4 /H 2 /BPC 8 /CS /G ID \n EI EI \nEI Q"
    found = list(operations(content))
    assert [name for name, _ in found] == ["BI", "Q"]
    image = found[0][1][0]
    assert isinstance(image, InlineImage)
    assert (image.get("W", "Width"), image.get("H", "Height")) == (4.0, 2.0)


def test_a_packed_inline_image_ends_at_its_ei() -> None:
    """With a filter, EI between white space ends the data."""
    content = b"BI /W 4 /H 2 /BPC 8 /CS /G /F /AHx ID 00112233 44556677> EI 1 0 0 1 0 0 cm"
    assert [name for name, _ in operations(content)] == ["BI", "cm"]


def test_an_inline_image_without_end_ends_with_the_stream() -> None:
    """A missing EI is no endless loop and hides no image."""
    found = list(operations(b"q BI /W 10 /H 10 /BPC 8 /CS /G ID xxxxx"))
    assert [name for name, _ in found] == ["q", "BI"]


@given(st.binary(max_size=400))
def test_no_bytes_are_too_broken(content: bytes) -> None:
    """Whatever the bytes, the walk through them ends and raises nothing."""
    assert len(list(operations(content))) <= len(content)


_FRAGMENTS = st.sampled_from(
    [b"BI ", b"ID ", b" EI", b"<<", b">>", b"[", b"]", b"(", b")", b"<", b"\\", b"/A", b"1 ", b"q "]
)


@given(st.lists(_FRAGMENTS, max_size=60))
def test_no_order_of_delimiters_is_too_broken(parts: list[bytes]) -> None:
    """Brackets, strings and images opened and closed in any order end too."""
    content = b"".join(parts)
    assert len(list(operations(content))) <= len(content)


def test_deep_nesting_is_cut_off() -> None:
    """A hundred thousand open arrays do not exhaust the stack."""
    assert list(operations(b"[" * 100_000 + b" q")) is not None
