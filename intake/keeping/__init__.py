"""Backing the shop up, bringing it back, and seeing that all of it is still whole."""
