"""Names: safe on every file system, distinct, and shown without tricks."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.naming import MOST_BYTES, folded, in_log, safe_name, shown_path

names = st.text(st.characters(codec=None), max_size=60) | st.sampled_from(
    ["", ".", "..", "con", "NUL.png", "com1", "a/b", "a\\b", "a:b", "x" * 400, "a.", "a ", "~a", "é" * 200]
)


@pytest.mark.parametrize(
    "name", ["OB-1042", "crest.png", "Café v2 (final).png", "شعار.pdf", "7/11".replace("/", "-")]
)
def test_an_ordinary_name_stays_as_it_is(name: str) -> None:
    """Nobody has to look for a file under another name than its own."""
    assert safe_name(name) == name


@pytest.mark.parametrize(
    ("name", "safe_start"),
    [
        ("a/b", "a_b~"),
        ("..", "_"),
        ("CON", "_CON~"),
        ("con.png", "_con~"),
        ("lpt1 .txt", "_lpt1~"),
        ("crest.png.", "crest~"),
        (".hidden", "_hidden~"),
        ("a\nb\u202egnp.png", "a_b_gnp~"),
        ("logo_\udce9.png", "logo__~"),
    ],
)
def test_what_some_file_system_refuses_is_replaced(name: str, safe_start: str) -> None:
    """Separators, device names, dots and blanks at the ends, controls, bidi marks, bytes that are no text."""
    assert safe_name(name).startswith(safe_start)
    assert safe_name("a?b.png").endswith(".png")


@settings(max_examples=400, deadline=None)
@given(names, names)
def test_two_names_never_become_one(one: str, other: str) -> None:
    """Distinct inputs stay distinct, also where one looks like the changed form of another."""
    if one != other:
        assert safe_name(one) != safe_name(other)
    if safe_name(one) != one:
        assert safe_name(safe_name(one)) != safe_name(one)


@settings(max_examples=400, deadline=None)
@given(names)
def test_a_safe_name_is_one_component_of_a_path_everywhere(name: str) -> None:
    """Short in bytes, composed, without separators, controls, device names or odd ends."""
    safe = safe_name(name)
    assert safe == unicodedata.normalize("NFC", safe)
    assert 0 < len(safe.encode()) <= MOST_BYTES
    assert not set(safe) & set('<>:"/\\|?*')
    assert safe[0] not in ". ~"
    assert safe[-1] not in ". "
    assert all(unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Zl", "Zp") for c in safe)
    assert Path(safe).name == safe


@settings(max_examples=200, deadline=None)
@given(names)
def test_shown_and_logged_names_hold_no_line_and_no_trick(name: str) -> None:
    """Nothing in them begins a line, turns the direction of writing, or cannot be encoded."""
    for text in (shown_path(name), in_log(name)):
        assert len(text.splitlines()) <= 1
        assert not set(text) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\x1b")
        text.encode("utf-8")
    assert in_log(name).isascii()


def test_bytes_that_are_no_text_are_shown_escaped() -> None:
    """A Latin-1 é in a file name reads as \\xe9."""
    assert shown_path("logo_\udce9.png") == "logo_\\xe9.png"


def test_folding_forgives_case_and_composition() -> None:
    """How order files and inboxes differ most often; the German sharp s too."""
    assert folded("CAFE\u0301.PNG") == folded("Caf\u00e9.png")
    assert folded("Straße") == folded("STRASSE")
