"""Opens and measures each file that it is given, and says in a word what became of it: a worker of `fuzz`."""

from __future__ import annotations

import contextlib
import io
import sys
import time
from pathlib import Path

from config.settings import load_settings
from intake.preflight import PreflightJob, run_preflight
from tests.bench.fuzz import MEMORY_KB, SECONDS_EACH

SETTINGS = load_settings(None, {})


def outcome(path: Path) -> str:
    """answer, refusal, slow, memory, bug (an exception that no reader foresaw)."""
    started = time.process_time()
    said = io.StringIO()
    job = PreflightJob(path, path.name, SETTINGS.limits, SETTINGS.film, width_mm=20.0, want_picture=False)
    try:
        with contextlib.redirect_stderr(said):
            slug = run_preflight(job).slug
    except MemoryError:
        return "memory"
    except Exception:
        return "bug"
    if "Traceback" in said.getvalue():
        return "unforeseen"  # refused as damaged, but by the net below all readers
    if time.process_time() - started > SECONDS_EACH:
        return "slow"
    return "refusal" if slug else "answer"


if __name__ == "__main__":
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_KB << 10, MEMORY_KB << 10))
    for name in sys.argv[1:]:
        sys.stdout.write(outcome(Path(name)) + "\n")
        sys.stdout.flush()
