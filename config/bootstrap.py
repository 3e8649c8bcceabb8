"""Sets the project up in `.venv` with nothing but the standard library; must parse on Python 3.8."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

MYPY = False  # what `typing.TYPE_CHECKING` is, without the import
if MYPY:
    from collections.abc import Iterator, Sequence
    from types import FrameType
    from typing import Any

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "filmdocket-complete.json"
CONSTRAINTS = ROOT / "config" / "constraints.txt"
PROJECT = "filmdocket"

OLDEST_PYTHON = (3, 11)  # as `requires-python` in pyproject.toml has it; a test proves they agree
NEEDED_MB = 600  # about what the environment takes, tests included, beside what pip unpacks on its way
CANNOT = 5  # the exit status of everything that a person can put right, as everywhere in the project

# Whether an environment without our stamp is somebody's own, to be completed and not to be made again.
HOLDS_PROJECT = "import sys; from config.bootstrap import PROJECT, lacks; sys.exit(PROJECT in lacks())"
# These would send the packages somewhere else than into the environment.
LED_ASTRAY = (
    "PIP_USER",
    "PIP_TARGET",
    "PIP_PREFIX",
    "PIP_ROOT",
    "UV_SYSTEM_PYTHON",
    "PYTHONHOME",
    "__PYVENV_LAUNCHER__",
)
SET_UP_BY_US = "FILMDOCKET_SET_UP"  # set for what is started in `.venv`, so that it never starts another

# What pip or uv says, and what that means to a person.
FAILURES = {
    r"No space left on device|Errno 28|not enough space": (
        "The disk is full. Free about {mb} MB, also for temporary files ({tmp}), and run the command again."
    ),
    r"name resolution|not known|getaddrinfo|nodename nor|NewConnection|Network is unreach|Connection re"
    r"|[Tt]imed? ?out|Failed to establish|dns error|error sending request": (
        "The package index could not be reached. Connect to the network, or set HTTPS_PROXY or PIP_INDEX_URL"
        " as your network needs it, or put the packages in a folder and set PIP_NO_INDEX=1 and PIP_FIND_LINKS"
        " to it; then run the command again."
    ),
    r"CERTIFICATE_VERIFY_FAILED|SSLError|invalid peer certificate": (
        "The package index was reached, but its certificate is not trusted here. Set PIP_CERT to the"
        " certificate file of your network and run the command again."
    ),
    r"No matching distribution|Could not find a version|No solution found": (
        "A package named above is not to be had for this system and Python {python}. Try another Python from"
        " {oldest} on, or look whether PIP_NO_INDEX or an index setting hides it."
    ),
    r"Permission denied|Access is denied|Errno 13": (
        "Something could not be written. Look who owns {root} and close programs that still use .venv."
    ),
}


class SetUpProblem(Exception):
    """Why the project cannot be set up here, as a sentence that ends in what to do."""


def enter(module: str, extras: Sequence[str] = ()) -> None:
    """Return when this interpreter has all that `python -m module` needs; else go on in `.venv` and exit.

    `extras` of pyproject.toml are needed too. `.venv` is made, finished or renewed first. Exits with the
    status of the process in `.venv`, or with 5 and a sentence on stderr when there cannot be one.
    """
    try:
        _refuse_old_python(module)
        if lacks(extras):
            with _one_at_a_time():
                python = prepare(extras)
            sys.exit(_run([str(python), "-m", module, *sys.argv[1:]]))
    except SetUpProblem as problem:
        _say(str(problem))
        sys.exit(CANNOT)
    except KeyboardInterrupt:
        _say("Stopped. The next run finishes the set-up.")
        sys.exit(130)


def wants_all_tests() -> bool:
    """Whether a part that this machine lacks fails its tests (`FILMDOCKET_TESTS=all`) or skips them."""
    return os.environ.get("FILMDOCKET_TESTS", "").strip().lower() == "all"


def lacks(extras: Sequence[str] = ()) -> list[str]:
    """The names of what the project needs and this interpreter lacks, the project itself among them."""
    # Imported here: an older Python lacks them and must come as far as the refusal.
    import importlib.metadata as metadata
    import tomllib

    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    wanted = list(project["dependencies"])
    for extra in extras:
        wanted += project["optional-dependencies"][extra]
    # Requirements with a marker may rightly be absent here, and only pip can tell.
    names = [re.split(r"[^A-Za-z0-9._-]", line, maxsplit=1)[0] for line in wanted if ";" not in line]
    # The folder of the project holds an egg-info after a build; that is no installation.
    places = [place for place in sys.path if place and Path(place).resolve() != ROOT]
    installed = {_plain(found.metadata["Name"] or "") for found in metadata.distributions(path=places)}
    return [name for name in [PROJECT, *names] if _plain(name) not in installed]


def prepare(extras: Sequence[str] = ()) -> Path:
    """Make `.venv` complete for the project with these extras, and return its interpreter.

    Does nothing when its stamp says that all is as it must be. Raises SetUpProblem.
    """
    if os.environ.get(SET_UP_BY_US):
        missing = ", ".join(lacks(extras))
        raise SetUpProblem(f"{VENV} was set up and still lacks {missing}. Delete it and run this again.")
    python = _interpreter(VENV)
    stamp = _read_stamp()
    wanted = sorted({*extras, *stamp.get("extras", [])})
    if stamp == _stamp(wanted) and _answers(python, []):
        return python
    if not stamp and _answers(python, ["-m", "config.bootstrap", *extras]):
        return python  # somebody's own environment that has all that it takes
    _check_space()
    place = {key: stamp.get(key) for key in ("root", "python", "complete")}
    is_ours = place.items() <= _stamp([]).items() and _answers(python, [])
    is_theirs = not stamp and _answers(python, ["-c", HOLDS_PROJECT])
    if not (is_ours or is_theirs):
        _make(was_complete=bool(stamp.get("complete")))
    _write_stamp({**_stamp(wanted), "complete": False})
    _install(python, wanted)
    if not _answers(python, ["-m", "config.bootstrap", *wanted]):
        raise SetUpProblem(f"The packages were installed, but {python} does not find them.")
    _write_stamp(_stamp(wanted))
    _say("The environment is complete.")
    return python


def _refuse_old_python(module: str) -> None:
    if sys.version_info[:2] >= OLDEST_PYTHON:
        return
    names = ("python3.14", "python3.13", "python3.12", "python3.11")
    newer = [name for name in names if _answers(Path(shutil.which(name) or name), [])]
    do = f"Use the one that is here: {newer[0]} -m {module}" if newer else "Install one and run this with it."
    needed, found = ".".join(map(str, OLDEST_PYTHON)), ".".join(map(str, sys.version_info[:3]))
    raise SetUpProblem(f"{PROJECT} needs Python {needed} or newer; {sys.executable} is Python {found}. {do}")


def _say(text: str) -> None:
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()  # PEP 503


def _version() -> str:
    return "{}.{}".format(*sys.version_info)


def _interpreter(venv: Path) -> Path:
    return venv / "Scripts" / "python.exe" if os.name == "nt" else venv / "bin" / "python"


def _stamp(extras: Sequence[str]) -> dict[str, Any]:
    """What must be unchanged for a complete environment to be used as it is."""
    pinned = hashlib.sha256(CONSTRAINTS.read_bytes() + (ROOT / "pyproject.toml").read_bytes()).hexdigest()
    place = {"root": str(ROOT), "python": _version(), "complete": True}
    return {**place, "pinned": pinned, "extras": list(extras)}


def _read_stamp() -> dict[str, Any]:
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def _write_stamp(stamp: dict[str, Any]) -> None:
    STAMP.write_text(json.dumps(stamp, indent=1), encoding="utf-8")


def _answers(python: Path, arguments: list[str]) -> bool:
    """Whether that interpreter starts, runs this, and ends well."""
    try:
        ended = subprocess.run(
            [str(python), *(arguments or ["-c", ""])],
            cwd=str(ROOT),
            env=_environment(),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=120,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return ended.returncode == 0


def _environment() -> dict[str, str]:
    """The environment for pip and for what runs in `.venv`; index, proxy and certificate settings stay."""
    kept = {name: value for name, value in os.environ.items() if name.upper() not in LED_ASTRAY}
    kept["PIP_USER"] = "0"  # over a `user = true` in somebody's pip.conf
    kept["PYTHONUTF8"] = "1"  # customers' names on a Windows console that is set to another code page
    return kept


def _check_space() -> None:
    free_mb = shutil.disk_usage(str(ROOT)).free // 1_000_000
    if free_mb < NEEDED_MB:
        raise SetUpProblem(
            f"Setting {PROJECT} up takes about {NEEDED_MB} MB, and {free_mb} MB are free where {ROOT} lies."
            " Free some and run the command again."
        )


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Let a second command wait while a first one sets `.venv` up; where nothing can be locked, go on."""
    name = f"{PROJECT}-{hashlib.sha256(str(ROOT).encode()).hexdigest()[:12]}.lock"
    try:
        handle = os.open(str(Path(tempfile.gettempdir(), name)), os.O_RDWR | os.O_CREAT, 0o666)
    except OSError:
        yield
        return
    try:
        _lock(handle)
        yield
    finally:
        os.close(handle)  # ends the lock too


