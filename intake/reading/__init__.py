"""File → Artwork: one module a kind, and the only importers of decoders."""

from __future__ import annotations

from pathlib import Path

from config.settings import FileLimits
from intake.reading import refusals
from intake.reading.opened import OpenArtwork
from intake.reading.sniff import HEAD_BYTES, Kind, ending_note, sniff
from intake.reading.unfinished import looks_unfinished

__all__ = ["OpenArtwork", "ending_note", "looks_unfinished", "open_artwork"]


def open_artwork(path: Path, page: int, limits: FileLimits) -> OpenArtwork:
    """Open an artwork file of any kind that is read, by its first bytes; decoders are loaded only here.

    `page` counts from 1. Raises ArtworkRefused with the slug and sentences of what is wrong with the file.
    """
    try:
        with path.open("rb") as stream:
            kind = sniff(stream.read(HEAD_BYTES))
    except OSError as error:
        raise refusals.not_readable(error.strerror or "unknown reason") from error
    if kind == Kind.PDF:
        from intake.reading.pdf import open_pdf

        return open_pdf(path, page, limits)
    from intake.reading.raster import open_raster

    return open_raster(path, kind, page, limits)
