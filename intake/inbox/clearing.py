"""Clearing the inbox of what is safe: set aside, compared once more, and only then removed."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path

from intake.durable import make_folder
from intake.faults import reach
from intake.inbox.claiming import COPY_BYTES, original_path
from intake.inbox.opening import READ_PLAIN, has_writer
from intake.shop import Shop

_BESIDE = ".filmdocket-clearing-"  # where the inbox is another file system than the shop folder


class Clearing(StrEnum):
    """What came of clearing one file."""

    GONE = "gone"  # its bytes are in originals/ and nowhere else
    RETURNED = "returned"  # it was another file by then: put back into the inbox as a new arrival
    WATCHED = "watched"  # set aside, but somebody may still be writing into it: ask again


def clear_file(shop: Shop, path: str, sha256: str, *, is_patient: bool) -> Clearing:
    """Take a file that is safe in `originals/` out of the inbox.

    It is first renamed out of everybody's reach, then read once more: a writer that had it open, or a new
    file that came under its name, must not lose a byte. `is_patient`: it was set aside long enough ago that a
    writer that cannot be asked about would have shown itself. May be called again after a death at any
    moment. Raises OSError when it cannot be renamed or read (a folder without permission, a program that
    holds it).
    """
    source = shop.inbox.joinpath(*path.split("/"))
    asides = _asides(shop, source, path, sha256)
    aside = next((a for a in asides if os.path.lexists(a)), None)
    if aside is None:
        aside = _set_aside(source, asides)
    if aside is None:
        return Clearing.GONE
    reach("set-aside")
    outcome = _finish(shop, aside, source, sha256, is_patient)
    if outcome is not Clearing.WATCHED:
        with contextlib.suppress(OSError):
            aside.parent.rmdir()
    return outcome


def _asides(shop: Shop, source: Path, path: str, sha256: str) -> tuple[Path, Path]:
    # Named by what is cleared, so that a restart finds it again without having to remember anything.
    name = hashlib.sha256(os.fsencode(path) + b"\0" + sha256.encode()).hexdigest()[:24]
    return (shop.clearing / name / source.name, source.parent / f"{_BESIDE}{name}" / source.name)


def _set_aside(source: Path, asides: tuple[Path, Path]) -> Path | None:
    for aside in asides:
        aside.parent.mkdir(parents=True, exist_ok=True)  # need not outlive a power cut: the file is safe
        try:
            source.rename(aside)
        except FileNotFoundError:
            aside.parent.rmdir()
            return None
        except OSError as error:
            with contextlib.suppress(OSError):
                aside.parent.rmdir()
            if error.errno != errno.EXDEV:
                raise
        else:
            return aside
    raise OSError(errno.EXDEV, "cannot be set aside: its folder is of a file system of its own")


def _finish(shop: Shop, aside: Path, source: Path, sha256: str, is_patient: bool) -> Clearing:
    try:
        descriptor = os.open(aside, READ_PLAIN)
    except OSError as error:
        if error.errno != errno.ELOOP:
            raise
        put_back(aside, source)  # a link came under the file's name
        return Clearing.RETURNED
    with os.fdopen(descriptor, "rb", buffering=0) as file:
        writer = has_writer(descriptor)
        if writer or (writer is None and not is_patient):
            return Clearing.WATCHED
        digest = hashlib.sha256()
        while piece := file.read(COPY_BYTES):
            digest.update(piece)
    if digest.hexdigest() != sha256 or not original_path(shop, sha256).is_file():
        put_back(aside, source)
        return Clearing.RETURNED
    aside.unlink()
    return Clearing.GONE


def put_back(aside: Path, source: Path) -> Path:
    """Return a file to the inbox under its name, or one like it when that is taken; replaces nothing."""
    make_folder(source.parent)
    for at in range(1000):
        suffix = "" if at == 0 else f" ({at + 1})"
        stem = source.stem
        while len(os.fsencode(stem + suffix + source.suffix)) > 255:
            stem = stem[:-1]
        place = source.with_name(stem + suffix + source.suffix)
        if _moved_without_replacing(aside, place):
            return place
    raise OSError(errno.EEXIST, "no free name for it in the inbox")


def _moved_without_replacing(aside: Path, place: Path) -> bool:
    try:
        os.link(aside, place, follow_symlinks=False)  # fails when the name is taken, as rename would not
    except FileExistsError:
        return False
    except (OSError, NotImplementedError):
        if os.path.lexists(place):
            return False
        aside.rename(place)  # no hard links here; on Windows rename itself refuses to replace
        return True
    aside.unlink()
    return True


def is_aside(shop: Shop, path: str, sha256: str) -> bool:
    """Whether a file was set aside and waits to be removed."""
    asides = _asides(shop, shop.inbox.joinpath(*path.split("/")), path, sha256)
    return any(os.path.lexists(aside) for aside in asides)


def files_aside(shop: Shop) -> Iterator[tuple[Path, Path]]:
    """Everything that stands aside at this moment, and where in the inbox it would go back to."""
    for aside in shop.clearing.glob("*/*"):
        yield aside, shop.inbox / aside.name
    for place, folders, _ in os.walk(shop.inbox):
        for beside in [f for f in folders if f.startswith(_BESIDE)]:
            folders.remove(beside)
            for aside in Path(place, beside).iterdir():
                yield aside, Path(place) / aside.name


def return_strays(shop: Shop, known: set[tuple[str, str]]) -> list[Path]:
    """At the start: what was set aside and no row (`known`: path, hash) speaks of is looked at again.

    It goes back into the inbox, unless its very bytes are safe.
    """
    wanted = {a for p, s in known for a in _asides(shop, shop.inbox.joinpath(*p.split("/")), p, s)}
    returned = []
    for aside, source in list(files_aside(shop)):
        if aside in wanted:
            continue
        if aside.is_file() and not aside.is_symlink() and is_safe(shop, aside):
            aside.unlink()
        else:
            returned.append(put_back(aside, source))
        with contextlib.suppress(OSError):
            aside.parent.rmdir()
    return returned


def is_safe(shop: Shop, path: Path) -> bool:
    """Whether the bytes of a file lie in `originals/` too. Raises OSError when it cannot be read."""
    with path.open("rb") as file:
        return original_path(shop, hashlib.file_digest(file, "sha256").hexdigest()).is_file()