def _lock(handle: int) -> None:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
            return
        import fcntl

        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            _say("Another command is setting .venv up: waiting for it.")
            fcntl.flock(handle, fcntl.LOCK_EX)
    except OSError:
        return  # no locks on this file system, or Windows after ten seconds: better twice than never


def _make(was_complete: bool) -> None:
    """Make `.venv` from nothing, without pip where this Python cannot bring one."""
    if VENV.exists() or VENV.is_symlink():
        why = "was made for another place or Python" if was_complete else "is not complete"
        _say(f"The environment in {VENV} {why}: making it again.")
        _remove()
    else:
        _say(f"Making an environment for {PROJECT} in {VENV} (once; a minute or two).")
    try:
        import venv
    except ImportError:
        raise SetUpProblem(_name_the_package()) from None
    for with_pip in (True, False) if _brings_pip() else (False,):
        try:
            venv.EnvBuilder(symlinks=os.name != "nt", with_pip=with_pip).create(str(VENV))
        except subprocess.CalledProcessError:
            _remove()  # ensurepip broke off half-way: once more without it
        except OSError as error:
            raise SetUpProblem(f"{VENV} could not be made: {error.strerror or error}.") from None
        else:
            return
    raise SetUpProblem(_name_the_package())


def _remove() -> None:
    if VENV.is_symlink():
        raise SetUpProblem(f"{VENV} is a link to an environment that is not complete: remove it.")
    try:
        shutil.rmtree(str(VENV))
    except OSError as error:
        raise SetUpProblem(
            f"{VENV} could not be removed: {error.strerror or error}. Close what uses it, delete it, and run"
            " the command again."
        ) from None


