"""The numerical work on pixels: pure functions of arrays, no decoders, no settings."""

from __future__ import annotations

from intake.measure.passes import measure_ink, measure_with_picture

__all__ = ["measure_ink", "measure_with_picture"]
