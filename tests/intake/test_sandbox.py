"""A stranger's file can cost one refusal, never the shop's process, and never the next file's answer."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil
import pytest

from config.settings import Sandbox as SandboxSettings
from config.settings import load_settings
from intake.facts import Preflight, Verdict
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.sandbox.child import SandboxClosed, SandboxFault
from tickets.problems import SetupProblem

WORKER = (str(Path(__file__).with_name("misbehaving_worker.py")),)
SETTINGS = load_settings(None)
LIMITS = SandboxSettings(workers=2, memory_mb=200, cpu_seconds=1, wall_seconds=3)


def job(name: str) -> PreflightJob:
    """A job whose name says what the worker does."""
    return PreflightJob(Path("a.png"), name, SETTINGS.limits, SETTINGS.film, width_mm=90.0)


def wait_until(holds: object, seconds: float = 10.0) -> bool:
    """Whether `holds()` comes true in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():  # type: ignore[operator]
            return True
        threading.Event().wait(0.02)
    return False


@pytest.fixture(scope="module")
def sandbox() -> Iterator[Sandbox]:
    """One sandbox for the module, as a shop has one for the day."""
    with Sandbox(LIMITS, WORKER) as made:
        yield made


def test_an_answer_comes_back_whole(sandbox: Sandbox) -> None:
    """Verdict, numbers, sentences in any script, and the picture arrive as the worker gave them."""
    answer = sandbox.preflight(job("crest.png"))
    assert (answer.file, answer.verdict, answer.print_mm) == ("crest.png", Verdict.QUERY, (90.0, 81.4))
    assert answer.measures["pixels"] == [3, 2]
    assert answer.findings[0].says == "Thin — très fin."
    assert (answer.findings[0].measured, answer.findings[0].unit) == (0.21, "mm")
    assert answer.picture_png == b"\x89PNG\r\n\x1a\nrest"


@pytest.mark.parametrize("deed", ["abort", "segfault", "leave"])
def test_a_file_that_crashes_its_worker_costs_one_refusal(sandbox: Sandbox, deed: str) -> None:
    """The crashed worker's file is refused by name, and the next file is answered."""
    answer = sandbox.preflight(job(deed))
    assert (answer.verdict, answer.slug) == (Verdict.REFUSE, "file-crashed-reader")
    assert answer.findings[0].check == "file"
    assert sandbox.preflight(job("next.png")).verdict == Verdict.QUERY


@pytest.mark.parametrize("deed", ["hang", "spin"])
def test_a_file_that_never_ends_is_stopped(sandbox: Sandbox, deed: str) -> None:
    """Idle waiting ends at the wall limit, and spinning at the processor limit or that."""
    begun = time.monotonic()
    answer = sandbox.preflight(job(deed))
    assert (answer.verdict, answer.slug) == (Verdict.REFUSE, "file-too-slow")
    assert time.monotonic() - begun < 15
    assert sandbox.preflight(job("next.png")).verdict == Verdict.QUERY


@pytest.mark.parametrize("deed", ["eat", "eat-shared"])
def test_a_file_that_eats_memory_is_stopped(sandbox: Sandbox, deed: str) -> None:
    """Private memory ends at the process's own limit where there is one, any other at the watcher's."""
    answer = sandbox.preflight(job(deed))
    assert (answer.verdict, answer.slug) == (Verdict.REFUSE, "file-too-much-memory")
    assert sandbox.preflight(job("next.png")).verdict == Verdict.QUERY


def test_processor_time_is_counted_for_each_job_anew() -> None:
    """A worker that has used up the limit over several jobs still takes the next one."""
    with Sandbox(SandboxSettings(workers=1, memory_mb=200, cpu_seconds=1, wall_seconds=30), WORKER) as one:
        answers = [one.preflight(job("toil")) for _ in range(5)]
    assert [a.slug for a in answers] == [""] * 5
    assert len({a.measures["pid"] for a in answers}) == 1


def test_printing_does_not_disturb_the_frames(sandbox: Sandbox) -> None:
    """What a library prints to standard output is kept apart from the answer."""
    assert sandbox.preflight(job("babble")).file == "babble"


@pytest.mark.parametrize("deed", ["lie", "no-picture"])
def test_an_answer_that_is_not_as_agreed_is_not_believed(sandbox: Sandbox, deed: str) -> None:
    """A worker taken over by a file cannot hand in what was not agreed."""
    assert sandbox.preflight(job(deed)).slug == "file-crashed-reader"


def test_a_bug_is_told_as_a_bug(sandbox: Sandbox) -> None:
    """An exception that no reader foresaw is no verdict on the file; it carries its trace."""
    with pytest.raises(SandboxFault, match="KeyError: 'a bug'"):
        sandbox.preflight(job("fault"))
    assert sandbox.preflight(job("next.png")).verdict == Verdict.QUERY


@pytest.mark.skipif(sys.platform != "linux", reason="only on Linux can a process give the network up")
def test_a_worker_has_no_network(sandbox: Sandbox) -> None:
    """Opening a socket fails inside the worker with EPERM."""
    assert sandbox.preflight(job("crest.png")).measures["network"] == "refused 1"