def _brings_pip() -> bool:
    """Whether this Python can put a pip into an environment; Debian keeps that in a package of its own."""
    try:
        import ensurepip

        return bool(ensurepip.version())
    except Exception:  # whatever is wrong with it, there is another way
        return False


def _name_the_package() -> str:
    return (
        "This Python can make no environment with pip in it, and neither a pip from version 22.3 on nor uv"
        f" is here to help. On Debian and Ubuntu: apt install python{_version()}-venv. Elsewhere: install"
        " Python's venv and ensurepip parts. Then run the command again."
    )


def _install(python: Path, extras: Sequence[str]) -> None:
    """Install the project, to be edited in place, with the tested versions of everything that it needs."""
    project = ".[{}]".format(",".join(extras)) if extras else "."
    command = [*_installer(python), "-e", project, "-c", str(CONSTRAINTS)]
    _say(f"Installing {PROJECT + project[1:]} and what it needs, in tested versions.")
    environment = _environment()
    # These pin the build backend too: the first up to pip 25.2, the second from 25.3 on, the third for uv.
    ours = CONSTRAINTS.as_uri()  # a path with a space in it would be taken for two
    environment["PIP_CONSTRAINT"] = " ".join(filter(None, [environment.get("PIP_CONSTRAINT"), ours]))
    environment["PIP_BUILD_CONSTRAINT"] = ours
    environment["UV_BUILD_CONSTRAINT"] = str(CONSTRAINTS)
    environment["PIP_DISABLE_PIP_VERSION_CHECK"] = "1"
    status, complaints = _run_listening(command, environment)
    if status:
        raise SetUpProblem(_explain(complaints, status))


def _installer(python: Path) -> list[str]:
    """The start of the command that installs into the environment: its own pip, another one, or uv."""
    if _answers(python, ["-m", "pip", "--version"]):
        return [str(python), "-m", "pip", "install"]
    # pip 22.3 brought this option.
    if _answers(Path(sys.executable), ["-m", "pip", "--python", str(python), "--version"]):
        _say("This Python has no ensurepip: installing with the pip that is here.")
        return [sys.executable, "-m", "pip", "--python", str(python), "install"]
    uv = shutil.which("uv")
    if uv:
        _say("This Python has no ensurepip: installing with uv.")
        return [uv, "pip", "install", "--python", str(python)]
    raise SetUpProblem(_name_the_package())


def _run_listening(command: list[str], environment: dict[str, str]) -> tuple[int, str]:
    """Run a command that shows its own progress, pass on what it complains of, and keep the end of that."""
    heard: list[str] = []
    try:
        child = subprocess.Popen(command, cwd=str(ROOT), env=environment, stderr=subprocess.PIPE)
    except OSError as error:
        return 1, str(error)
    with child:
        for raw in child.stderr or ():
            line = raw.decode("utf-8", "replace")
            sys.stderr.write(line)
            sys.stderr.flush()
            heard = [*heard[-199:], line]
    return child.returncode, "".join(heard)


def _explain(complaints: str, status: int) -> str:
    for pattern, sentence in FAILURES.items():
        if re.search(pattern, complaints):
            return f"{PROJECT} could not be set up. " + sentence.format(
                mb=NEEDED_MB,
                tmp=tempfile.gettempdir(),
                python=_version(),
                oldest=".".join(map(str, OLDEST_PYTHON)),
                root=ROOT,
            )
    return (
        f"{PROJECT} could not be set up: installing ended with status {status}, for the reason above."
        " Put that right and run the command again."
    )


def _run(command: list[str]) -> int:
    """Run the real thing as a child, for Windows has no true exec; hand signals on, and answer its status."""
    child = subprocess.Popen(command, env={**_environment(), SET_UP_BY_US: "1"})

    def pass_on(number: int, _frame: FrameType | None) -> None:
        # A Ctrl-C reaches the child by itself, from the terminal.
        if number != signal.SIGINT:
            child.terminate()

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, pass_on)
    status = child.wait()
    return status if status >= 0 else 128 - status


if __name__ == "__main__":
    sys.exit(CANNOT if lacks(sys.argv[1:]) else 0)
