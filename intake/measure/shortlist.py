"""What is known of one side of a picture so far: the least widths found, and how much of it was looked at."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from intake.measure.screens import Kept

NO_WIDTHS = np.empty(0, np.float32)


@dataclass(slots=True)
class Shortlist:
    """The least widths found so far: what is wider than all of them would not be told anyway.

    Whatever the order in which a picture is seen, every place no wider than the final `bound` is found.
    """

    most: int
    values: NDArray[np.float32] = field(default_factory=NO_WIDTHS.copy)
    dense: Kept = field(default_factory=Kept)
    crowded: Kept = field(default_factory=Kept)

    @property
    def bound(self) -> float:
        """The widest that is still told, in px."""
        return float(self.values[-1]) if len(self.values) == self.most else np.inf

    def take(self, values: NDArray[np.float32]) -> None:
        """Note further widths."""
        self.values = np.sort(np.concatenate([self.values, values]))[: self.most]
