"""Reports and messages that are due: written whole into `outbox/`, and only then noted."""

from __future__ import annotations

from intake.shop import Shop


def write_due_reports(shop: Shop) -> None:
    """x"""
