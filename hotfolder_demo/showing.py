"""How the demo looks in a terminal: headings, what happened, commands and answers, tables, progress."""

from __future__ import annotations

import re
import sys
import textwrap
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from rich._export_format import CONSOLE_SVG_FORMAT
from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

WIDTH = 80
COLOURS = {
    "taken": "green",
    "in work": "green",
    "ready": "green",
    "dispatched": "green",
    "queried": "yellow",
    "waiting": "cyan",
    "settling": "cyan",
    "refused": "red",
    "conflict": "red",
}


class Show:
    """Tells the story on one console; without a terminal it is plain lines, 80 columns wide."""

    def __init__(self, console: Console, pace: float) -> None:
        self.console = console
        self.pace = pace  # 1: as fast as one reads along; 0: no pauses at all

    def heading(self, text: str) -> None:
        """A new scene."""
        self.console.print()
        self.console.print(Rule(f"[bold]{escape(text)}", align="left", style="blue"))

    def tell(self, text: str, seconds: float = 1.5) -> None:
        """A sentence of the story, and the time to read it."""
        self.console.print(escape(text))
        self.pause(seconds)

    def happened(self, what: str, standing: str, says: str = "") -> None:
        """One thing that the daemon made of something that was dropped."""
        line = Text.assemble(("• ", "dim"), what, "  ", (standing, COLOURS.get(standing, "")))
        self.console.print(line)
        if says:
            self._print_indented(says, 4, "dim")

    def command(self, typed: str, answer: str, seconds: float = 1.5) -> None:
        """A command as it is typed, and what it answers."""
        self.console.print(Text.assemble(("$ ", "bold blue"), (typed, "bold")))
        self._print_indented(answer, 2)
        self.pause(seconds)

    def _print_indented(self, text: str, columns: int, style: str = "") -> None:
        """Print lines set in by so many columns; what is too long goes on set in as far as its line is."""
        for line in text.splitlines():
            own = " " * (columns + len(line) - len(line.lstrip()))
            wrapped = textwrap.fill(
                line.strip(), self.console.width, initial_indent=own, subsequent_indent=own
            )
            self.console.print(Text(wrapped, style=style))

    def line(self, text: str) -> None:
        """A line to be copied: never broken, however long it is."""
        self.console.print(Text(f"  {text}"), soft_wrap=True)

    def table(self, columns: Iterable[str], rows: Iterable[Iterable[str]]) -> None:
        """A table; a cell that is a standing is coloured as one."""
        table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
        for column in columns:
            table.add_column(column, overflow="fold")
        for row in rows:
            table.add_row(*(Text(cell, style=COLOURS.get(cell, "")) for cell in row))
        self.console.print(table)

    def pause(self, seconds: float) -> None:
        """Leave time to read."""
        time.sleep(seconds * self.pace)

    @contextmanager
    def progress(self, what: str, total: int) -> Iterator[Progress]:
        """A bar for as long as something takes, in a terminal only; it goes when it is done."""
        count = TextColumn("{task.completed:.0f} of {task.total:.0f}")
        columns = (TextColumn("{task.description}"), BarColumn(28), count, TimeElapsedColumn())
        hidden = self.console.record or not self.console.is_terminal  # a picture needs no bar
        with Progress(*columns, console=self.console, transient=True, disable=hidden) as bar:
            bar.add_task(what, total=total)
            yield bar


def open_show(pace: float, record: bool) -> Show:
    """The console of the story: the terminal's width, 80 columns at most; recorded for pictures."""
    # Bound to this stream: the commands' own output is caught elsewhere while a progress bar is drawn.
    out, is_terminal = sys.stdout, True if record else None
    console = Console(file=out, record=record, highlight=False, force_terminal=is_terminal)
    console.width = WIDTH if record else min(console.width, WIDTH)
    return Show(console, pace)


# Rich names fonts on a web server in its pictures; whoever looks at one has a monospaced font of their own.
PICTURE_FORMAT = re.sub(r"@font-face \{\{.*?\}\}\s*", "", CONSOLE_SVG_FORMAT, flags=re.DOTALL)


def save_terminal(show: Show, path: Path, title: str) -> None:
    """What was shown since the last picture, as SVG."""
    show.console.save_svg(str(path), title=title, clear=True, code_format=PICTURE_FORMAT, unique_id=path.stem)
