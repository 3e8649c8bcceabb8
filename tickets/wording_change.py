"""The sentences about changes of an order in work: another due day, more or fewer pieces."""

from __future__ import annotations

from collections.abc import Mapping

from tickets.languages import make_spoken
from tickets.problems import BadInput, ShopProblem
from tickets.wording_floor import pieces


def due_changed(number: str, was: str, due: str) -> str:
    """An order got another due day."""
    return (
        f"{number} is due on {due}{f' and no longer on {was}' if was else ''}; its tickets are printed again."
    )


def due_stays(number: str, due: str, *, is_closed: bool) -> ShopProblem:
    """Nothing to change about a due day."""
    says = f"{number} is done: nothing of it is due." if is_closed else f"{number} is due on {due} already."
    return ShopProblem("nothing-to-change", says, "Look at the order; nothing was changed.")


def due_not_read(due: str) -> BadInput:
    """A due day that is none."""
    return BadInput("due-not-read", f"{due!r} is no day.", "Write a day such as 2026-12-04.")


def quantity_changed(code: str, was: int, now: int, sizes: Mapping[str, int]) -> str:
    """An item is wanted in another number."""
    done = f"{pieces(now - was)} more" if now > was else f"{pieces(was - now)} fewer"
    said = f"{code}: {done}, {now} in all; its paper is printed again."
    total = sum(sizes.values())
    if sizes and total != now:
        said += f" Its sizes still add up to {total}: tell the floor which ones are meant."
    return said


def quantity_stays(code: str, quantity: int) -> ShopProblem:
    """An item that is wanted in just this number."""
    says = f"{code} is wanted in {pieces(quantity)} already."
    return ShopProblem("nothing-to-change", says, "Say how many are wanted in all.")


def needs_one_change() -> BadInput:
    """A change of nothing, or of two things at once."""
    return BadInput("nothing-to-change", "Say what is to change.", "Use either --due DAY or --quantity N.")


make_spoken(__name__, de="tickets.german.change")
