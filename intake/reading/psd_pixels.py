"""The flattened picture of a PSD in bands: rows of each channel unpacked and brought to sRGB."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import Image

from intake.reading import refusals
from intake.reading.colour import Profile, alpha_to_8_bits, to_srgb
from intake.reading.psd_header import COLOURS, PACKED, RAW, PsdHeader

_SAMPLES: dict[int, np.dtype[Any]] = {8: np.dtype(np.uint8), 16: np.dtype(">u2"), 32: np.dtype(">f4")}
_MATTE_ROWS = 64
_MATTE_SLACK = 3  # of 255: rounding by the program that wrote it

Array = NDArray[Any]


class PsdPixels:
    """Pixels of the flattened picture (intake.facts.Pixels): means of `shrink` × `shrink` stored ones."""

    lossy = False

    def __init__(self, path: Path, header: PsdHeader, profile: Profile, shrink: int = 1) -> None:
        self._path = path
        self._header = header
        self._profile = profile
        self._shrink = shrink
        self.width = -(-header.width // shrink)
        self.height = -(-header.height // shrink)
        self.has_alpha = header.has_alpha or header.clear_index is not None
        self._has_matte: bool | None = None

    def bands(self, rows: int) -> Iterator[NDArray[np.uint8]]:
        """Straight RGBA in sRGB, top to bottom. Raises ArtworkRefused where the data are cut or broken."""
        with self._path.open("rb") as stream:
            channels = Channels(stream, self._header)
            if self._has_matte is None:
                self._has_matte = self.has_alpha and self._is_matted(channels)
            step = rows * self._shrink
            for top in range(0, self._header.height, step):
                band = self._rgba(channels, top, min(step, self._header.height - top))
                yield np.ascontiguousarray(averaged(band, self._shrink) if self._shrink > 1 else band)

    def _rgba(self, channels: Channels, top: int, rows: int) -> NDArray[np.uint8]:
        header = self._header
        if header.mode == "indexed":
            return self._from_palette(channels.read(0, top, rows))
        count = COLOURS[header.mode]
        colour = np.stack([channels.read(k, top, rows) for k in range(count)], axis=-1)
        alpha = channels.read(count, top, rows) if header.has_alpha else None
        rgba = np.empty((*colour.shape[:2], 4), np.uint8)
        rgba[..., :3] = self._to_rgb(self._unmatted(colour, alpha))
        rgba[..., 3] = 255 if alpha is None else _alpha_8(alpha)
        return rgba

    def _from_palette(self, indices: Array) -> NDArray[np.uint8]:
        palette = np.zeros((256, 4), np.uint8)
        stored = np.frombuffer(self._header.palette.ljust(768, b"\0")[:768], np.uint8)
        palette[:, :3] = stored.reshape(3, 256).T
        palette[:, 3] = 255
        if self._header.clear_index is not None:
            palette[self._header.clear_index & 255, 3] = 0
        return np.asarray(palette[indices])

    def _to_rgb(self, colour: Array) -> NDArray[np.uint8]:
        image = as_picture(colour, self._header)
        if self._profile.converts:
            image = image.copy()
            image.set_type(pyvips.GValue.blob_type, "icc-profile-data", self._header.icc)
        return np.asarray(to_srgb(image, self._profile).numpy(), np.uint8)

    def _unmatted(self, colour: Array, alpha: Array | None) -> Array:
        """Colours freed of the white that the flattened picture was laid on; what is clear stays as it is."""
        if alpha is None or not self._has_matte or self._header.depth == 32:
            return colour
        white = float(np.iinfo(colour.dtype).max)
        cover = (alpha.astype(np.float32) / white)[..., None]
        freed = (colour.astype(np.float32) - white * (1 - cover)) / np.maximum(cover, 1e-6)
        return np.where(cover > 0, np.clip(np.rint(freed), 0, white), colour).astype(colour.dtype)

    def _is_matted(self, channels: Channels) -> bool:
        """Whether no colour is darker than white shining through would leave it: programs differ in this."""
        header = self._header
        if header.mode not in ("RGB", "grey") or header.depth == 32 or not header.has_alpha:
            return False
        white = (1 << header.depth) - 1
        for top in range(0, header.height, max(1, header.height // _MATTE_ROWS)):
            alpha = channels.read(COLOURS[header.mode], top, 1).astype(np.int64)
            for k in range(COLOURS[header.mode]):
                least = white - alpha - _MATTE_SLACK * white // 255
                if bool((channels.read(k, top, 1)[alpha > 0] < least[alpha > 0]).any()):
                    return False
        return True


class Channels:
    """Rows of single channels out of an open PSD, in native byte order."""

    def __init__(self, stream: BinaryIO, header: PsdHeader) -> None:
        self._stream = stream
        self._header = header
        self._size = stream.seek(0, 2)
        if header.packing == PACKED:
            stream.seek(header.data_at)
            code = np.dtype(">u4" if header.is_large else ">u2")
            table = stream.read(header.counts_bytes)
            if len(table) != header.counts_bytes:
                raise _cut_short()
            lengths = np.frombuffer(table, code).astype(np.int64)
            self._starts = np.concatenate([[0], np.cumsum(lengths)]) + header.data_at + header.counts_bytes
            if int(self._starts[-1]) > self._size:
                raise _cut_short()
        elif header.ends_at > self._size:
            raise _cut_short()

    def read(self, channel: int, top: int, rows: int) -> Array:
        """`rows` rows of a channel from `top` as an array of shape (rows, width)."""
        header = self._header
        row = channel * header.height + top
        if header.packing == RAW:
            self._stream.seek(header.data_at + row * header.row_bytes)
            raw = self._stream.read(rows * header.row_bytes)
        else:
            self._stream.seek(int(self._starts[row]))
            raw = _unpack(self._stream.read(int(self._starts[row + rows] - self._starts[row])), header, rows)
        if len(raw) != rows * header.row_bytes:
            raise _cut_short()
        if header.depth == 1:
            bits = np.unpackbits(np.frombuffer(raw, np.uint8).reshape(rows, header.row_bytes), axis=1)
            return np.where(bits[:, : header.width] > 0, 0, 255).astype(np.uint8)
        stored = _SAMPLES[header.depth]
        samples = np.frombuffer(raw, stored).reshape(rows, header.width)
        return samples.astype(stored.newbyteorder("="))


def _unpack(packed: bytes, header: PsdHeader, rows: int) -> bytes:
    """PackBits (TIFF 6.0 section 9), each row by itself."""
    try:
        return Image.frombytes("L", (header.row_bytes, rows), packed, "packbits", "L").tobytes()
    except (ValueError, OSError) as error:
        raise refusals.damaged("PSD") from error


def as_picture(colour: Array, header: PsdHeader) -> Any:
    """Colour samples as a picture that knows what its numbers mean."""
    bands = colour.shape[2]
    if header.mode == "Lab":
        return _as_lab(colour, header.depth)
    if header.mode == "CMYK":
        colour = ~colour if colour.dtype.kind == "u" else 1 - colour
    if header.depth == 32:
        linear = np.nan_to_num(colour, nan=0.0, posinf=1.0, neginf=0.0).clip(0, 1).astype(np.float32)
        if header.mode == "CMYK":
            return _picture(np.rint(linear * 255).astype(np.uint8), "cmyk")
        return _picture(np.repeat(linear, 3, axis=2) if bands == 1 else linear, "scrgb")
    names = {1: ("b-w", "grey16"), 3: ("srgb", "rgb16"), 4: ("cmyk", "cmyk")}[bands]
    return _picture(colour, names[header.depth == 16])


def _as_lab(colour: Array, depth: int) -> Any:
    whole, middle, step = {8: (255, 128, 1), 16: (65535, 32768, 256), 32: (1, 0, 1)}[depth]
    lab = colour.astype(np.float32)
    lab[..., 0] *= 100 / whole
    lab[..., 1:] = (lab[..., 1:] - middle) / step
    return _picture(np.nan_to_num(lab), "lab")


def _picture(samples: Array, interpretation: str) -> Any:
    image = pyvips.Image.new_from_array(np.ascontiguousarray(samples))
    return image.copy(interpretation=interpretation)


def _alpha_8(alpha: Array) -> NDArray[np.uint8]:
    if alpha.dtype.kind == "f":
        alpha = np.nan_to_num(alpha, nan=0.0, posinf=1.0, neginf=0.0)
    return np.asarray(alpha_to_8_bits(pyvips.Image.new_from_array(alpha)).numpy(), np.uint8)


def averaged(band: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    """Means of blocks of `by` × `by` pixels, colours weighed by alpha; blocks at the edges may be smaller."""
    rows, width = band.shape[:2]
    down, across = np.arange(0, rows, by), np.arange(0, width, by)
    alpha = band[..., 3].astype(np.float32)
    weighed = np.concatenate([band[..., :3] * alpha[..., None], alpha[..., None]], axis=2)
    sums = np.add.reduceat(np.add.reduceat(weighed, down, axis=0), across, axis=1)
    counts = np.outer(np.diff([*down, rows]), np.diff([*across, width])).astype(np.float32)
    out = np.empty((len(down), len(across), 4), np.uint8)
    out[..., :3] = np.rint(sums[..., :3] / np.maximum(sums[..., 3:], 1e-6))
    out[..., 3] = np.rint(sums[..., 3] / counts)
    return out


def _cut_short() -> Exception:
    return refusals.cut_short("its flattened picture stops before its end.")
