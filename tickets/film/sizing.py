"""What is advised of a print of some size, before anybody ordered it or while its customer is asked."""

from __future__ import annotations

from config.settings import Settings
from tickets.film.advice import Advice, advise
from tickets.film.model import Job, Shape
from tickets.film.rules import rules_of
from tickets.wording_sizes import smaller_saves

A_HUNDRED = 100  # pieces, where nobody said how many


def advice_of_size(
    settings: Settings, print_mm: tuple[float, float], pieces: int | None = None
) -> tuple[Advice, str] | None:
    """What is advised of a print of that size in mm, and in words; for a hundred pieces if nobody said."""
    job = Job("", "", pieces or A_HUNDRED, Shape(*print_mm), settings.film.default_kind)
    advice = advise(job, rules_of(settings.film), settings.film.laying.advise_percent / 100)
    if advice is None:
        return None
    return advice, smaller_saves(advice, settings.money.currency, job.quantity)
