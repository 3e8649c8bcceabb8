"""All that the guides must speak of, gathered from the program; `python -m tests.documented` prints it.

What is printed are tables in Markdown, to be laid into the README where they are missing.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from config.settings import SHIPPED, load_settings
from tests.sources import all_sources

SHIPPED_FILES = ("shop.toml", "limits.toml", "pressing.toml")
A_SLUG = re.compile(r"[a-z]+(-[a-z0-9]+)+")

# Words with hyphens in the program that are no slugs of problems.
NO_SLUGS = {
    "move-database": "a command",
    "b-w": "a colour mode",
    "icc-profile-data": "a field of a picture's header",
    "exif-data": "a field of a picture's header",
    "north-west": "a corner",
    **dict.fromkeys(
        (
            *(
                "sans-serif",
                "system-ui",
                "marker-start",
                "marker-mid",
                "marker-end",
                "font-size",
                "font-family",
            ),
            *("stroke-width", "fill-opacity", "stroke-opacity", "font-face", "clip-path", "vector-effect"),
            "non-scaling-stroke",
        ),
        "a word of SVG",
    ),
    "set-aside": "how an inbox file was cleared",
    "latin-1": "an encoding",
    "utf-8": "an encoding",
    "utf-8-sig": "an encoding",
    "utf-16": "an encoding",
    "utf-16-be": "an encoding",
    "utf-32": "an encoding",
    "question-dropped": "a kind of event",
    "not-mailed": "a kind of event",
    "slip-voided": "a kind of event",
    "send-again": "a kind of event",
    "parcel-added": "a kind of event",
    "parcel-changed": "a kind of event",
    "parcel-removed": "a kind of event",
    "change-parcel": "a button",
    "remove-parcel": "a button",
    "auto-generated": "a word of mail headers",
    "hold-ended": "a kind of event",
    "due-changed": "a kind of event",
    "change-due": "an act of the desk's page",
    "change-quantity": "an act of the desk's page",
    "laid-in-run": "a kind of event",
    "print-asked": "a kind of event",
    "link-made": "a kind of event",
    "link-off": "a kind of event",
    **dict.fromkeys(
        (
            *("taken-out-of-run", "film-pinned", "film-kept-out", "film-free"),
            *("spares-used", "size-kept"),
            *("film-planned", "run-pinned", "run-freed", "run-released"),
        ),
        "a kind of event",
    ),
    "same-origin": "a word of browsers' about where a request comes from",
    "sec-fetch-site": "a header of browsers",
    "content-type": "a header of browsers",
    "no-referrer": "a word of browsers' about what is told of the page that a link stands on",
}

# Settings of a station that the shipped line does not need.
UNWRITTEN = (
    (
        "line.station.*.load",
        "0.0",
        "an oven for sheets: so much of what the pace counts goes in at once; 0: one job after the other",
    ),
    ("line.station.*.load_minutes", "0.0", "for so long, each load"),
    ("line.station.*.gather_minutes", "0.0", "a job waits up to so long for a film run to be made up"),
    (
        "line.station.*.spread",
        "0.3",
        "how much one job differs from another, as the standard deviation of a logarithm: 0.3 is about 30 %",
    ),
    ("line.station.*.doubt", "0.35", "how far the pace that is set may be off, likewise, until scans tell"),
    ("station.books", "[]", "the stations just before it that a scan here books too: one machine does all"),
    ("station.catch_up", "false", "a scan here books missed stations by itself, marked as inferred"),
)


@dataclass(frozen=True)
class Setting:
    """One setting: `intake.settle_seconds`, its shipped value, and the comment that stands beside it."""

    key: str
    value: str
    says: str


def commands() -> dict[str, Any]:
    """The commands of the command line by name."""
    import typer.main

    from intake import cli

    group: Any = typer.main.get_command(cli.command_line())
    return dict(group.commands)


def options(command: Any) -> Iterator[str]:
    """The long options of a command."""
    for parameter in command.params:
        yield from (name for name in parameter.opts if name.startswith("--"))


def settings() -> Iterator[Setting]:
    """Every shipped setting, in the order of the files, with the comment of its line."""
    for name in SHIPPED_FILES:
        section, seen = "", set()
        for line in (SHIPPED / name).read_text("utf-8").splitlines():
            plain = line.removeprefix("# ") if re.match(r"# (\[\[|\w+ = )", line) else line
            heading = re.match(r"\[+([\w.]+)\]+", plain)
            if heading:
                section = heading[1]
            found = re.match(r"(\w+) = (.*?)\s*(?:\s#\s*(.*))?$", plain)
            if found and section and f"{section}.{found[1]}" not in seen:
                seen.add(f"{section}.{found[1]}")
                yield Setting(f"{section}.{found[1]}", found[2].strip(), found[3] or "")
    for key, value, says in UNWRITTEN:
        yield Setting(key, value, says)


def stations() -> list[str]:
    """The shipped line."""
    return [station.name for station in load_settings(None, {}).station]


def checks() -> list[Any]:
    """The rules of the preflight, in order."""
    from intake.checks import CHECKS

    return list(CHECKS)


def slugs() -> dict[str, str]:
    """Every slug of a problem that the program can tell, and where it is told."""
    found: dict[str, str] = {}
    for source in all_sources("tickets", "intake"):
        for text, line in source.strings():
            if A_SLUG.fullmatch(text) and text not in _other_words():
                found.setdefault(text, f"{source.path}:{line}")
    return found


def sentences() -> dict[str, list[str]]:
    """What is said beside each slug, where the program says it in the same call; "…" for what differs."""
    found: dict[str, list[str]] = {}
    for source in all_sources("tickets", "intake"):
        for _, call in source.calls():
            said = [_as_text(argument) for argument in (*call.args, *(k.value for k in call.keywords))]
            at = next((i for i, text in enumerate(said) if A_SLUG.fullmatch(text)), None)
            if at is not None and said[at] not in _other_words():
                found.setdefault(said[at], [text for text in said[at + 1 : at + 3] if text])
    return found


def _as_text(node: ast.expr) -> str:
    """A string as it is written, a list of strings as one; nothing for anything else."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if isinstance(node, ast.JoinedStr):
        return "".join(_as_text(part) or "…" for part in node.values)
    if isinstance(node, ast.List):
        return " ".join(map(_as_text, node.elts))
    return ""


def _other_words() -> set[str]:
    from intake.faults import POINTS

    return {*NO_SLUGS, *POINTS, *(check.NAME for check in checks())}


def environment() -> set[str]:
    """The variables of the environment that mean something here."""
    named = {
        s for source in all_sources("config") for s, _ in source.strings() if s.startswith("FILMDOCKET_")
    }
    return named - {"FILMDOCKET_SET_UP"}  # what the bootstrap tells its own child


def main() -> None:
    """Print the tables."""
    write = sys.stdout.write
    write("| setting | shipped | what it is |\n| --- | --- | --- |\n")
    write("".join(f"| `{s.key}` | `{s.value}` | {s.says} |\n" for s in settings()))
    write("\n| check | measures | limit from | what the customer should do |\n| --- | --- | --- | --- |\n")
    write("".join(f"| `{c.NAME}` | {c.MEASURES} | {c.LIMIT_FROM} | {c.DO} |\n" for c in checks()))
    write("\n| problem | it says | what to do | told in |\n| --- | --- | --- | --- |\n")
    said = sentences()
    for slug, where in sorted(slugs().items()):
        says, do = (*said.get(slug, []), "", "")[:2]
        write(f"| `{slug}` | {says} | {do} | {where} |\n")


if __name__ == "__main__":
    main()
