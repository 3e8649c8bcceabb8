"""`python -m tests.pinning`: writes the versions that are installed here into `config/constraints.txt`."""

from __future__ import annotations

import importlib.metadata
import tomllib
from collections.abc import Iterable, Iterator

from packaging.markers import Environment, default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

from config.bootstrap import CONSTRAINTS, ROOT

HEADER = """\
# The versions that this project is tested with: of what it needs, what its tests need, and what builds it.
# No list of what is installed: pyproject.toml says that. Renewed by `python -m tests.pinning`.
"""
# Needed elsewhere than here: by builds, or by another system.
BUILDERS = {"setuptools": "84.2.1", "pkgconfig": "1.6.0"}
ELSEWHERE = {"colorama": '0.4.6 ; sys_platform == "win32"'}
SYSTEMS = (("linux", "Linux", "posix"), ("win32", "Windows", "nt"), ("darwin", "Darwin", "posix"))
PYTHONS = ("3.11", "3.12", "3.13", "3.14")


def declared() -> list[Requirement]:
    """Everything that pyproject.toml asks for, extras included."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    lines = [
        *project["dependencies"],
        *(r for extra in project["optional-dependencies"].values() for r in extra),
    ]
    return [Requirement(line) for line in lines]


def installed_closure(asked: Iterable[Requirement]) -> dict[str, str]:
    """The installed versions of these and of all that they need on any system, by name.

    Raises LookupError naming what isn't installed.
    """
    waiting, seen = list(asked), set()
    found: dict[str, str] = {}
    while waiting:
        requirement = waiting.pop()
        name = canonicalize_name(requirement.name)
        if name in ELSEWHERE or (name, *sorted(requirement.extras)) in seen:
            continue
        seen.add((name, *sorted(requirement.extras)))
        try:
            distribution = importlib.metadata.distribution(requirement.name)
        except importlib.metadata.PackageNotFoundError:
            raise LookupError(f"{requirement} is not installed here") from None
        found[name] = str(Version(distribution.version))
        needs = [Requirement(line) for line in distribution.requires or []]
        waiting += [need for need in needs if _is_needed_somewhere(need, requirement.extras)]
    return found


def _is_needed_somewhere(need: Requirement, extras: set[str]) -> bool:
    marker = need.marker
    if marker is None:
        return True
    return any(marker.evaluate({**e, "extra": extra}) for e in _environments() for extra in extras or {""})


def _environments() -> Iterator[dict[str, str]]:
    here: Environment = default_environment()
    for system, name, kind in SYSTEMS:
        for python in PYTHONS:
            own = {"sys_platform": system, "platform_system": name, "os_name": kind, "python_version": python}
            yield {**{k: str(v) for k, v in here.items()}, **own, "python_full_version": f"{python}.0"}


def main() -> None:
    """Write the file anew."""
    pins = {**BUILDERS, **ELSEWHERE, **installed_closure(declared())}
    lines = "".join(f"{name}=={pins[name]}\n" for name in sorted(pins))
    CONSTRAINTS.write_text(HEADER + lines, encoding="utf-8")


if __name__ == "__main__":
    main()
