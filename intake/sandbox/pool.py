"""The sandbox: a few workers, handed out one job at a time, watched from outside, replaced when they end."""

from __future__ import annotations

import contextlib
import logging
import os
import queue
import sys
import threading
import time
from concurrent.futures import Future
from enum import Enum
from types import TracebackType

from config.settings import Sandbox as SandboxSettings
from intake.facts import Preflight
from intake.preflight import PreflightJob
from intake.sandbox.child import Child, ChildLimits, SandboxClosed
from tickets.problems import SetupProblem

log = logging.getLogger(__name__)

WORKER = ("-m", "intake.sandbox.worker")
_WATCH_SECONDS = 0.05
_MOST_JOBS = 500  # a worker is replaced after so many: what native libraries leak ends with it


class Token(Enum):
    """What the sandbox's own thread is told beside "start a worker"."""

    LOOK = "look"
    STOP = "stop"


class Sandbox:
    """Answers preflight jobs in worker processes; may be used from several threads at once.

    Workers are started when first needed, and kept. `command` is what starts one (after the interpreter).
    """

    def __init__(self, settings: SandboxSettings, command: tuple[str, ...] = WORKER) -> None:
        cores = _cores()
        self._count = settings.workers or cores
        self._limits = ChildLimits(
            command=command,
            memory_mb=settings.memory_mb,
            cpu_seconds=settings.cpu_seconds,
            wall_seconds=settings.wall_seconds,
            threads=max(1, cores // self._count),
        )
        self._free = threading.BoundedSemaphore(self._count)
        self._lock = threading.Lock()
        self._idle: list[Child] = []
        self._all: set[Child] = set()
        self._wanted: queue.SimpleQueue[Future[Child] | Token] = queue.SimpleQueue()
        self._is_closed = False
        # Linux ends a worker with the *thread* that started it: one thread of the sandbox's own starts all.
        self._keeper = threading.Thread(target=self._keep, name="sandbox", daemon=True)
        self._keeper.start()

    def __enter__(self) -> Sandbox:
        return self

    def __exit__(
        self, _type: type[BaseException] | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        self.close()

    def preflight(self, job: PreflightJob) -> Preflight:
        """The answer about one file, waiting for a free worker when all are busy.

        A file that crashes its worker, hangs it or eats its memory is answered by a refusal that says so.
        Raises SandboxFault on a bug in the looking, SetupProblem when workers cannot be started on this
        machine, SandboxClosed when the sandbox is closed meanwhile.
        """
        with self._free:
            for _ in range(self._count + 2):
                child = self._borrow()
                self._wanted.put(Token.LOOK)
                try:
                    answer = child.ask(job)
                finally:
                    self._give_back(child)
                if answer is not None:
                    return answer
        raise SetupProblem(
            "sandbox-cannot-start",
            "The processes that open artwork end as soon as they are started.",
            "Run `filmdocket doctor`; it says what is missing.",
        )

    def close(self) -> None:
        """End all workers. Nobody may be waiting for an answer any more."""
        with self._lock:
            if self._is_closed:
                return
            self._is_closed = True
            ending = list(self._all)
        for child in ending:
            child.is_dismissed = True
            child.end()
        self._wanted.put(Token.STOP)
        self._keeper.join(timeout=10.0)

    def _borrow(self) -> Child:
        with self._lock:
            if self._is_closed:
                raise SandboxClosed
            while self._idle:
                child = self._idle.pop()
                if child.is_alive:
                    return child
                self._all.discard(child)
            started: Future[Child] = Future()
            self._wanted.put(started)
        return started.result()

    def _give_back(self, child: Child) -> None:
        is_worn = child.jobs_done >= _MOST_JOBS or self._holds_much(child)
        if child.is_alive and not is_worn:
            with self._lock:
                if not self._is_closed:
                    self._idle.append(child)
                    return
        child.end()
        with self._lock:
            self._all.discard(child)

    def _holds_much(self, child: Child) -> bool:
        return _resident_mb(child) > self._limits.memory_mb / 2

    def _keep(self) -> None:
        """Start workers as they are wanted, and hold those at work to their limits."""
        wanted: Future[Child] | Token
        while True:
            try:
                wanted = self._wanted.get(timeout=_WATCH_SECONDS if self._is_any_at_work() else None)
            except queue.Empty:
                wanted = Token.LOOK
            if isinstance(wanted, Future):
                self._start(wanted)
            elif wanted is Token.STOP:
                return
            self._watch()

    def _is_any_at_work(self) -> bool:
        with self._lock:
            return len(self._idle) < len(self._all)

    def _start(self, wanted: Future[Child]) -> None:
        try:
            child = Child(self._limits)
        except OSError as error:
            says = f"The process that opens artwork cannot be started: {error.strerror}."
            wanted.set_exception(
                SetupProblem("sandbox-cannot-start", says, "Free some memory and try again.")
            )
            return
        with self._lock:
            if not self._is_closed:
                self._all.add(child)
                wanted.set_result(child)
                return
        child.end()
        wanted.set_exception(SandboxClosed())

    def _watch(self) -> None:
        """The second guard, the same on every system: wall time and memory, seen from outside."""
        with self._lock:
            busy = [child for child in self._all if child.deadline is not None]
        for child in busy:
            if child.deadline is not None and time.monotonic() > child.deadline:
                child.overstep("file-too-slow")
            elif _resident_mb(child) > self._limits.memory_mb:
                child.overstep("file-too-much-memory")


def _cores() -> int:
    with contextlib.suppress(AttributeError):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _resident_mb(child: Child) -> float:
    """Memory that a worker holds, with what it may have started, in MB; 0 once it has ended."""
    import psutil

    total = 0
    try:
        process = psutil.Process(child.process.pid)
        started = process.children(recursive=True) if sys.platform == "win32" else []  # a venv's launcher
        for one in (process, *started):
            total += one.memory_info().rss
    except psutil.Error:
        pass
    return total / (1 << 20)
