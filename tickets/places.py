"""The places that pieces come from and end at, beyond the stations of the line; and the kinds of service."""

from __future__ import annotations

NEW = "new"  # where pieces come from when a ticket is issued
DISPATCHED, SPOILED, CANCELLED = "dispatched", "spoiled", "cancelled"
ENDS = (DISPATCHED, SPOILED, CANCELLED)  # with the stations they hold every piece of a ticket
SERVICES = ("pressed", "transfers")