def test_several_threads_ask_at_once(sandbox: Sandbox) -> None:
    """Every thread gets the answer to its own question, crashes among them or not."""
    names = [f"{k}.png" if k % 5 else "abort" for k in range(1, 26)]
    with ThreadPoolExecutor(8) as threads:
        answers: list[Preflight] = list(threads.map(lambda name: sandbox.preflight(job(name)), names))
    assert [a.file for a in answers] == names
    assert [a.verdict == Verdict.REFUSE for a in answers] == [name == "abort" for name in names]


def test_a_worker_killed_while_idle_costs_nothing() -> None:
    """The next file is looked at by another worker."""
    with Sandbox(SandboxSettings(workers=1, memory_mb=200, cpu_seconds=5, wall_seconds=20), WORKER) as one:
        pid = int(str(one.preflight(job("a")).measures["pid"]))
        psutil.Process(pid).kill()
        answer = one.preflight(job("b"))
        assert answer.verdict == Verdict.QUERY
        assert answer.measures["pid"] != pid


def test_workers_end_with_the_sandbox() -> None:
    """After `close` no worker is left, and asking again is refused."""
    sandbox = Sandbox(LIMITS, WORKER)
    pid = int(str(sandbox.preflight(job("a")).measures["pid"]))
    sandbox.close()
    assert wait_until(lambda: not psutil.pid_exists(pid))
    with pytest.raises(SandboxClosed):
        sandbox.preflight(job("b"))


def test_closing_in_mid_work_refuses_no_file() -> None:
    """Who waits when the sandbox closes learns that, and not that the file were bad."""
    sandbox = Sandbox(SandboxSettings(workers=1, memory_mb=200, cpu_seconds=60, wall_seconds=60), WORKER)
    with ThreadPoolExecutor(1) as thread:
        asked = thread.submit(sandbox.preflight, job("hang"))
        assert wait_until(lambda: any(c.deadline and c.confinement for c in list(sandbox._all)))
        sandbox.close()
        with pytest.raises(SandboxClosed):
            asked.result(timeout=10)


def test_workers_die_with_their_parent(tmp_path: Path) -> None:
    """A shop process that is killed outright leaves no worker behind, busy or idle."""
    script = tmp_path / "shop.py"
    script.write_text(
        textwrap.dedent(f"""
        import sys, threading
        sys.path.insert(0, {str(Path(__file__).parents[2])!r})
        from tests.intake.test_sandbox import Sandbox, LIMITS, WORKER, job
        from config.settings import Sandbox as S
        sandbox = Sandbox(S(workers=2, memory_mb=200, cpu_seconds=60, wall_seconds=60), WORKER)
        print(sandbox.preflight(job("a")).measures["pid"], flush=True)
        threading.Thread(target=lambda: sandbox.preflight(job("hang")), daemon=True).start()
        while not any(c.deadline for c in list(sandbox._all)): pass
        print("busy", flush=True)
        threading.Event().wait()
        """)
    )
    with subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True) as shop:
        assert shop.stdout is not None
        pid = int(shop.stdout.readline())
        assert shop.stdout.readline() == "busy\n"
        left = [p.pid for p in psutil.Process(shop.pid).children(recursive=True)]
        assert pid in left or sys.platform == "win32"
        shop.kill()
    assert wait_until(lambda: not any(_runs(p) for p in left))


def test_a_worker_that_cannot_start_is_the_shops_problem(tmp_path: Path) -> None:
    """A broken installation is told as such, not blamed on the file."""
    broken = tmp_path / "broken.py"
    broken.write_text("raise SystemExit('no module named numpy')")
    with (
        Sandbox(LIMITS, (str(broken),)) as sandbox,
        pytest.raises(SetupProblem, match="no module named numpy") as told,
    ):
        sandbox.preflight(job("a"))
    assert told.value.slug == "sandbox-cannot-start"


def test_the_shops_process_stays_light() -> None:
    """Importing the sandbox and the preflight loads no decoder and no numbers library."""
    code = (
        "import sys; import intake.sandbox, intake.preflight, intake.reading;"
        "heavy = {'numpy', 'cv2', 'pyvips', 'PIL', 'pikepdf', 'pypdfium2', 'pypdf'} & set(sys.modules);"
        "sys.exit(f'loaded: {heavy}' if heavy else 0)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.skipif(sys.platform == "win32", reason="only on systems with signals")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_signals_to_all_the_shops_processes_are_left_to_the_shop(sandbox: Sandbox, name: str) -> None:
    """A worker does not end on them in mid-work: the shop ends it when the answer is there."""
    pid = int(str(sandbox.preflight(job("a")).measures["pid"]))
    os.kill(pid, getattr(signal, name))
    assert sandbox.preflight(job("b")).verdict == Verdict.QUERY
    assert psutil.pid_exists(pid)


def _runs(pid: int) -> bool:
    try:
        return psutil.Process(pid).status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False
