"""What the shop's own counts say of what printing takes: ridge regression, shrunk to the settings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

_K_SPREAD = 0.5  # how far a setting may be off, as a share of it (common practice: ranges in shop.toml)
_P_SPREAD = 1.0
_MONTHLY_NOISE = 0.03  # what is printed and not booked, spilled, or measured a little off
_TWO_SIDED_90 = 1.645  # standard deviations either side that hold 90 % of a normal error
DAYS_A_MONTH = 30.44


@dataclass(frozen=True, slots=True)
class Period:
    """Between two counts of one thing: what went (opening + bought − closing), and what was printed.

    `driver`: of its area (m²) or film (m); `other`: hours of the machine, or runs, for purge and leads.
    """

    days: float
    driver: float
    other: float
    used: float


@dataclass(frozen=True, slots=True)
class Takes:
    """How much is used: k for each of the driver and p for each of the other. Units are the thing's own."""

    k: float
    p: float

    def amount(self, driver: float, other: float) -> float:
        """What so much printing takes."""
        return self.k * driver + self.p * other


@dataclass(frozen=True, slots=True)
class Fitted:
    """Figures fitted to counts. `error_share`: nine times of ten what is used lies within so much of it."""

    takes: Takes
    months: float
    error_share: float


def fit(periods: Sequence[Period], settings: Takes, count_off: float) -> Fitted | None:
    """Fit k and p to what was counted; None without a period in which anything was printed.

    Ridge regression towards the settings (k ± 50 %, p ± 100 %), the mean of the Bayesian linear model with
    these normal priors (Hoerl & Kennard 1970, from memory): (XᵀWX + Λ)⁻¹(XᵀWy + Λβ₀). W is the inverse of the
    errors' covariance: 3 % of a period and `count_off` (standard deviation, in the thing's unit) of each
    count, which two neighbouring periods share with opposite sign. Figures under nothing are held at nothing.
    """
    printed = [p for p in periods if settings.amount(p.driver, p.other) > 0]
    if not printed:
        return None
    import numpy as np

    rows = np.array([[p.driver, p.other] for p in printed])
    used = np.array([p.used for p in printed])
    expected = rows @ np.array([settings.k, settings.p])
    errors = np.diag((_MONTHLY_NOISE * np.maximum(expected, used)) ** 2 + 2 * count_off**2)
    for at in range(len(printed) - 1):
        errors[at, at + 1] = errors[at + 1, at] = -(count_off**2)
    weights = np.linalg.inv(errors + np.eye(len(printed)) * 1e-12)
    spread = np.array([settings.k * _K_SPREAD, settings.p * _P_SPREAD])
    free = [at for at in (0, 1) if spread[at] > 0]
    figures = np.zeros(2)
    while free:
        x = rows[:, free]
        ridge = np.diag(1 / spread[free] ** 2)
        around = np.linalg.inv(x.T @ weights @ x + ridge)
        start = np.array([settings.k, settings.p])[free]
        found = around @ (x.T @ weights @ used + ridge @ start)
        if (found >= 0).all():
            figures[free] = found
            break
        free = [at for at, figure in zip(free, found, strict=True) if figure >= 0]
    mean = rows.mean(axis=0)
    takes = Takes(float(figures[0]), float(figures[1]))
    sd = math.sqrt(float(mean[free] @ around @ mean[free])) if free else 0.0
    amount = takes.amount(float(mean[0]), float(mean[1]))
    months = sum(p.days for p in printed) / DAYS_A_MONTH
    return Fitted(takes, months, _TWO_SIDED_90 * sd / amount if amount else 1.0)
