"""The worker: jobs come in by its standard input, answers go out, and it keeps no right that it can give up.

Run as `python -P -m intake.sandbox.worker PARENT_PID MEMORY_MB CPU_SECONDS`.
"""

from __future__ import annotations

import os
import queue
import signal
import sys
import threading
import traceback
from collections.abc import Callable
from typing import Any, BinaryIO

from intake.facts import Preflight
from intake.preflight import PreflightJob
from intake.sandbox import confine
from intake.sandbox.wire import answer_as_json, job_from_json, read_frame, write_frame
from tickets.languages import speak

# A terminal or a service manager sends these to every process of the shop: the parent acts on them, and ends
# its workers when their work is done. One that ended by itself would look as if the file had crashed it.
_PARENTS_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")

Answer = Callable[[PreflightJob], Preflight]


def serve(answer: Answer, load: Callable[[], None]) -> None:
    """Confine this process, then answer jobs one by one until the other end closes.

    `load` imports what answering needs, once the network is gone and before memory is limited.
    """
    parent_pid, memory_mb, cpu_seconds = (int(word) for word in sys.argv[1:4])
    for name in _PARENTS_SIGNALS:
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    confine.die_with_parent(parent_pid)
    confine.write_no_core()
    hello: dict[str, Any] = {"network_dropped": confine.drop_network()}
    source, sink = _take_over_pipes()
    load()
    hello["memory_limited"] = confine.limit_memory(memory_mb)
    write_frame(sink, hello)
    for job in iter(_jobs_of(source).get, None):
        write_frame(sink, {"begun": True})  # from here on the end of this process is the file's doing
        confine.allow_cpu(cpu_seconds)
        speak(job.pop("language"))
        if not _answer_one(answer, job_from_json(job), sink):
            return


def _answer_one(answer: Answer, job: PreflightJob, sink: BinaryIO) -> bool:
    """Answer one job; False when this worker should not take another."""
    try:
        result = answer(job)
    except MemoryError:
        write_frame(sink, {"trouble": "memory"})
        return False
    except Exception as error:
        if _is_about_memory(error):
            write_frame(sink, {"trouble": "memory"})
            return False
        write_frame(sink, {"trouble": "fault", "trace": traceback.format_exc(limit=30)})
        return True
    write_frame(sink, {"answer": answer_as_json(result)}, result.picture_png)
    return True


def _is_about_memory(error: Exception) -> bool:
    """Native libraries tell of want of memory in exceptions of their own."""
    return type(error).__module__.split(".")[0] in ("cv2", "pyvips") and "memory" in str(error).lower()


def _take_over_pipes() -> tuple[BinaryIO, BinaryIO]:
    """The pipes for frames; what anything else prints to standard output goes to standard error instead."""
    source, sink = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.dup2(2, 1)
    if sys.platform == "win32":
        import msvcrt

        for stream in (source, sink):
            msvcrt.setmode(stream.fileno(), os.O_BINARY)
    return source, sink


def _jobs_of(source: BinaryIO) -> queue.Queue[dict[str, Any] | None]:
    """Jobs as they come. A thread waits for them, so that the parent's end is noticed in mid-work too."""
    jobs: queue.Queue[dict[str, Any] | None] = queue.Queue()

    def listen() -> None:
        while (frame := read_frame(source)) is not None:
            jobs.put(frame[0])
        os._exit(0)

    threading.Thread(target=listen, name="jobs", daemon=True).start()
    return jobs


def _load_readers() -> None:
    """Import decoders and measures before memory is limited, so that the limit counts what the file takes."""
    import intake.checks
    import intake.measure
    import intake.repairs  # noqa: F401 - all for their weight alone
    from intake.reading.decoders import load_decoders

    load_decoders()


def _run(job: PreflightJob) -> Preflight:
    if job.repair is not None:
        from intake.mending import run_mending

        return run_mending(job)
    if job.film_work is not None:
        from intake.film.tasks import run_film_work

        return run_film_work(job, job.film_work)
    from intake.preflight import run_preflight

    return run_preflight(job)


if __name__ == "__main__":
    serve(_run, _load_readers)
