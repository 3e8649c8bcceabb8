"""All judges together: names, words, order."""

from __future__ import annotations

import json
import re
from dataclasses import replace

from intake.checks import CHECKS, wording
from intake.facts import (
    Alpha,
    Background,
    Finding,
    Fringe,
    Level,
    LiveText,
    Place,
    PrintSize,
    Vanishing,
    Verdict,
    worst,
)
from tests.intake.checks.facts_of import ART, INK, examined, findings, spot

NAMES = [
    "file",
    "pages",
    "empty",
    "fit",
    "shape",
    "margins",
    "resolution",
    "background",
    "soft",
    "screened",
    "line-width",
    "gap-width",
    "islands",
    "white-lost",
    "detail",
    "specks",
    "fringe",
    "garment-contrast",
    "text",
    "colour",
    "mirrored",
]


def test_the_names_are_a_contract() -> None:
    """Check names are public: this list only grows."""
    assert [check.NAME for check in CHECKS] == NAMES


def test_every_check_says_what_it_measures_and_why() -> None:
    """Each has a row for the README: what is measured, where the limit comes from, what to do."""
    for check in CHECKS:
        assert all(len(line) > 10 for line in (check.MEASURES, check.LIMIT_FROM, check.DO))


def test_good_artwork_is_clear() -> None:
    """Nothing wrong, nothing said."""
    assert findings(examined()) == ()


def a_bad_one() -> tuple[Finding, ...]:
    """Artwork with about everything wrong."""
    ink = replace(
        INK,
        alpha=Alpha.SOFT,
        soft_share=0.2,
        ink_box=Place(10, 10, 80, 80),
        thin_lines=(spot(0.1),),
        thin_gaps=(spot(0.2, 30),),
        islands=(spot(0.2, 50),),
        island_count=1,
        background=Background("#ffffff", 0.5, is_opaque_canvas=False),
        lost_white_area_mm2=300.0,
        lost_white_places=(Place(70, 70, 3, 3),),
        screened=True,
        screened_places=(Place(90, 90, 5, 5),),
        notes=("Odd.",),
        fringe=Fringe("white", 0.7, (Place(1, 1, 5, 5),)),
        vanishing=Vanishing("#101010", 3.0, 50.0, 20.0, 4000.0, (Place(2, 2, 5, 5),), 3),
    )
    size = PrintSize(700, 700, 700, 600)
    art = replace(ART, pages=2, pixels=(500, 500), bits=16, colour="CMYK")
    art = replace(art, texts=(LiveText(4.0, 0.0, (1, 1, 9, 9)),), extra={"fonts_not_embedded": ["Some Sans"]})
    return findings(examined(art, size, ink, garment="#111111", mirrored=True))


def test_the_worst_comes_first() -> None:
    """Refusals before queries before notes, else in the order of the list."""
    levels = [f.level for f in a_bad_one()]
    assert levels == sorted(levels, key=[Level.REFUSE, Level.QUERY, Level.NOTE].index)
    assert len(levels) == 17


def test_every_finding_can_be_sent() -> None:
    """Plain sentences that end, what to do beside them, a document that JSON can hold, no check twice."""
    found = a_bad_one()
    names = [f.check for f in found]
    assert len(set(names)) == len(names)
    for one in found:
        document = json.loads(json.dumps(one.as_json()))
        assert re.fullmatch(r"[A-Z0-9].*[.?]", document["says"])
        assert re.fullmatch(r"[A-Z].*[.?]", document["do"])
        assert "{" not in document["says"] + document["do"]
    assert worst(found) == Verdict.REFUSE


def test_the_same_facts_give_the_same_findings() -> None:
    """Judging is a pure function."""
    assert a_bad_one() == a_bad_one()


def test_a_colour_has_a_word() -> None:
    """Near white is white, near black black; the rest is named by its number."""
    assert wording.colour_name("#fdfdfd") == "white"
    assert wording.colour_name("#0a0a0a") == "black"
    assert "#10213f" in wording.colour_name("#10213f")
