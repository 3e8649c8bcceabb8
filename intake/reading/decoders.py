"""Loads every decoder at once, for a worker that will open many files and wants the weight behind it."""

from __future__ import annotations

import pyvips

import intake.reading.pdf
import intake.reading.psd
import intake.reading.raster
import intake.reading.svg  # noqa: F401 - all imported for their weight alone


def load_decoders() -> None:
    """Set the decoders up for strangers' files: nothing of one is kept in memory for the next."""
    pyvips.cache_set_max(0)
