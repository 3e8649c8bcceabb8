"""Where the measuring's tables go."""

from __future__ import annotations

import sys


def say(text: str = "") -> None:
    """A line of a table on stdout, at once, so that a long campaign can be watched."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()
