"""What every reader hands back: the facts of a file, and its pixels at a print size on demand."""

from __future__ import annotations

from typing import Protocol

from intake.facts import Artwork, Pixels, PrintSize


class OpenArtwork(Protocol):
    """One opened artwork file of any kind. `close()` lets go of the file and may be called more than once.

    `pixels_at(size)` gives upright, square pixels of the whole canvas at that print size: a raster file's own
    pixels (resampled only where its two effective resolutions differ), a vector page rendered at
    `limits.render_ppi`. Raises ArtworkRefused when the picture data turn out to be damaged or too large.
    """

    artwork: Artwork

    def pixels_at(self, size: PrintSize) -> Pixels:
        """The pixels of the whole canvas as it will be printed at `size` (mm)."""
        ...

    def close(self) -> None:
        """Let go of the file."""
        ...
