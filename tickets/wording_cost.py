"""The sentences about costs, prices and stock: what they rest on, and what can't be told yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from tickets.languages import make_spoken
from tickets.problems import BadInput, NotFound, ShopProblem

BASES = {
    "estimated": "Estimated: none of it lies in a film run yet; laid in rows, with its part of a usual run.",
    "run": "From the film runs that it lies in, each job by its area with half the gap, by what it covers.",
    "partly estimated": "Partly from film runs; what lies in none yet is estimated in rows.",
}


_LARGE = {"ml": ("l", 1000), "g": ("kg", 1000), "m": ("m", 1)}
_DAYS_NEAR = 6  # a day within a week is told by its name alone


def amount_text(amount: float, unit: str) -> str:
    """As people say it: 1.25 l, 400 ml, 82 m."""
    large, factor = _LARGE[unit]
    if factor > 1 and amount >= factor:
        return f"{amount / factor:.2f} {large}"
    return f"{amount:.0f} {unit}"


def day_text(day: date, today: date) -> str:
    """Thursday; further off Thursday 2026-12-10."""
    near = timedelta(0) <= day - today <= timedelta(days=_DAYS_NEAR)
    names = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    name = names[day.weekday()]
    return name if near else f"{name} {day.isoformat()}"


def say_stock(
    name: str, left: str, days: tuple[str, ...] | None, delivery_days: int, *, is_urgent: bool
) -> str:
    """What is left of a consumable; `days` until which it likely and surely lasts, and when to order."""
    there = f"{name}: {left} left"
    if days is None:
        return f"{there}; nothing was printed lately that takes it."
    likely, sure, order_by = days
    wait = f"{delivery_days} days' delivery" if delivery_days != 1 else "a day's delivery"
    order = f"order today: with {wait} it may be late" if is_urgent else f"order by {order_by} with {wait}"
    return f"{there}, lasts until {likely} at this rate, nine times of ten until {sure}; {order}."


def usual_shares() -> str:
    """Said where artwork was not measured."""
    return (
        "Some artwork is not measured yet: its ink is taken from your usual shares (cost.ink_share, "
        "cost.coverage)."
    )


def reckoned_by(calibrated: Sequence[tuple[str, str]]) -> str:
    """What stands beside a price: each consumable that counts tell of, with what they say."""
    if not calibrated:
        return "Reckoned by the settings: two stock counts with printing between them would calibrate it."
    told = "; ".join(f"{name} {says}" for name, says in calibrated)
    return f"Reckoned by your counts, the rest by the settings: {told}."


def item_not_there(number: str, item: int, there: int) -> NotFound:
    """The order has no item of that number."""
    plural = f"items 1 to {there}" if there > 1 else "one item"
    return NotFound(
        "item-not-there", f"Order {number} has no item {item}: it has {plural}.", "Name one that it has."
    )


def nothing_to_cost(number: str) -> NotFound:
    """All of it is refused or cancelled."""
    return NotFound(
        "nothing-to-cost",
        f"Nothing of order {number} is to be printed: all of it is refused or cancelled.",
        "Look at it with `filmdocket where`; runs that were printed keep their cost.",
    )


def run_not_known(run: str) -> NotFound:
    """There is no such run."""
    return NotFound(
        "run-not-known",
        f"There is no film run {run} in the books.",
        "Read the code once more, or scan a ticket of it.",
    )


def cost_of_what() -> BadInput:
    """Neither or both of a thing and a day were named."""
    return BadInput(
        "cost-of-what",
        "It is not told what is to be costed.",
        "Name an order, an item (OB-1042/1), a ticket or a run, or a day with --day 2026-12-02.",
    )


def stock_noted(kind: str, consumable: str, amount: str, price: str) -> str:
    """What was written down about stock."""
    told = {
        "bought": f"{consumable}: {amount} bought",
        "count": f"{consumable}: {amount} counted; that is what is there now",
        "opened": f"{consumable}: one with {amount} opened",
        "used-up": f"{consumable}: the one that was open is used up",
    }
    return f"{told[kind]}{f' for {price}' if price else ''}."


def consumable_not_kept(name: str, kept: Sequence[str]) -> BadInput:
    """There is no such ink, powder or film."""
    return BadInput(
        "consumable-not-kept",
        f"{name!r} is nothing that is kept in stock here.",
        f"It is one of: {', '.join(kept)}.",
    )


def amount_not_read(written: str, unit: str) -> BadInput:
    """An amount without its unit, or in a wrong one."""
    like = {"ml": "500ml or 1.5l", "g": "800g or 5kg", "m": "100m"}[unit]
    return BadInput(
        "amount-not-read",
        f"{written!r} is no amount of it." if written else "It is not told how much.",
        f"Write the number with its unit, such as {like}.",
    )


def nothing_is_open(name: str) -> ShopProblem:
    """It was not booked that one was opened."""
    return ShopProblem(
        "nothing-is-open",
        f"The books know of no {name} that is open.",
        "Book `filmdocket stock opened` when you open one; for now, count what is there.",
    )


def artwork_not_here(name: str) -> str:
    """Said where a quote had no artwork to measure."""
    return (
        f"{name} does not lie beside the order: its ink is taken from your usual shares, a length that is "
        "not given from the other."
    )


def artwork_not_printable(name: str) -> str:
    """Said where a quote's artwork can't be opened."""
    return f"{name} cannot be opened: ask for it again. It is reckoned with your usual shares."


def order_file_not_read(name: str, why: str) -> BadInput:
    """The order file can't be opened."""
    return BadInput(
        "order-file-not-read", f"The order file {name} cannot be read: {why}.", "Name a file that is there."
    )


make_spoken(__name__, de="tickets.german.cost")
