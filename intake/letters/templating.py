"""Templates of messages: the shop's own over the shipped ones, each tried on specimens before it is used."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from intake.letters.specimens import SPECIMENS
from tickets.languages import spoken
from tickets.problems import ShopProblem

if TYPE_CHECKING:
    from jinja2.sandbox import SandboxedEnvironment

KINDS = ("received", "query", "released", "ready", "dispatched", "late")
SHIPPED = Path(__file__).parent / "templates"
FOLDER = "messages"  # in the shop folder: `messages/ready.txt`
_LONGEST_FILE = 100_000  # bytes of a template
_LONGEST_WORDS = 200_000  # characters of what one makes of a specimen
_BLANK_LINES = re.compile(r"\n{3,}")


@dataclass(frozen=True, slots=True)
class Words:
    """What a template made: the subject, and the text below it."""

    subject: str
    body: str


@dataclass(frozen=True)
class Template:
    """One template that has stood its trial. `is_own`: the shop has written it."""

    kind: str
    text: str
    is_own: bool = False

    def words(self, facts: Mapping[str, Any]) -> Words:
        """The message about these facts. Raises ShopProblem `template-wrong`."""
        return _render(self.kind, self.text, facts)


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of looking at one kind of template: which is used, and what is wrong with the shop's own."""

    template: Template
    problem: ShopProblem | None = None

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        problem = self.problem
        return {
            "kind": self.template.kind,
            "used": "own" if self.template.is_own else "shipped",
            "slug": problem.slug if problem else None,
            "says": problem.says if problem else None,
            "do": problem.do if problem else None,
        }

    def as_lines(self) -> list[str]:
        """The same for people."""
        used = "the shop's own, and it works" if self.template.is_own else "the shipped one"
        said = [f"{self.template.kind}: {used}"]
        return [*said, f"  {self.problem.says} {self.problem.do}"] if self.problem else said


def shipped_template(kind: str) -> Template:
    """The template that comes with the program, in the language that is spoken."""
    own = SHIPPED / spoken() / f"{kind}.txt"
    return Template(kind, (own if own.is_file() else SHIPPED / f"{kind}.txt").read_text("utf-8"))


def find_template(folder: Path, kind: str) -> Trial:
    """The template of a kind: the shop's own when there is one that works, else the shipped one."""
    own = folder / FOLDER / f"{kind}.txt"
    shipped = shipped_template(kind)
    try:
        content = own.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return Trial(shipped)
    except OSError as error:
        return Trial(shipped, _wrong(kind, f"it cannot be read ({error.strerror or error})"))
    try:
        return Trial(try_text(kind, content))
    except ShopProblem as problem:
        return Trial(shipped, problem)


def try_text(kind: str, content: bytes) -> Template:
    """Words of the shop's own as a template that works. Raises ShopProblem `template-wrong`."""
    template = Template(kind, _as_text(kind, content), is_own=True)
    for specimen in SPECIMENS[kind]:
        template.words(specimen)
    return template


def try_templates(folder: Path) -> list[Trial]:
    """All of them, in the order of an order's life."""
    return [find_template(folder, kind) for kind in KINDS]


def _as_text(kind: str, content: bytes) -> str:
    if len(content) > _LONGEST_FILE:
        raise _wrong(kind, f"it is longer than {_LONGEST_FILE // 1000} kB")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise _wrong(kind, "it is not UTF-8") from error


def _render(kind: str, text: str, facts: Mapping[str, Any]) -> Words:
    from jinja2 import TemplateError, TemplateSyntaxError

    try:
        said = _environment().from_string(text).render(**facts)
    except TemplateSyntaxError as error:
        raise _wrong(kind, f"line {error.lineno}: {error.message}") from error
    except (TemplateError, ArithmeticError, TypeError, ValueError, LookupError, AttributeError) as error:
        raise _wrong(kind, f"{error}") from error
    if len(said) > _LONGEST_WORDS:
        raise _wrong(kind, "it makes a message of endless length")
    head, _, body = said.lstrip().partition("\n")
    if not head.startswith("Subject:") or not head.removeprefix("Subject:").strip() or not body.strip():
        raise _wrong(kind, "its first line must be “Subject: …”, and the text stands below a blank line")
    return Words(head.removeprefix("Subject:").strip(), _BLANK_LINES.sub("\n\n", body.strip()) + "\n")


def _environment() -> SandboxedEnvironment:
    """Templates reach nothing but the facts, and a name that is none of them is a mistake that is told."""
    from jinja2 import StrictUndefined
    from jinja2.sandbox import SandboxedEnvironment

    # Plain text: nothing is to be escaped.
    return SandboxedEnvironment(undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)


def _wrong(kind: str, why: str) -> ShopProblem:
    return ShopProblem(
        "template-wrong",
        f"The template {FOLDER}/{kind}.txt cannot be used: {why.rstrip('.')}.",
        "Mend it, and see with `filmdocket messages check`; until then the shipped one is used.",
    )
