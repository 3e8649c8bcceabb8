"""Shapes whose widths are known from their vectors, drawn by renderers that know nothing of each other."""
