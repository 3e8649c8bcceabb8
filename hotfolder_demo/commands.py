"""The demo's hands: the real daemon as a process, and the real commands, run as a person would type them."""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from intake import cli

STOPPING_SECONDS = 20


@dataclass(frozen=True)
class Said:
    """What a command answered."""

    typed: str  # as a person would type it
    status: int
    out: str
    aside: str  # what it wrote to stderr

    @property
    def text(self) -> str:
        """Everything that a person would have seen."""
        return "\n".join(part.strip() for part in (self.out, self.aside) if part.strip())


class Commands:
    """Runs filmdocket's commands on one shop folder."""

    def __init__(self, shop_dir: Path) -> None:
        self.shop_dir = shop_dir

    def run(self, *arguments: str) -> Said:
        """One command, in this process: the same code as on the command line, without its start-up time."""
        out, aside = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(aside):
            status = cli.main([*arguments, "--shop", str(self.shop_dir)])
        return Said(_as_typed(arguments), status, out.getvalue(), aside.getvalue())

    def ask(self, *arguments: str) -> Any:
        """The JSON answer of a command."""
        said = self.run(*arguments, "--json")
        return json.loads(said.out)

    def files(self) -> dict[str, dict[str, Any]]:
        """What the inbox list says of each file, by its path, the newest word on it."""
        return {file["path"]: file for file in reversed(self.ask("inbox")["files"])}

    def order(self, number: str) -> dict[str, Any] | None:
        """The order of that number as `where` has it; None while it isn't in the books."""
        found = [o for o in self.ask("orders")["orders"] if o["order"] == number]
        return found[0] if found else None


def make_shop(shop_dir: Path, settings: str) -> Said:
    """`filmdocket init`, as a process of its own, and the demo's settings in its shop.toml."""
    ended = subprocess.run(
        [sys.executable, "-m", "intake.cli", "init", str(shop_dir)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if ended.returncode == 0:
        (shop_dir / "shop.toml").write_text(settings, encoding="utf-8")
    return Said(_as_typed(("init", str(shop_dir))), ended.returncode, ended.stdout, ended.stderr)


class Daemon:
    """`filmdocket watch` as a process; what it says besides its own log is kept until it has stopped well."""

    def __init__(self, shop_dir: Path) -> None:
        handle, name = tempfile.mkstemp(prefix="filmdocket-demo-", suffix=".log")
        self._said = Path(name)
        # On Windows a group of its own, so that it alone hears the Ctrl-Break that stops it.
        new_group = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "intake.cli", "watch", "--shop", str(shop_dir)],
            stdin=subprocess.DEVNULL,
            stdout=handle,
            stderr=subprocess.STDOUT,
            creationflags=new_group,
        )
        os.close(handle)

    @property
    def is_running(self) -> bool:
        """Whether it is still at work."""
        return self._process.poll() is None

    def said(self) -> str:
        """All that it has said so far."""
        return self._said.read_text("utf-8", "replace") if self._said.exists() else ""

    def stop(self) -> int:
        """Ask it to stop as a person would, and answer its exit status."""
        if self.is_running:
            self._process.send_signal(getattr(signal, "CTRL_BREAK_EVENT", signal.SIGTERM))
        try:
            status = self._process.wait(STOPPING_SECONDS)
        except subprocess.TimeoutExpired:
            self._process.kill()
            status = self._process.wait()
        if status == 0:
            self._said.unlink(missing_ok=True)
        return status


def as_typed_here() -> str:
    """How the command is called from this very shell, where its environment may not be the active one."""
    found = shutil.which("filmdocket")
    beside = Path(sys.executable).with_name("filmdocket.exe" if os.name == "nt" else "filmdocket")
    if found and Path(found).resolve() == beside.resolve():
        return "filmdocket"
    return quoted(beside) if beside.exists() else f"{quoted(Path(sys.executable))} -m intake.cli"


def _as_typed(arguments: tuple[str, ...]) -> str:
    return " ".join(["filmdocket", *map(quoted, arguments)])


def quoted(word: str | Path) -> str:
    """A word as it is typed in any shell: in double quotes where it has a space."""
    return f'"{word}"' if " " in str(word) else str(word)
