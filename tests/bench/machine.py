"""One line on the machine and the day, to stand above every table."""

from __future__ import annotations

import os
import platform
import sys
from datetime import UTC, datetime

import psutil


def describe_machine() -> str:
    """The day, the processors and the Python that the figures below were taken with."""
    day = datetime.now(UTC).date().isoformat()
    python = f"Python {platform.python_version()}"
    return f"{day}, {os.cpu_count()} processors (shared), {platform.system()}, {python}\n"


def peak_memory_mb() -> float:
    """The most memory that this program ever held, in MB."""
    if sys.platform == "win32":
        return float(psutil.Process().memory_info().peak_wset) / (1 << 20)
    import resource

    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss  # bytes on macOS, else KiB
    return most / (1 << 20 if sys.platform == "darwin" else 1 << 10)
