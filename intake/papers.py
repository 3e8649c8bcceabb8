"""Papers and reports that are due: rendered outside of any transaction, written whole, and noted."""

from __future__ import annotations

from intake.shop import Shop


def write_due_papers(shop: Shop) -> None:
    """x"""


def write_due_reports(shop: Shop) -> None:
    """x"""
