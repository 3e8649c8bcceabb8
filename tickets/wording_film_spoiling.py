"""What is said about spoilage on film runs, and about spares."""

from __future__ import annotations

from collections.abc import Mapping

from tickets.languages import make_spoken
from tickets.problems import BadInput, ShopProblem
from tickets.wording_floor import listed, pieces


def run_spoiled(
    run: str,
    station: str,
    lost: int,
    spares: int,
    reprints: Mapping[str, str],
    again: Mapping[str, int],
    first: str,
) -> str:
    """What became of spoiled pieces of a run."""
    said = f"{pieces(lost)} on run {run} spoiled at {station}."
    if spares:
        said += f" {stand_in(spares)}"
    if reprints:
        total = sum(again.values())
        verb = "starts" if total == 1 else "start"
        codes = listed([f"{reprints[code]} ({again[code]} of {code})" for code in reprints])
        said += f" {pieces(total).capitalize()} {verb} again at {first} as {codes}."
    elif not spares:
        said += " Nothing has to be printed again: they were cancelled or spares."
    return said


def stand_in(spares: int) -> str:
    """Spares that take the place of lost pieces."""
    return f"{spares} {'spare takes its' if spares == 1 else 'spares take their'} place."


def spares_are_back(run: str) -> str:
    """What an undo did where spares alone had stood in."""
    return f"The last scan of {run} is taken back: its spares are spares again."


def run_is_cut(run: str) -> ShopProblem:
    """Nothing lies on its film any more."""
    return ShopProblem(
        "run-is-cut",
        f"Nothing of run {run} is on film any more: it is cured and cut, or its pieces are gone.",
        "Book spoiled pieces on their tickets: filmdocket scan CODE --at STATION --spoiled N --why TEXT",
    )


def not_on_the_run(code: str, run: str) -> ShopProblem:
    """A ticket without pieces on a run."""
    return ShopProblem(
        "not-on-the-run",
        f"No piece of {code} is on film run {run}.",
        f"See what lies on it: filmdocket film show {run}",
    )


def more_than_on_run(code: str, run: str, wanted: int, there: int) -> ShopProblem:
    """More spoiled than there are."""
    return ShopProblem(
        "more-than-waits",
        f"{wanted} pieces of {code} cannot be spoiled on run {run}: {there} are on it.",
        "Count again; spares are not counted.",
    )


def bad_length(from_mm: float, to_mm: float) -> BadInput:
    """No length of film."""
    return BadInput(
        "bad-length",
        f"From {from_mm:g} to {to_mm:g} mm is no length of film.",
        "Measure from the start of the run, where its label is: --from-mm 1200 --to-mm 1450",
    )


def nothing_in_length(run: str, from_mm: float, to_mm: float) -> ShopProblem:
    """No piece is there."""
    to = f"{to_mm:g} mm" if to_mm != float("inf") else "its end"
    return ShopProblem(
        "nothing-in-length",
        f"No piece that is not lost already lies on run {run} from {from_mm:g} mm to {to}.",
        f"Look at the map, or at: filmdocket film show {run} --json",
    )


make_spoken(__name__, de="tickets.german.film_spoiling")
