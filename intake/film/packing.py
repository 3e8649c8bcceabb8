"""Samples packed for PDF: rows as differences to the row above (PNG's "Up"), then Flate."""

from __future__ import annotations

import zlib
from typing import IO

import numpy as np
from numpy.typing import NDArray

LEVEL = 1  # flat art packs as well as at 6, in a third of the time
_UP = 2  # the predictor's mark before each row (W3C PNG, 9.2)


class RowPacker:
    """Packs rows band by band into a file; `length` is what it wrote so far."""

    def __init__(self, out: IO[bytes]) -> None:
        self._out = out
        self._packer = zlib.compressobj(LEVEL)
        self._above: NDArray[np.uint8] | None = None
        self.length = 0

    def add(self, samples: NDArray[np.uint8] | NDArray[np.uint16]) -> None:
        """The next rows, of any number of samples a pixel; 16 bits go high byte first."""
        count = samples.shape[0]
        wide = samples.astype(">u2") if samples.dtype == np.uint16 else np.ascontiguousarray(samples)
        rows = wide.view(np.uint8).reshape(count, -1)
        packed = np.empty((count, rows.shape[1] + 1), np.uint8)
        packed[:, 0] = _UP
        above = np.zeros_like(rows[0]) if self._above is None else self._above
        np.subtract(rows[0], above, out=packed[0, 1:])
        np.subtract(rows[1:], rows[:-1], out=packed[1:, 1:])
        self._above = rows[-1].copy()
        self._write(self._packer.compress(packed.data))

    def finish(self) -> int:
        """Write what is left; returns the whole length."""
        self._write(self._packer.flush())
        return self.length

    def _write(self, content: bytes) -> None:
        self._out.write(content)
        self.length += len(content)


def packed_as(colours: int, bits: int, width: int) -> str:
    """The entries of the dictionary that tell how the rows are packed (ISO 32000-1 7.4.4.4)."""
    return (
        f"/Filter /FlateDecode /DecodeParms << /Predictor 15 /Colors {colours} "
        f"/BitsPerComponent {bits} /Columns {width} >>"
    )
