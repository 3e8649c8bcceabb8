"""One opened shop folder: where its things lie, its settings, its books and its clock."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from config.settings import SHIPPED, Settings, load_settings
from tickets.languages import add_sentences, speak_in_house
from tickets.problems import SetupProblem
from tickets.store import Store, open_store

if TYPE_CHECKING:
    from intake.forecasts import FolderShelf
    from tickets.ledger import Ledger

MARKER = ".filmdocket-inbox"
INBOX, ORIGINALS, REFUSED, OUTBOX, PAPERS, DERIVED = (
    "inbox",
    "originals",
    "refused",
    "outbox",
    "papers",
    "derived",
)
FOLDERS = (INBOX, ORIGINALS, REFUSED, OUTBOX, PAPERS, DERIVED)
_MARKER_TEXT = (
    "This file tells filmdocket that this folder is the shop's inbox, and not the empty place\n"
    "under a network folder that is away. Please leave it here.\n"
)


def utc_now() -> datetime:
    """The wall clock, for the books; waiting and settling go by the monotonic one."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Shop:
    """A shop folder that is open. Close it when done (`with open_shop(…) as shop`)."""

    folder: Path
    settings: Settings
    store: Store
    clock: Callable[[], datetime] = utc_now

    @cached_property
    def ledger(self) -> Ledger:
        """The only writer of the books; imported with the tables when it is first needed."""
        from tickets.ledger import Ledger

        return Ledger(self.store, self.settings, self.clock)

    @property
    def inbox(self) -> Path:
        """Where customers' files are dropped."""
        return self.folder / INBOX

    @property
    def originals(self) -> Path:
        """Every byte ever taken in, under its hash."""
        return self.folder / ORIGINALS

    @property
    def refused(self) -> Path:
        """What could not be taken in, with the reason beside it."""
        return self.folder / REFUSED

    @property
    def outbox(self) -> Path:
        """Messages and reports for customers."""
        return self.folder / OUTBOX

    @property
    def papers(self) -> Path:
        """Job tickets and other papers."""
        return self.folder / PAPERS

    @property
    def derived(self) -> Path:
        """Small pictures of artworks; all of it can be made again."""
        return self.folder / DERIVED

    @property
    def shelf(self) -> FolderShelf:
        """Where the newest forecast of a shop with much work lies."""
        from intake.forecasts import NAME, FolderShelf

        return FolderShelf(self.derived / NAME)

    @property
    def clearing(self) -> Path:
        """Where taken files stand for a moment between the inbox and nothing."""
        return self.folder / ".clearing"

    def close(self) -> None:
        """Let go of the books."""
        self.store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_shop(folder: Path, clock: Callable[[], datetime] = utc_now) -> Shop:
    """Open a shop folder that `filmdocket init` made.

    Raises SetupProblem `no-shop-here`, `shop-feeds-itself`, and whatever the store has to say of its
    database; SettingsProblem for a setting that cannot be used.
    """
    folder = folder.absolute()
    if not (folder / "shop.toml").is_file():
        raise SetupProblem(
            "no-shop-here",
            f"{folder} is no shop folder: it has no shop.toml.",
            f"Name the shop folder with --shop, or make one: filmdocket init {folder}",
        )
    settings = load_settings(folder)
    refuse_feeding_itself(folder)
    speak_in_house(settings.shop.language)
    add_sentences("de", "intake.german.sentences")
    store = open_store(settings, folder)
    return Shop(folder, settings, store, clock)


def make_shop(folder: Path) -> list[str]:
    """Make a shop folder, or complete one: what is there stays as it is. Returns the names of what was made.

    Raises SetupProblem `folder-not-writable`, `shop-feeds-itself`.
    """
    folder = folder.absolute()
    made: list[str] = []
    try:
        for part in (folder, *(folder / name for name in FOLDERS)):
            if not part.is_dir():
                part.mkdir(parents=True)
                made.append(part.name)
        refuse_feeding_itself(folder)
        made += _write_new(folder / "shop.toml", commented(SHIPPED / "shop.toml"))
        made += _write_new(folder / INBOX / MARKER, f"{_MARKER_TEXT}mark: {secrets.token_hex(8)}\n")
    except OSError as error:
        raise SetupProblem(
            "folder-not-writable",
            f"The shop folder {folder} cannot be made: {error.strerror or error}.",
            "Choose a folder in which this user may write.",
        ) from error
    settings = load_settings(folder)
    there = (folder / "filmdocket.db").exists()
    open_store(settings, folder, create=True).close()
    if not there and (folder / "filmdocket.db").exists():
        made.append("filmdocket.db")
    return made


def _write_new(path: Path, text: str) -> list[str]:
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        return []
    return [path.name]


def commented(shipped: Path) -> str:
    """The shipped settings with every value commented out: a shop sees all of them and sets only its own."""
    lines = []
    for line in shipped.read_text(encoding="utf-8").splitlines():
        is_value = line and not line.startswith(("#", "["))
        lines.append(f"# {line}" if is_value or line.startswith("[[") else line)
    return "\n".join(lines) + "\n"


def refuse_feeding_itself(folder: Path) -> None:
    """Refuse a shop whose papers or originals would fall into its own inbox (notes, row 34)."""
    inbox = _real(folder / INBOX)
    for name in (".", ORIGINALS, REFUSED, OUTBOX, PAPERS, DERIVED):
        place = _real(folder / name)
        if place == inbox or inbox in place.parents:
            called = "The shop folder itself" if name == "." else f"{name}/"
            raise SetupProblem(
                "shop-feeds-itself",
                f"{called} lies inside the inbox ({inbox}): what is written there would be taken in again.",
                "Move one of the two, or mend the link that leads there.",
            )


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))
