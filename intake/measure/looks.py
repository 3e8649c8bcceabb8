"""What is looked at beside the widths while the picture's bands go by: detail, rims, the garment's colour."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from intake.facts import Detail, InkMeasures, Pixels
from intake.measure.bytewise import Bytes
from intake.measure.detail import sharpness_of
from intake.measure.fringe import fringe_of
from intake.measure.tiles import Tiles
from intake.measure.vanishing import GarmentWatch

INCH_MM = 25.4


@dataclass(frozen=True, slots=True)
class LookFor:
    """What else is asked. wants_detail: the pixels are the file's own, neither rendered nor resampled."""

    wants_detail: bool = True
    garment: str | None = None  # '#rrggbb'
    garment_limit_de: float = 8.0


class WatchedPixels:
    """Pixels whose first whole reading is looked at on the way (intake.facts.Pixels)."""

    def __init__(self, pixels: Pixels, mm_per_px: float, look: LookFor) -> None:
        self.width, self.height = pixels.width, pixels.height
        self.has_alpha, self.lossy = pixels.has_alpha, pixels.lossy
        self._pixels = pixels
        self._mm = mm_per_px
        self._look = look
        self._tiles = Tiles()
        self._garment = (
            GarmentWatch(look.garment, look.garment_limit_de, mm_per_px) if look.garment is not None else None
        )
        self._is_seen = False

    def bands(self, rows: int) -> Iterator[Bytes]:
        """The bands of the pixels, as they are."""
        is_first, self._is_seen = not self._is_seen, True
        for band in self._pixels.bands(rows):
            if is_first:
                self._tiles.add(band)
                if self._garment is not None:
                    self._garment.add(band)
            yield band

    def added_to(self, ink: InkMeasures) -> InkMeasures:
        """The measures with what was seen besides."""
        tiles = self._tiles.kept()
        detail = self._detail() if self._look.wants_detail else None
        return replace(
            ink,
            detail_ppi=detail.ppi if detail is not None else None,
            detail=detail,
            fringe=fringe_of(tiles, self._mm) if self.has_alpha else None,
            vanishing=self._garment.finished() if self._garment is not None else None,
        )

    def _detail(self) -> Detail | None:
        sharp = sharpness_of(self._tiles.kept(), is_lossy=self.lossy)
        if sharp is None:
            return None
        pixel_ppi = INCH_MM / self._mm
        places = tuple(tile.liveliest(self._mm) for tile in self._tiles.kept())
        return Detail(pixel_ppi / sharp.factor, sharp.error, sharp.factor, sharp.kind, sharp.is_photo, places)
