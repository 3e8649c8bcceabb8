"""The shop's own words as the desk edits them: tried before they are kept, the old ones put beside."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake.durable import write_whole
from intake.letters.specimens import SPECIMENS
from intake.letters.templating import FOLDER, KINDS, Template, find_template, try_text
from intake.naming import safe_name
from intake.shop import Shop
from tickets.languages import as_the_house_speaks, retold
from tickets.problems import NotFound
from tickets.web.letters import KindOfLetter, Specimen


@dataclass(frozen=True)
class ShopLetters:
    """One shop's words and outbox."""

    shop: Shop

    @as_the_house_speaks()
    def kinds(self) -> tuple[KindOfLetter, ...]:
        """Every kind with its words: the shop's own also where they cannot be used, to be mended."""
        return tuple(self._kind(kind) for kind in KINDS)

    def _kind(self, kind: str) -> KindOfLetter:
        trial = find_template(self.shop.folder, kind)
        if trial.problem is None:
            return KindOfLetter(kind, trial.template.text, trial.template.is_own)
        try:
            own = _path(self.shop, kind).read_text("utf-8", errors="replace")
        except OSError:
            own = trial.template.text
        return KindOfLetter(kind, own, is_own=True, wrong=trial.problem.says)

    @as_the_house_speaks()
    def specimens(self, kind: str, text: str) -> tuple[Specimen, ...]:
        """What words say of each specimen. Raises ShopProblem `template-wrong`."""
        _require(kind)
        template = Template(kind, _plain(text))
        made = (template.words(facts) for facts in in_words(SPECIMENS[kind]))
        return tuple(Specimen(words.subject, words.body) for words in made)

    @as_the_house_speaks()
    def save(self, kind: str, text: str) -> None:
        """Keep words that work as `messages/<kind>.txt`; what they replace becomes `<kind>.old.txt`.

        Raises ShopProblem `template-wrong`; then nothing is changed.
        """
        _require(kind)
        content = _plain(text).encode("utf-8")
        try_text(kind, content)
        path = _path(self.shop, kind)
        path.parent.mkdir(exist_ok=True)
        if path.exists():
            write_whole(path.with_suffix(".old.txt"), path.read_bytes())
        write_whole(path, content)

    @as_the_house_speaks()
    def use_shipped(self, kind: str) -> None:
        """Put the shop's own words aside."""
        _require(kind)
        path = _path(self.shop, kind)
        if path.exists():
            path.replace(path.with_suffix(".old.txt"))

    def file(self, order: str, name: str) -> bytes:
        """A message of an order's outbox."""
        try:
            return (self.shop.outbox / safe_name(order) / safe_name(name)).read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            return b""


def in_words(facts: Any) -> Any:
    """The specimens in the language that is spoken."""
    if isinstance(facts, str):
        return retold(facts)
    if isinstance(facts, dict):
        return {name: in_words(value) for name, value in facts.items()}
    return type(facts)(in_words(one) for one in facts) if isinstance(facts, list | tuple) else facts


def _path(shop: Shop, kind: str) -> Path:
    return shop.folder / FOLDER / f"{kind}.txt"


def _plain(text: str) -> str:
    """What a form sends, with the line ends of a file."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return lines if lines.endswith("\n") else f"{lines}\n"


def _require(kind: str) -> None:
    if kind not in KINDS:
        raise NotFound(
            "no-such-page", f"There is no kind of message {kind!r}.", f"The kinds: {', '.join(KINDS)}."
        )
