"""What the pages see of messages to customers: the words of each kind, and the files in the outbox."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class KindOfLetter:
    """One kind of message: its words as they stand, whether they are the shop's own, and what is wrong."""

    kind: str
    text: str
    is_own: bool
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Specimen:
    """What words make of invented facts."""

    subject: str
    body: str


class Letters(Protocol):
    """Words and files of messages."""

    def kinds(self) -> tuple[KindOfLetter, ...]:
        """Every kind, in the order of an order's life."""
        ...

    def specimens(self, kind: str, text: str) -> tuple[Specimen, ...]:
        """What words would say of each specimen. Raises ShopProblem `template-wrong`."""
        ...

    def save(self, kind: str, text: str) -> None:
        """Use these words from now on. Raises ShopProblem `template-wrong`; then nothing is changed."""
        ...

    def use_shipped(self, kind: str) -> None:
        """Use the shipped words again; the shop's own are kept beside."""
        ...

    def file(self, order: str, name: str) -> bytes:
        """A message as it lies in the outbox; b"" when it is gone."""
        ...
