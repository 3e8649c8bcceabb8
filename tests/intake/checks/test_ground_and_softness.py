"""The box behind the art, and ink that is half transparent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from intake.facts import Alpha, Background, Level, Place
from tests.intake.checks.facts_of import findings, only, with_ink

WHITE = Background("#ffffff", 0.6, is_opaque_canvas=True, places=(Place(0, 0, 100, 100),))


@pytest.mark.parametrize(
    ("colour", "word"),
    [("#ffffff", "white"), ("#000000", "black"), ("#808080", "grey"), ("#f2e1d0", "#f2e1d0")],
)
def test_a_plain_ground_is_a_query_that_names_its_colour(colour: str, word: str) -> None:
    """White, black or any plain ground behind the art prints as a box."""
    found = only(with_ink(alpha=Alpha.OPAQUE, background=replace(WHITE, colour=colour)))
    assert (found.check, found.level, found.measured, found.limit) == ("background", Level.QUERY, 0.6, 0.2)
    assert word in found.says
    assert found.places == WHITE.places


def test_a_photo_that_fills_its_canvas_is_not_accused() -> None:
    """Opaque without a plain ground: a note that it prints as a full rectangle."""
    found = only(with_ink(alpha=Alpha.NONE, background=None))
    assert (found.check, found.level) == ("background", Level.NOTE)
    assert "rectangle" in found.says


def test_a_little_plain_ground_is_no_box() -> None:
    """Under the limit a plain patch of an opaque picture is part of it."""
    assert only(with_ink(alpha=Alpha.NONE, background=replace(WHITE, share=0.1))).level == Level.NOTE


def test_what_is_not_sure_says_so() -> None:
    """A ground that was found with little confidence only seems to be one; enclosed ground is a question."""
    found = only(with_ink(background=replace(WHITE, confidence=0.5, enclosed_share=0.05)))
    assert "seems" in found.says
    assert "inside the art" in found.do


def test_a_cut_out_design_has_no_background() -> None:
    """Transparent ground: nothing to say."""
    assert findings(with_ink(alpha=Alpha.HARD)) == ()


@pytest.mark.parametrize(
    ("share", "is_told"), [(0.0, False), (0.01, False), (0.0104, False), (0.011, True), (0.9, True)]
)
def test_softness_over_the_share_is_a_query(share: float, is_told: bool) -> None:
    """More than 1 % of the ink half transparent is asked about, with the places."""
    found = findings(with_ink(alpha=Alpha.SOFT, soft_share=share, soft_places=(Place(1, 2, 3, 4),)))
    assert [(f.check, f.level, f.places) for f in found] == (
        [("soft", Level.QUERY, (Place(1, 2, 3, 4),))] if is_told else []
    )
