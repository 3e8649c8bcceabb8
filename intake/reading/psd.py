"""PSD and PSB → Artwork: the flattened picture, and a sentence when there is none."""

from __future__ import annotations

import math
from pathlib import Path

from config.settings import FileLimits
from intake.facts import Artwork, Pixels, PrintSize
from intake.reading import refusals
from intake.reading.colour import Profile, judge_profile
from intake.reading.header import BrokenHeader
from intake.reading.psd_header import COLOURS, PACKED, RAW, PsdHeader, read_psd
from intake.reading.psd_pixels import Channels, PsdPixels
from intake.reading.unfinished import looks_unfinished
from tickets.problems import ArtworkRefused

_INCH_MM = 25.4
_NEARLY_SQUARE = 0.01


class OpenPsd:
    """One opened Photoshop document (intake.reading.opened.OpenArtwork)."""

    def __init__(self, path: Path, header: PsdHeader, limits: FileLimits) -> None:
        self._path = path
        self._header = header
        self._limits = limits
        self._profile = _profile(header)
        self.artwork = _artwork(header, self._profile)

    def pixels_at(self, size: PrintSize) -> Pixels:
        """The flattened picture's own pixels, averaged in whole blocks where finer than any printer sets."""
        ppi = self._header.width * _INCH_MM / size.width_mm
        shrink = max(1, math.ceil(ppi / self._limits.finest_ppi - 1e-9))
        return PsdPixels(self._path, self._header, self._profile, shrink)

    def close(self) -> None:
        """Nothing is kept open between calls."""


def open_psd(path: Path, page: int, limits: FileLimits) -> OpenPsd:
    """Open the flattened picture of a PSD or PSB; layers are never put together here.

    Raises ArtworkRefused: `no-picture` when the document was saved without a flattened picture,
    `too-many-pixels`, `file-damaged`, `file-cut-short`, `kind-not-read` for plates without colours.
    """
    with path.open("rb") as stream:
        try:
            header = read_psd(stream)
        except BrokenHeader as error:
            reason = looks_unfinished(path)
            raise refusals.cut_short(reason) if reason else refusals.damaged("PSD") from error
        if header.width * header.height > limits.largest_megapixels * 1e6:
            raise refusals.too_many_pixels(header.width, header.height, limits.largest_megapixels)
        if min(header.width, header.height) < limits.smallest_pixels:
            raise refusals.no_picture("PSD")
        if page != 1:
            raise refusals.page_not_there(page, 1)
        _refuse_what_is_not_there(header)
        Channels(stream, header)  # whether all of it is there
    return OpenPsd(path, header, limits)


def _refuse_what_is_not_there(header: PsdHeader) -> None:
    if not header.is_merged:
        raise ArtworkRefused(
            "no-picture",
            "The Photoshop document holds layers only: it was saved without its flattened picture.",
            "Please save it again with “maximize compatibility” on, or send a flattened copy or a PNG.",
        )
    fits = header.mode in COLOURS and header.channels >= COLOURS[header.mode]
    is_bits = (header.depth == 1) == (header.mode == "bitmap")
    if not fits or not is_bits or header.packing not in (RAW, PACKED):
        raise refusals.variant_not_read("PSD")
    if header.mode == "indexed" and header.depth != 8:
        raise refusals.variant_not_read("PSD")


def _profile(header: PsdHeader) -> Profile:
    if header.mode in ("indexed", "Lab", "bitmap") or header.depth == 32:
        return Profile(False)
    return judge_profile(header.icc, COLOURS[header.mode], bool(header.icc))


def _artwork(header: PsdHeader, profile: Profile) -> Artwork:
    grey = ("bitmap", "duotone")
    return Artwork(
        kind="PSD",
        shape=header.width / header.height,
        pixels=(header.width, header.height),
        pages=1,
        stored_ppi=header.stored.ppi,
        stored_ppi_from=header.stored.source,
        colour="grey" if header.mode in grey else header.mode,
        bits=header.depth,
        has_alpha=header.has_alpha or (header.mode == "indexed" and header.clear_index is not None),
        colour_profile=profile.name,
        profile_trouble=profile.trouble,
        notes=tuple(_notes(header, profile)),
        extra={
            "orientation": 1,
            "has_icc": bool(header.icc),
            "icc_used": profile.converts,
            "layers": abs(header.layers or 0),
            "extra_channels": header.channels - COLOURS[header.mode],
        },
    )


def _notes(header: PsdHeader, profile: Profile) -> list[str]:
    notes = [*header.stored.notes, *profile.notes]
    if header.layers:
        notes.append("The document has layers; its flattened picture, as last saved, is what is looked at.")
    beyond = header.channels - COLOURS[header.mode] - header.has_alpha
    if beyond > 0:
        what = "1 more channel" if beyond == 1 else f"{beyond} more channels"
        notes.append(f"The document has {what} (spot colours or saved masks), not transparency: not printed.")
    if header.mode == "CMYK":
        how = "its own profile" if profile.converts else "a general one, for want of a profile"
        notes.append(f"The colours are for a printing press (CMYK); they were read with {how}.")
    if header.mode == "duotone":
        notes.append("The inks of a duotone cannot be told from the file; it is looked at in greys.")
    if header.depth == 32:
        notes.append("The picture has 32 bits a colour; it was read as linear light from black to white.")
    if abs(header.pixel_shape - 1) > _NEARLY_SQUARE:
        notes.append(f"The document shows its pixels {header.pixel_shape:.3g} : 1; they are printed square.")
    return notes
