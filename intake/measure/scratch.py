"""Arrays that every window uses anew: memory fresh from the system costs more than what is done with it."""

from __future__ import annotations

from math import prod

import numpy as np

from intake.measure.bytewise import Bytes


class Scratch:
    """Arrays by name; one is valid until the same name is asked for again."""

    def __init__(self) -> None:
        self._arrays: dict[str, Bytes] = {}

    def array(self, name: str, shape: tuple[int, ...]) -> Bytes:
        """The array of that name in a shape, holding whatever was left in it."""
        size = prod(shape)
        flat = self._arrays.get(name)
        if flat is None or flat.size < size:
            flat = self._arrays[name] = np.empty(size, np.uint8)
        return flat[:size].reshape(shape)
