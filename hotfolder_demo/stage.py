"""What every scene of the demo has at hand, and the promise that what it shows is what it expected."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from hotfolder_demo.commands import Commands, Daemon, Said
from hotfolder_demo.dropping import Dropper
from hotfolder_demo.scenario import CustomerOrder
from hotfolder_demo.showing import Show

PATIENCE_SECONDS = 90.0  # for any one thing; a loaded machine with one core needs some of it
LOOK_SECONDS = 0.15


class StoryWentWrong(Exception):
    """Something in the demo was not as it ought to be; the sentence says what and where."""


@dataclass
class Stage:
    """The shop folder, the daemon at work in it, the hands and the voice of the story."""

    shop_dir: Path
    show: Show
    commands: Commands
    daemon: Daemon
    dropper: Dropper
    codes: dict[tuple[str, int], str] = field(default_factory=dict)  # ticket code of (order, item)

    def expect(self, is_so: bool, what: str) -> None:
        """End the story when something is not as it ought to be."""
        if not is_so:
            raise StoryWentWrong(what)

    def wait_for(self, is_so: Callable[[], bool], what: str) -> None:
        """Wait until something has come about; end the story when it doesn't, or when the daemon is gone."""
        ends = time.monotonic() + PATIENCE_SECONDS
        while not is_so():
            if not self.daemon.is_running:
                raise StoryWentWrong(f"The daemon ended while the story waited for this: {what}")
            if time.monotonic() > ends:
                raise StoryWentWrong(f"This did not come about within {PATIENCE_SECONDS:.0f} seconds: {what}")
            time.sleep(LOOK_SECONDS)

    def type(self, *arguments: str, status: int = 0, says: str = "", seconds: float = 1.5) -> Said:
        """Type a command, show its answer, and see that it is the one that was expected."""
        said = self.commands.run(*arguments)
        self.show.command(said.typed, said.text, seconds)
        self.expect(said.status == status, f"{said.typed} ended with {said.status} instead of {status}")
        self.expect(
            says.lower() in said.text.lower(), f"{said.typed} does not speak of {says!r}: {said.text}"
        )
        return said

    def standing(self, order: CustomerOrder) -> str:
        """How an order stands; empty while it isn't in the books."""
        found = self.commands.order(order.number)
        return str(found["standing"]) if found else ""
