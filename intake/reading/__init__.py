"""File → Artwork: one module a kind, and the only importers of decoders."""

from __future__ import annotations

import traceback
from pathlib import Path

from config.settings import FileLimits
from intake.reading import refusals
from intake.reading.opened import OpenArtwork
from intake.reading.sniff import HEAD_BYTES, Kind, ending_note, sniff
from intake.reading.unfinished import looks_unfinished
from tickets.problems import ArtworkRefused

__all__ = ["OpenArtwork", "ending_note", "kind_of", "looks_unfinished", "open_artwork"]


def open_artwork(path: Path, page: int, limits: FileLimits) -> OpenArtwork:
    """Open an artwork file of any kind that is read, by its first bytes; decoders are loaded only here.

    `page` counts from 1. Raises ArtworkRefused with the slug and sentences of what is wrong with the file, or
    MemoryError.
    """
    try:
        with path.open("rb") as stream:
            kind = sniff(stream.read(HEAD_BYTES))
    except OSError as error:
        raise refusals.not_readable(error.strerror or "unknown reason") from error
    try:
        return _open(path, kind, page, limits)
    except (ArtworkRefused, MemoryError):
        raise
    except Exception as error:  # whatever a hostile file makes of a decoder, it is the file's doing
        traceback.print_exc()
        raise refusals.damaged(kind) from error


def kind_of(path: Path) -> str | None:
    """The kind of a file by its first bytes, such as "PNG"; None when it is not read or not there."""
    try:
        with path.open("rb") as stream:
            return str(sniff(stream.read(HEAD_BYTES)))
    except (OSError, ArtworkRefused):
        return None


def _open(path: Path, kind: Kind, page: int, limits: FileLimits) -> OpenArtwork:
    if kind == Kind.PDF:
        from intake.reading.pdf import open_pdf

        return open_pdf(path, page, limits)
    if kind == Kind.SVG:
        from intake.reading.svg import open_svg

        return open_svg(path, page, limits)
    if kind == Kind.PSD:
        from intake.reading.psd import open_psd

        return open_psd(path, page, limits)
    if kind == Kind.EPS:
        from intake.reading.eps import open_eps

        return open_eps(path, page, limits)
    from intake.reading.raster import open_raster

    return open_raster(path, kind, page, limits)
