"""Which file a name means: exact first, alike second, never a guess between two."""

from __future__ import annotations

import pytest

from intake.inbox.matching import match_name


@pytest.mark.parametrize(
    ("name", "there", "found"),
    [
        ("crest.png", ["back.png", "crest.png"], "crest.png"),
        ("crest.png", ["CREST.PNG"], "CREST.PNG"),
        ("crest.png", ["CREST.PNG", "crest.png"], "crest.png"),
        ("crest.png", ["CREST.PNG", "Crest.png"], None),
        ("Caf\u00e9.png", ["Cafe\u0301.png"], "Cafe\u0301.png"),
        ("Caf\u00e9.png", ["Cafe\u0301.png", "CAFÉ.PNG"], "Cafe\u0301.png"),
        ("Straße.png", ["STRASSE.PNG"], "STRASSE.PNG"),
        ("crest.png", ["crest (2).png"], None),
        ("crest.png", [], None),
    ],
)
def test_a_name_means_the_nearest_file(name: str, there: list[str], found: str | None) -> None:
    """Exact, then composed, then without case."""
    assert match_name(name, there, str).one == found


def test_two_that_are_equally_near_are_both_told() -> None:
    """So that a person can take one away."""
    assert match_name("a.png", ["A.png", "a.PNG", "b.png"], str).several == ("A.png", "a.PNG")
