"""What is said about sizes: a few millimetres less that would save film, and what the customer answered."""

from __future__ import annotations

from tickets.film.advice import Advice
from tickets.languages import make_spoken
from tickets.problems import ShopProblem


def smaller_saves(advice: Advice, currency: str, pieces: int, *, is_agreed: bool = False) -> str:
    """A size that lets one more piece lie across: what it saves for so many pieces; never done unasked."""
    money = f", about {advice.saved_money:.2f} {currency}" if advice.saved_money >= 0.005 else ""
    ask = "The customer said yes to it before." if is_agreed else "Ask the customer first."
    now, then = advice.across
    lies = f"lie {then} across instead of {now}" if then != now else "lie closer along the film"
    return (
        f"At {advice.width_mm:.1f} × {advice.height_mm:.1f} mm it would {lies}: "
        f"{advice.saved_mm / 1000:.2f} m less film for {pieces} pieces{money}. {ask}"
    )


def size_kept(code: str) -> str:
    """The customer wants the size as ordered."""
    return f"{code} is printed as it was ordered; that is remembered, and not asked of this artwork again."


def size_changed(code: str, width_mm: float, height_mm: float) -> str:
    """The customer agreed."""
    return (
        f"{code} is printed at {width_mm:g} × {height_mm:g} mm; that is remembered. "
        "Its artwork is checked once more at that size."
    )


def agreed_before(code: str, width_mm: float, height_mm: float) -> str:
    """A size that the customer said yes to, now or with an earlier order of the same artwork."""
    return f"{code} is printed at {width_mm:g} × {height_mm:g} mm: its customer agreed to that smaller size."


def no_advice(code: str) -> ShopProblem:
    """There is nothing to answer."""
    return ShopProblem(
        "no-size-advice",
        f"No smaller size of {code} is advised: none saves film, or it was answered, or nothing of it waits.",
        "See what is advised: filmdocket film plan",
    )


def size_too_late(code: str) -> ShopProblem:
    """Pieces of another size are in a run or printed."""
    return ShopProblem(
        "size-too-late",
        f"Pieces of {code} are in a film run, or further on already: its size stays.",
        f"If they are only planned, take them out first: filmdocket film take-out {code}",
    )


make_spoken(__name__, de="tickets.german.sizes")
