"""What is said about choices of a plan: film of other sizes, whole jobs, costs, and stopping early."""

from __future__ import annotations

from tickets.languages import make_spoken
from tickets.problems import ShopProblem


def bad_roll(roll_mm: float, least_mm: float, most_mm: float) -> ShopProblem:
    """A roll that does not go into this printer."""
    return ShopProblem(
        "bad-roll",
        f"A roll {roll_mm:g} mm wide does not go into this printer: {least_mm:g} to {most_mm:g} mm do.",
        "Name the width of the roll that is in it; the widest is the shop's film.width_mm.",
    )


def bad_sheet(sheet: str, widest_mm: float) -> ShopProblem:
    """A sheet that nobody can print."""
    return ShopProblem(
        "bad-sheet",
        f"Film cannot be laid on sheets of “{sheet.strip()[:40]}”.",
        f"Name two sides in mm, one of them at most {widest_mm:g} and both longer than the margins: "
        "600x460; or A3.",
    )


def whole_jobs_cost(whole_mm: float, parted_mm: float) -> str:
    """What it costs that no ticket lies across two runs."""
    more_mm = whole_mm - parted_mm
    if more_mm <= 0.5:
        return "No ticket lies across two runs, and that takes no more film."
    share = more_mm / parted_mm if parted_mm else 0.0
    return (
        f"No ticket lies across two runs: that takes {more_mm / 1000:.2f} m more film ({share:.1%}) "
        "than if they might."
    )


def parted_jobs_cost(whole_mm: float, parted_mm: float) -> str:
    """What it would cost."""
    more_mm = whole_mm - parted_mm
    if more_mm <= 0.5:
        return "Whole jobs in a run would take no more film: choose that."
    return f"Whole jobs in a run would take {more_mm / 1000:.2f} m more film ({more_mm / parted_mm:.1%})."


def plan_costs(total: str, each: str, saved: str) -> str:
    """What a plan's film, ink, powder, machine and cutting cost; `saved` "": no less than rows."""
    less = f", {saved} less than in plain rows" if saved else ""
    return f"It costs {total} to print and cut{less}: {each} a piece."


def stopped_early() -> str:
    """Somebody stopped the planning."""
    return "Stopped: this is the best plan so far."


def planning(share: float, length_mm: float, rows_mm: float) -> str:
    """How far planning is, on one line that is written over."""
    best = f"{length_mm / 1000:.2f} m, plain rows {rows_mm / 1000:.2f} m"
    return f"Planning {share:4.0%}: {best} (Ctrl-C keeps the best so far)"


def finishing(code: str, seconds: int) -> str:
    """What takes a while."""
    return f"Looking for a shorter layout of run {code} for {seconds} s. Ctrl-C leaves it as it is."


def finished(code: str, before_mm: float, length_mm: float) -> str:
    """What came of it."""
    if length_mm >= before_mm:
        return f"Run {code} stays as it was, {before_mm / 1000:.2f} m: nothing shorter that pays was found."
    saved = f"{(before_mm - length_mm) / 1000:.2f} m less"
    return f"Run {code} is {length_mm / 1000:.2f} m long now, {saved}: laid by its pieces' outlines."


make_spoken(__name__, de="tickets.german.film_choices")
