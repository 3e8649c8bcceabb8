"""The two commands on a machine with nothing but Python: they set themselves up, and say why when they can't.

The projects here are copies of the bootstrap with a package to run and a build backend of their own, so that
real environments are made with a real pip, and no network is needed.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tomllib
import venv
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import pytest

from config import bootstrap

pytestmark = pytest.mark.slow

PYPROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "filmdocket"
version = "0.1"
dependencies = [{needs}]

[project.optional-dependencies]
dev = []
"""

# The smallest backend that PEP 517 and PEP 660 allow: a wheel that puts the project's folder on the path.
BACKEND = """\
import pathlib, zipfile

INFO = "filmdocket-0.1.dist-info"
METADATA = "Metadata-Version: 2.1\\nName: filmdocket\\nVersion: 0.1\\n{requires}"

def build_editable(folder, config_settings=None, metadata_directory=None):
    name = "filmdocket-0.1-py3-none-any.whl"
    with zipfile.ZipFile(pathlib.Path(folder, name), "w") as wheel:
        wheel.writestr("filmdocket.pth", str(pathlib.Path.cwd()))
        wheel.writestr(INFO + "/METADATA", METADATA)
        wheel.writestr(INFO + "/WHEEL", "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n")
        wheel.writestr(INFO + "/RECORD", "")
    return name

build_wheel = build_editable
"""

HELLO = """\
import sys
from config import bootstrap
if __name__ == "__main__":
    bootstrap.enter("hello")
    print("inside", sys.prefix)
    print(sys.argv[1:])
    sys.exit(7)
"""


LEFT_OUT = ("PIP_", "FILMDOCKET", "PYTEST", "PYTHON")  # of the environment that these tests run in


@dataclass
class Project:
    """A fresh clone of a small project."""

    root: Path

    def run(self, *arguments: str, **environ: str) -> subprocess.CompletedProcess[str]:
        """`python -m hello`, as on a machine that has nothing installed."""
        kept = {k: v for k, v in os.environ.items() if not k.startswith(LEFT_OUT)}
        return subprocess.run(
            [bare_python(), "-m", "hello", *arguments],
            cwd=self.root,
            env={**kept, "PIP_NO_INDEX": "1", **environ},
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )

    @property
    def stamp(self) -> Path:
        """What says that the environment is complete."""
        return self.root / ".venv" / bootstrap.STAMP.name


def bare_python() -> str:
    """The Python that this environment was made from, without what is installed here."""
    return str(getattr(sys, "_base_executable", sys.executable))


def make_project(root: Path, needs: str = "") -> Project:
    """A project that holds the real bootstrap and one package to run."""
    for folder in ("config", "hello"):
        (root / folder).mkdir(parents=True)
        (root / folder / "__init__.py").write_text("", encoding="utf-8")
    shutil.copy(bootstrap.__file__, root / "config" / "bootstrap.py")
    (root / "config" / "constraints.txt").write_text("# none\n", encoding="utf-8")
    (root / "pyproject.toml").write_text(PYPROJECT.format(needs=needs and f'"{needs}"'), encoding="utf-8")
    requires = f"Requires-Dist: {needs}\\n" if needs else ""
    (root / "backend.py").write_text(BACKEND.replace("{requires}", requires), encoding="utf-8")
    (root / "hello" / "__main__.py").write_text(HELLO, encoding="utf-8")
    return Project(root)


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    """A project for tests that look at a complete environment, in a folder with a space and an umlaut."""
    made = make_project(tmp_path_factory.mktemp("clone") / "film döcket")
    ended = made.run()
    assert ended.returncode == 7, ended.stderr
    assert "Making an environment" in ended.stderr
    assert "The environment is complete." in ended.stderr
    return made


def test_the_command_runs_in_the_environment_that_it_made(project: Project) -> None:
    """What was asked for runs in `.venv`, gets its arguments, and its status is the command's."""
    ended = project.run("--fast", "two words")
    assert ended.returncode == 7
    assert f"inside {project.root / '.venv'}" in ended.stdout
    assert "['--fast', 'two words']" in ended.stdout


def test_a_complete_environment_is_used_as_it_is(project: Project) -> None:
    """The second time nothing is made, installed or said."""
    assert project.run().stderr == ""


def test_changed_versions_are_installed_in_place(project: Project) -> None:
    """When the tested versions change, they are installed into the environment that is there."""
    kept = project.root / ".venv" / "kept"
    kept.write_text("", encoding="utf-8")
    (project.root / "config" / "constraints.txt").write_text("# changed\n", encoding="utf-8")
    ended = project.run()
    assert ended.returncode == 7
    assert "Installing filmdocket" in ended.stderr
    assert kept.exists()
    assert project.run().stderr == ""


