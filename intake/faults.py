"""Named points at which a test may have the program die, as in a power cut; in real life they do nothing."""

from __future__ import annotations

import os
import signal

from config.settings import fault_point

# Each is a moment between two steps of the intake; what start-up must do after a death there is in
# claiming.py.
POINTS = (
    "settled",
    "copying",
    "after-copy",
    "before-take",
    "after-take",
    "refused-written",
    "after-refuse",
    "set-aside",
    "after-clear",
    "before-judgement",
    "after-judgement",
    "paper-rendered",
    "paper-written",
    "slip-written",
    "report-written",
    "message-written",
)


def reach(point: str) -> None:
    """Die here at once, without clean-up, when asked for this point (`name`, or `name:3`: the third time)."""
    asked = fault_point()
    if not asked:
        return
    name, _, times = asked.partition(":")
    if name != point:
        return
    _seen[point] = _seen.get(point, 0) + 1
    if _seen[point] >= int(times or 1):
        if hasattr(signal, "SIGKILL"):
            os.kill(os.getpid(), signal.SIGKILL)
        os._exit(137)  # Windows has no such signal


_seen: dict[str, int] = {}
