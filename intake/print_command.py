"""The shop's print command at work on one file: a program with a time limit, never a shell."""

from __future__ import annotations

import contextlib
import subprocess
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

import psutil

from config.settings_papers import CODE, FILE, Papers
from tickets import wording_papers as wording

_LOOK_SECONDS = 0.05
_STOP_GRACE_SECONDS = 5.0  # a stopping daemon leaves a paper that is being printed so long
_MOST_SAID = 300  # characters of what a failing program says


class PrinterTrouble(Exception):
    """Why a paper is not on paper, in words; it is tried again."""


class Printer(Protocol):
    """Puts a file on paper."""

    def print_paper(self, path: Path, code: str) -> None:
        """Returns when it is done. Raises PrinterTrouble."""
        ...


@dataclass(frozen=True)
class CommandPrinter:
    """A printer that a program of the system's speaks to. `is_stopping`: the daemon is to end."""

    command: Sequence[str]
    seconds: float
    is_stopping: Callable[[], bool] = lambda: False

    @classmethod
    def of(cls, papers: Papers, is_stopping: Callable[[], bool] = lambda: False) -> CommandPrinter:
        """As the settings name it."""
        return cls(papers.print_command, papers.print_seconds, is_stopping)

    def print_paper(self, path: Path, code: str) -> None:
        """Run the command with the paper's path; status 0 within the time is done. Raises PrinterTrouble."""
        program = self.command[0]
        arguments = [one.replace(CODE, code).replace(FILE, str(path)) for one in self.command[1:]]
        with tempfile.TemporaryFile() as said:  # a pipe would be held open by what the program leaves running
            try:
                running = subprocess.Popen(
                    [program, *arguments], stdin=subprocess.DEVNULL, stdout=said, stderr=said
                )
            except FileNotFoundError as error:
                raise PrinterTrouble(wording.program_missing(program)) from error
            except OSError as error:
                why = error.strerror or str(error)
                raise PrinterTrouble(wording.program_not_started(program, why)) from error
            status = self._wait(running)
            if status != 0:
                raise PrinterTrouble(wording.program_failed(program, status, _last_words(said)))

    def _wait(self, running: subprocess.Popen[bytes]) -> int:
        end = time.monotonic() + self.seconds
        is_ending = False
        while True:
            with contextlib.suppress(subprocess.TimeoutExpired):
                return running.wait(_LOOK_SECONDS)
            if not is_ending and self.is_stopping():
                is_ending, end = True, min(end, time.monotonic() + _STOP_GRACE_SECONDS)
            if time.monotonic() >= end:
                _end_whole(running)
                raise PrinterTrouble(wording.program_hung(self.command[0], self.seconds))


def _end_whole(running: subprocess.Popen[bytes]) -> None:
    """End a program and what it started, so that a hanging one holds nothing."""
    family: list[psutil.Process] = []
    with contextlib.suppress(psutil.Error):
        family = psutil.Process(running.pid).children(recursive=True)
    running.kill()
    for process in family:
        with contextlib.suppress(psutil.Error):
            process.kill()
    running.wait()


def _last_words(said: BinaryIO) -> str:
    """The end of what the program said, on one line."""
    length = said.seek(0, 2)
    said.seek(max(0, length - 4 * _MOST_SAID))
    words = " ".join(said.read().decode("utf-8", "replace").split())
    return words[-_MOST_SAID:].rstrip(".")