def test_a_half_made_environment_is_made_again(project: Project) -> None:
    """An installation that was broken off leaves no trace."""
    stamp = json.loads(project.stamp.read_text("utf-8"))
    project.stamp.write_text(json.dumps({**stamp, "complete": False}), encoding="utf-8")
    left = project.root / ".venv" / "left"
    left.write_text("", encoding="utf-8")
    ended = project.run()
    assert ended.returncode == 7
    assert "is not complete: making it again" in ended.stderr
    assert not left.exists()


def test_an_environment_that_somebody_made_is_completed_and_kept(tmp_path: Path) -> None:
    """What is missing is installed into it; nothing of what is there is thrown away."""
    project = make_project(tmp_path / "clone")
    venv.create(project.root / ".venv", with_pip=True)
    site = next((project.root / ".venv").rglob("site-packages"))
    pretend_installed(site)
    own = site / "own.py"
    own.write_text("", encoding="utf-8")
    asks_more = PYPROJECT.format(needs="").replace("dev = []", 'dev = ["not-to-be-had"]')
    (project.root / "pyproject.toml").write_text(asks_more, encoding="utf-8")
    hello = HELLO.replace('enter("hello")', 'enter("hello", ("dev",))')
    (project.root / "hello" / "__main__.py").write_text(hello, encoding="utf-8")
    ended = project.run()
    assert ended.returncode == bootstrap.CANNOT
    assert "Installing filmdocket[dev]" in ended.stderr
    assert "making it again" not in ended.stderr
    assert own.exists()


def test_a_clone_that_was_moved_is_set_up_again(tmp_path: Path) -> None:
    """An environment holds the place that it was made for; in another one it is made again."""
    first = make_project(tmp_path / "first")
    assert first.run().returncode == 7
    moved = Project(Path(shutil.move(first.root, tmp_path / "second")))
    ended = moved.run()
    assert ended.returncode == 7
    assert "was made for another place" in ended.stderr
    assert f"inside {moved.root / '.venv'}" in ended.stdout


def test_a_failed_installation_ends_in_a_sentence(tmp_path: Path) -> None:
    """A package that is not to be had ends with status 5 and what to do, and the next run starts afresh."""
    project = make_project(tmp_path / "clone", needs="no-such-package-of-this-test")
    ended = project.run()
    assert ended.returncode == bootstrap.CANNOT
    assert "filmdocket could not be set up. A package named above is not to be had" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert json.loads(project.stamp.read_text("utf-8"))["complete"] is False


def test_without_ensurepip_another_pip_installs(tmp_path: Path) -> None:
    """Debian keeps ensurepip apart: the environment is made without pip, and another pip fills it."""
    project = make_project(tmp_path / "clone")
    ended = project.run(PYTHONPATH=str(hide_modules(tmp_path, "ensurepip")))
    assert ended.returncode == 7, ended.stderr
    assert "installing with the pip that is here" in ended.stderr
    assert not list((project.root / ".venv").rglob("pip-*.dist-info"))


def test_without_any_pip_the_package_to_install_is_named(tmp_path: Path) -> None:
    """Nothing to install with: the sentence names what to install, and the status is 5."""
    project = make_project(tmp_path / "clone")
    empty = tmp_path / "empty"
    empty.mkdir()
    ended = project.run(PYTHONPATH=str(hide_modules(tmp_path, "ensurepip", "pip")), PATH=str(empty))
    assert ended.returncode == bootstrap.CANNOT
    assert f"apt install python{sys.version_info[0]}.{sys.version_info[1]}-venv" in ended.stderr


def hide_modules(tmp_path: Path, *names: str) -> Path:
    """A folder for PYTHONPATH that makes these modules look absent."""
    folder = tmp_path / "hiding"
    folder.mkdir()
    hidden = "".join(f"sys.modules[{name!r}] = None\n" for name in names)
    (folder / "sitecustomize.py").write_text(f"import sys\n{hidden}", encoding="utf-8")
    return folder


def pretend_installed(site: Path) -> None:
    """Put there what tells that the project is installed."""
    info = site / "filmdocket-0.1.dist-info"
    info.mkdir()
    says = "Metadata-Version: 2.1\nName: filmdocket\nVersion: 0.1\n"
    (info / "METADATA").write_text(says, encoding="utf-8")


