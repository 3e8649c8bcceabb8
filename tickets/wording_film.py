"""What is said about film: plans, runs, and sizes that would save some."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tickets.film.advice import Advice
from tickets.film.lots import Unlaid
from tickets.film.model import Layout
from tickets.film.planning import Plan
from tickets.problems import ShopProblem

WAYS = {
    "rows": "in rows",
    "boxes": "closely, straight cuts",
    "outlines": "by outline",
    "finished": "by outline",
}


def nothing_for_film() -> ShopProblem:
    """No piece waits at the first station."""
    return ShopProblem(
        "nothing-for-film",
        "No pieces wait to be printed outside of a film run.",
        "Look at the line: filmdocket orders --standing 'in work'.",
    )


def plan_in_short(plan: Plan, tickets: int) -> str:
    """The whole plan in a sentence."""
    saved = f", {plan.saved_share:.0%} less than in plain rows" if plan.saved_share >= 0.005 else ""
    runs = "1 run" if len(plan.layouts) == 1 else f"{len(plan.layouts)} runs"
    return (
        f"{plan.pieces} pieces of {tickets} {'ticket' if tickets == 1 else 'tickets'} "
        f"on {plan.metres:.2f} m of film{saved}: {runs}, "
        f"{plan.inked_share:.0%} of the film used, {plan.minutes:.0f} minutes of cutting."
    )


def run_in_short(number: int, layout: Layout, code: str) -> str:
    """One run of a plan: its code once it has one, what lies on it."""
    lies = ", ".join(f"{ticket} × {count}" for ticket, count in layout.counts().items())
    named = f"Run {code}" if code else f"Run {number}"
    return f"{named}, {layout.film}, {layout.length_mm / 1000:.2f} m, {WAYS[layout.way]}: {lies}"


def not_laid(unlaid: Sequence[Unlaid]) -> list[str]:
    """The jobs that no run can take."""
    return [f"{one.job.code} cannot be laid: {one.why}." for one in unlaid]


def smaller_saves(advice: Sequence[Advice], currency: str) -> list[str]:
    """Sizes that would let one more piece lie across; a question for the customer, never done unasked."""
    return [
        f"{one.code} at {one.width_mm:.1f} × {one.height_mm:.1f} mm would lie {one.across[1]} across "
        f"instead of {one.across[0]}: {one.saved_mm / 1000:.2f} m less film, "
        f"about {one.saved_money:.2f} {currency}. Ask the customer first."
        for one in advice
    ]


def laid(codes: Mapping[int, str]) -> str:
    """The plan is booked."""
    return (
        f"Booked: {', '.join(codes.values())}. One scan of a run's code at print, powder and cure now "
        "moves all its pieces."
        if codes
        else "Nothing is booked yet: --lay gives each run a code and lays its pieces in it."
    )
