"""All that a person can put right: a slug, a sentence, what to do about it, and how each door answers."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """Exit statuses of the command line, as the README lists them."""

    DONE = 0
    BUG = 1
    USAGE = 2
    QUERY = 3
    REFUSED = 4
    CANNOT = 5


class ShopProblem(Exception):
    """Something that a person can put right.

    `slug` is a heading in the README's list of problems, `says` one sentence on what is wrong and where,
    `do` one sentence on what to do. Raised anywhere, translated once at each door (command, page, daemon).
    """

    exit_status: Exit = Exit.CANNOT
    http_status: int = 409

    def __init__(self, slug: str, says: str, do: str = "") -> None:
        super().__init__(says)
        self.slug = slug
        self.says = says
        self.do = do

    def __str__(self) -> str:
        return f"{self.says} {self.do}".strip()


class NotFound(ShopProblem):
    """The thing asked for is not in the books."""

    http_status = 404


class BadInput(ShopProblem):
    """What was handed in (an order file, a file name, a code) cannot be read as what it should be."""

    http_status = 422


class OrderRefused(BadInput):
    """An order document with one or more errors; `errors` holds every one of them, a sentence each."""

    def __init__(self, slug: str, errors: list[str], do: str = "") -> None:
        super().__init__(slug, " ".join(errors), do)
        self.errors = errors


class ArtworkRefused(BadInput):
    """A file that cannot be opened as artwork at all (finding `file`)."""

    exit_status = Exit.REFUSED


class SetupProblem(ShopProblem):
    """Settings, folders, permissions or services of the shop's own that are not as they must be."""

    http_status = 503
