"""Files that are whole or not there at all, also after a power cut: written aside, synced, renamed."""

from __future__ import annotations

import contextlib
import io
import os
import secrets
import shutil
from pathlib import Path
from typing import BinaryIO

TEMPORARY = ".tmp-"  # begins the names of files that are being written; a dead one may be swept


def write_whole(path: Path, content: bytes) -> None:
    """Put `content` at `path`, replacing what was there, so that no reader ever sees a part of it.

    Raises OSError; what was at `path` before then stands unharmed.
    """
    _write_whole(path, io.BytesIO(content))


def copy_whole(source: Path, path: Path) -> None:
    """The same with the content of another file, of any length."""
    with source.open("rb") as content:
        _write_whole(path, content)


def _write_whole(path: Path, content: BinaryIO) -> None:
    make_folder(path.parent)
    aside = path.parent / f"{TEMPORARY}{secrets.token_hex(8)}"
    try:
        with aside.open("xb") as file:
            shutil.copyfileobj(content, file)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            aside.unlink()
        raise
    sync_folder(path.parent)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, so that they survive a power cut too."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Make renames in a folder last. Windows has no such call: its file system's journal must do."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    try:
        os.fsync(descriptor)
    except OSError:
        # Some network file systems refuse to sync a folder; the rename is then the server's promise.
        pass
    finally:
        os.close(descriptor)


def sweep_temporaries(folder: Path, before: float) -> None:
    """Remove what a dead program was writing below `folder`, last changed before that time (since 1970).

    A program that is alive renames its file within moments; a minute ago leaves it alone.
    """
    for path in folder.rglob(f"{TEMPORARY}*"):
        with contextlib.suppress(OSError):
            if path.stat().st_mtime < before:
                path.unlink()
