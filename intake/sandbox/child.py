"""One worker process as the shop sees it: started, asked, watched, ended."""

from __future__ import annotations

import collections
import contextlib
import logging
import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from typing import IO, Any

from config.settings import child_environment
from intake.facts import Preflight
from intake.naming import in_log
from intake.preflight import PreflightJob, refused
from intake.sandbox import jobobject
from intake.sandbox.wire import BrokenFrame, answer_from_json, job_as_json, read_frame, write_frame
from tickets.languages import spoken
from tickets.problems import ArtworkRefused, SetupProblem

log = logging.getLogger(__name__)

START_SECONDS = 60.0
ALLOCATOR = {  # glibc gives the arrays of a large picture back at once, but keeps those of its parts
    "MALLOC_MMAP_THRESHOLD_": "4194304",
    "MALLOC_TRIM_THRESHOLD_": "16777216",
    "MALLOC_ARENA_MAX": "2",
}
_KEPT_LINES = 200
_THREAD_VARIABLES = ("VIPS_CONCURRENCY", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
_MEMORY_WORDS = ("out of memory", "memoryerror", "bad_alloc", "failed to allocate")


class SandboxFault(Exception):
    """A bug: looking at artwork failed in a way that is not the artwork's doing; holds the trace."""


class SandboxClosed(Exception):
    """The sandbox was closed while an answer was awaited: nothing is known about the file."""


@dataclass(frozen=True, slots=True)
class ChildLimits:
    """How a worker is started, and what it may use: MB beyond its own start, seconds a job, threads."""

    command: tuple[str, ...]
    memory_mb: int
    cpu_seconds: int
    wall_seconds: int
    threads: int


class Child:
    """A running worker. `ask` blocks; `overstep` is called from the watching thread."""

    def __init__(self, limits: ChildLimits) -> None:
        """Start the process; must be called from the thread that outlives it (see `pool.py`)."""
        self.limits = limits
        self.deadline: float | None = None
        self.overstepped = ""
        self.is_dismissed = False
        self.confinement: dict[str, Any] = {}
        self.jobs_done = 0
        self.is_spent = False
        words = (os.getpid(), limits.memory_mb, limits.cpu_seconds)
        self.process = subprocess.Popen(
            [sys.executable, "-P", *limits.command, *(str(word) for word in words)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=child_environment({**dict.fromkeys(_THREAD_VARIABLES, str(limits.threads)), **ALLOCATOR}),
        )
        self.job_object = jobobject.hold(self.process, limits.memory_mb)
        self._said: collections.deque[bytes] = collections.deque(maxlen=_KEPT_LINES)
        assert self.process.stderr is not None
        self._listener = threading.Thread(target=self._listen, args=(self.process.stderr,), daemon=True)
        self._listener.start()

    @property
    def is_alive(self) -> bool:
        """Whether it runs and may take another job."""
        return not self.is_spent and self.process.poll() is None

    def ask(self, job: PreflightJob) -> Preflight | None:
        """The answer to one job; None when the worker had ended before it got the job (ask another).

        Raises SandboxFault when looking failed by a bug, SetupProblem when workers cannot be started here,
        SandboxClosed when the sandbox was closed meanwhile.
        """
        if not self.confinement and not self._hear_hello():
            self._refuse_to_start()
        self.jobs_done += 1
        self.deadline = time.monotonic() + self.limits.wall_seconds
        try:
            has_begun = self._hand_over(job)
            frame = self._read() if has_begun else None
        finally:
            self.deadline = None
        if self.is_dismissed:
            raise SandboxClosed
        if not has_begun and not self.overstepped:
            self.end()
            return None
        if frame is None:
            return refused(job.name, self._reason())
        return self._understood(job, *frame)

    def _hand_over(self, job: PreflightJob) -> bool:
        """Whether the worker took the job up; one that had ended before did not: no fault of the file."""
        assert self.process.stdin is not None
        try:
            write_frame(self.process.stdin, {**job_as_json(job), "language": spoken()})
        except OSError:
            return False
        return self._read() is not None

    def overstep(self, slug: str) -> None:
        """Kill it because it took more than it may; the one who waits for its answer is told `slug`."""
        if not self.overstepped:
            self.overstepped = slug
            self.process.kill()

    def end(self) -> None:
        """Let it go: closing its input ends an idle worker, anything else is killed."""
        self.is_spent = True
        assert self.process.stdin is not None
        with contextlib.suppress(OSError):
            self.process.stdin.close()
        try:
            self.process.wait(timeout=1.0)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._listener.join(timeout=5.0)
        assert self.process.stdout is not None
        self.process.stdout.close()
        jobobject.release(self.job_object)

    def _hear_hello(self) -> bool:
        self.deadline = time.monotonic() + START_SECONDS
        frame = self._read()
        self.deadline = None
        if frame is not None:
            self.confinement = {"started": True, **frame[0]}
        return frame is not None

    def _refuse_to_start(self) -> None:
        self.end()
        log.error("event=worker-not-started says=%s", in_log(self._last_words()))
        last = self._last_words().strip().splitlines()[-1:] or ["it said nothing"]
        raise SetupProblem(
            "sandbox-cannot-start",
            f"The process that opens artwork cannot be started ({last[0]}).",
            "Run `filmdocket doctor`; installing filmdocket anew usually mends it.",
        )

    def _read(self) -> tuple[dict[str, Any], bytes] | None:
        assert self.process.stdout is not None
        try:
            return read_frame(self.process.stdout)
        except (BrokenFrame, OSError, ValueError) as error:
            log.warning("event=worker-broke-off why=%s", in_log(str(error)))
            return None

    def _understood(self, job: PreflightJob, document: dict[str, Any], raw: bytes) -> Preflight:
        if "answer" in document:
            try:
                return answer_from_json(document["answer"], raw)
            except (BrokenFrame, AttributeError) as error:
                log.warning("event=worker-not-understood why=%s", in_log(str(error)))
                self.end()
                return refused(job.name, _refusal("file-crashed-reader"))
        if document.get("trouble") == "memory":
            self.is_spent = True
            return refused(job.name, _refusal("file-too-much-memory"))
        raise SandboxFault(str(document.get("trace", "a worker gave no answer")))

    def _reason(self) -> ArtworkRefused:
        """Why the worker ended in mid-job."""
        self.end()
        status = self.process.returncode
        log.warning("event=worker-ended status=%s says=%s", status, in_log(self._last_words()))
        if self.overstepped:
            return _refusal(self.overstepped)
        if sys.platform != "win32" and status == -signal.SIGXCPU:
            return _refusal("file-too-slow")
        is_killed_by_kernel = sys.platform == "linux" and status == -signal.SIGKILL  # to free memory
        if is_killed_by_kernel or any(word in self._last_words().lower() for word in _MEMORY_WORDS):
            return _refusal("file-too-much-memory")
        return _refusal("file-crashed-reader")

    def _listen(self, stderr: IO[bytes]) -> None:
        with stderr:
            while line := stderr.readline(4096):
                self._said.append(line)
                log.debug(
                    "event=worker-says says=%s", in_log(line.decode("utf-8", "backslashreplace").rstrip())
                )

    def _last_words(self) -> str:
        return b"".join(self._said).decode("utf-8", "backslashreplace")


def _refusal(slug: str) -> ArtworkRefused:
    says, do = {
        "file-too-slow": (
            "Looking at the file took longer than is allowed, so it was stopped.",
            "Please send a simpler version: flattened, or as a PNG at print size.",
        ),
        "file-too-much-memory": (
            "Looking at the file took more memory than is allowed, so it was stopped.",
            "Please send it at the size it is to be printed, at 300 pixels an inch.",
        ),
        "file-crashed-reader": (
            "The file made the program that reads it fall over; it is probably damaged.",
            "Please export it again from the program it was made in, and send that.",
        ),
    }[slug]
    return ArtworkRefused(slug, says, do)