def test_an_environment_of_ones_own_is_used(tmp_path: Path) -> None:
    """Where everything is installed already, the command runs right there and makes nothing."""
    project = make_project(tmp_path / "clone")
    own = tmp_path / "own"
    venv.create(own, with_pip=False)
    python = bootstrap._interpreter(own)
    pretend_installed(next(own.rglob("site-packages")))
    ended = subprocess.run(
        [python, "-m", "hello"], cwd=project.root, capture_output=True, text=True, check=False
    )
    assert ended.returncode == 7, ended.stderr
    assert f"inside {own}" in ended.stdout
    assert not (project.root / ".venv").exists()


def test_what_a_build_leaves_behind_is_no_installation(monkeypatch: pytest.MonkeyPatch) -> None:
    """The egg-info beside the sources does not pass for an installed project."""
    monkeypatch.setattr(sys, "path", ["", str(bootstrap.ROOT)])
    assert bootstrap.PROJECT in bootstrap.lacks()


def test_settings_that_lead_packages_astray_are_cleared_and_others_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where packages go is decided here; where they come from is the machine's own business."""
    for name in ("PIP_USER", "PIP_TARGET", "PIP_PREFIX"):
        monkeypatch.setenv(name, "elsewhere")
    kept = ("HTTPS_PROXY", "PIP_INDEX_URL", "PIP_CERT", "PIP_NO_INDEX", "PIP_FIND_LINKS")
    for name in kept:
        monkeypatch.setenv(name, "kept")
    environment = bootstrap._environment()
    assert environment["PIP_USER"] == "0"
    assert not {"PIP_TARGET", "PIP_PREFIX"} & set(environment)
    assert {environment[name] for name in kept} == {"kept"}


def test_an_old_python_is_told_which_one_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence names the version that is needed and the one that this is."""
    monkeypatch.setattr(sys, "version_info", (3, 8, 18, "final", 0))
    with pytest.raises(bootstrap.SetUpProblem, match=r"needs Python 3\.11 or newer; .* is Python 3\.8\.18"):
        bootstrap._refuse_old_python("tests")


def test_the_oldest_python_is_the_one_that_the_project_declares() -> None:
    """The sentence and pyproject.toml ask for the same Python."""
    project = tomllib.loads((bootstrap.ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["requires-python"] == ">=" + ".".join(map(str, bootstrap.OLDEST_PYTHON))


# As pip 23.2 and 26.3 and uv 0.8 print them.
@pytest.mark.parametrize(
    ("complaint", "says"),
    [
        (
            "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device",
            "disk is full",
        ),
        (
            "WARNING: Retrying (Retry(total=4)) after connection broken by 'NewConnectionError(': Failed to"
            " establish a new connection: [Errno -3] Temporary failure in name resolution')'\nERROR: No"
            " matching distribution found for setuptools>=80",
            "could not be reached",
        ),
        (
            "error: Request failed after 3 retries\n  Caused by: error sending request",
            "reached",
        ),
        ("SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED]'))", "certificate"),
        ("ERROR: No matching distribution found for sqlmodel==0.0.50", "not to be had"),
        ("ERROR: [Errno 13] Permission denied: '/x/.venv/lib'", "could not be written"),
        ("something that nobody foresaw", "status 2"),
    ],
)
def test_what_pip_complains_of_becomes_a_sentence(complaint: str, says: str) -> None:
    """Each way in which an installation fails is told in plain words that end in what to do."""
    sentence = bootstrap._explain(complaint, 2)
    assert says in sentence
    assert sentence.endswith(".")


def test_too_little_disk_is_told_before_anything_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence says how much is needed and how much there is."""
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=100_000_000))
    with pytest.raises(bootstrap.SetUpProblem, match="100 MB are free"):
        bootstrap._check_space()


def test_tested_versions_cover_what_the_project_asks_for() -> None:
    """Everything that pyproject.toml names, and what builds the project, has a tested version that fits."""
    from packaging.requirements import Requirement
    from packaging.utils import canonicalize_name

    declared = tomllib.loads((bootstrap.ROOT / "pyproject.toml").read_text("utf-8"))
    project = declared["project"]
    asked = [*declared["build-system"]["requires"], *project["dependencies"]]
    asked += [line for extra in project["optional-dependencies"].values() for line in extra]
    lines = [n for n in bootstrap.CONSTRAINTS.read_text("utf-8").splitlines() if n and n[0] != "#"]
    pinned = {canonicalize_name(r.name): r for r in map(Requirement, lines)}
    for requirement in map(Requirement, asked):
        pin = pinned.get(canonicalize_name(requirement.name))
        assert pin is not None, f"{requirement.name} has no tested version"
        version = str(pin.specifier).removeprefix("==")
        assert requirement.specifier.contains(version), f"{requirement} does not allow the tested {version}"
