"""One line on the machine and the day, to stand above every table."""

from __future__ import annotations

import os
import platform
from datetime import UTC, datetime


def describe_machine() -> str:
    """The day, the processors and the Python that the figures below were taken with."""
    day = datetime.now(UTC).date().isoformat()
    python = f"Python {platform.python_version()}"
    return f"{day}, {os.cpu_count()} processors (shared), {platform.system()}, {python}\n"
