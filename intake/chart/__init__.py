"""The shop's own test print: a chart of graded sizes, and the limits that what survived of it gives."""

from intake.chart.page import DEFAULT_COLOUR, render_chart
from intake.chart.sizes import Feature, Kind, features

__all__ = ["DEFAULT_COLOUR", "Feature", "Kind", "features", "render_chart"]
