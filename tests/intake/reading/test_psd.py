"""Photoshop documents: the flattened picture in every mode and depth, and what is transparency in it."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from config.settings import FileLimits, load_settings
from intake.facts import PrintSize
from intake.reading import kind_of, looks_unfinished, open_artwork
from intake.reading.psd import OpenPsd
from intake.reading.psd_pixels import averaged
from tickets.problems import ArtworkRefused

LIMITS: FileLimits = load_settings(None, {}).limits.file
MADE = Path(__file__).parents[2] / "data" / "artwork_psd"
GREY, INDEXED, RGB, CMYK, MULTI, DUOTONE, LAB, BITMAP = 1, 2, 3, 4, 7, 8, 9, 0


@dataclass
class Psd:
    """A PSD or PSB written byte by byte; planes: one array a channel, big-endian when written."""

    planes: list[NDArray[Any]]
    mode: int = RGB
    depth: int = 8
    layers: int | None = None
    ppi: float | None = 300.0
    packed: bool = False
    large: bool = False
    merged: bool = True
    palette: bytes = b""
    icc: bytes = b""
    tagged: bytes = b""
    more: bytes = b""
    size: tuple[int, int] | None = None

    def resources(self) -> bytes:
        """The image resources section."""
        blocks = []
        if self.ppi is not None:
            fixed = round(self.ppi * 65536)
            blocks.append((1005, struct.pack(">IHHIHH", fixed, 2, 1, fixed, 2, 1)))
        blocks.append((1057, struct.pack(">IB", 1, self.merged) + bytes(12)))
        if self.icc:
            blocks.append((1039, self.icc))
        body = b"".join(
            b"8BIM" + struct.pack(">HHI", number, 0, len(b)) + b + b"\0" * (len(b) % 2)
            for number, b in blocks
        )
        return body + self.more

    def layer_section(self) -> bytes:
        """Layer and mask information: only the count, and tagged blocks."""
        wide = ">Q" if self.large else ">I"
        if self.layers is None and not self.tagged:
            return struct.pack(wide, 0)
        info = struct.pack(">h", self.layers) + bytes(2) if self.layers is not None else b""
        body = struct.pack(wide, len(info)) + info
        body += struct.pack(">I", 0) + self.tagged if self.tagged else b""
        return struct.pack(wide, len(body)) + body

    def image(self) -> bytes:
        """The flattened picture, raw or packed row by row (literal runs)."""
        rows = [self._row(row) for plane in self.planes for row in plane]
        if not self.packed:
            return struct.pack(">H", 0) + b"".join(rows)
        packed = [_packbits(row) for row in rows]
        code = ">I" if self.large else ">H"
        return struct.pack(">H", 1) + b"".join(struct.pack(code, len(p)) for p in packed) + b"".join(packed)

    def _row(self, row: NDArray[Any]) -> bytes:
        if self.depth == 1:
            return np.packbits(row.astype(bool)).tobytes()
        return row.astype({8: ">u1", 16: ">u2", 32: ">f4"}[self.depth]).tobytes()

    def write(self, path: Path) -> Path:
        """Write the file."""
        high, wide = self.size or self.planes[0].shape
        head = b"8BPS" + struct.pack(">H6xHIIHH", 2 if self.large else 1, len(self.planes), high, wide,
                                     self.depth, self.mode)  # fmt: skip
        sections = [struct.pack(">I", len(b)) + b for b in (self.palette, self.resources())]
        path.write_bytes(head + b"".join(sections) + self.layer_section() + self.image())
        return path


def _packbits(row: bytes) -> bytes:
    """PackBits with a run where all bytes are alike, else literal pieces."""
    out = b""
    for at in range(0, len(row), 128):
        piece = row[at : at + 128]
        same = len(set(piece)) == 1 and len(piece) > 1
        out += bytes([257 - len(piece), piece[0]]) if same else bytes([len(piece) - 1]) + piece
    return out


def opened(psd: Psd, folder: Path) -> OpenPsd:
    """The document as opened from a file."""
    found = open_artwork(psd.write(folder / "a.psd"), 1, LIMITS)
    assert isinstance(found, OpenPsd)
    return found


def pixels(document: OpenPsd, width_mm: float = 100.0, rows: int = 3) -> NDArray[np.uint8]:
    """All its pixels."""
    return np.concatenate(list(document.pixels_at(PrintSize(width_mm, width_mm)).bands(rows)))


def planes(*values: float, side: int = 8) -> list[NDArray[Any]]:
    """One flat plane a value."""
    return [np.full((side, side), value) for value in values]


def refusal(psd: Psd, folder: Path) -> ArtworkRefused:
    """What such a document is refused with."""
    with pytest.raises(ArtworkRefused) as told:
        pixels(opened(psd, folder))
    return told.value


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize(("depth", "whole"), [(8, 255), (16, 65535)])
def test_depths_packings_and_large_documents_are_read(
    packed: bool, large: bool, depth: int, whole: int, tmp_path: Path
) -> None:
    """A ramp in red, seen again in 8 bits."""
    ramp = np.linspace(0, whole, 200).round()[None].repeat(7, axis=0)
    document = opened(
        Psd([ramp, ramp * 0, ramp * 0 + whole], depth=depth, packed=packed, large=large), tmp_path
    )
    seen = pixels(document)
    assert np.abs(seen[3, :, 0].astype(int) - np.linspace(0, 255, 200)).max() <= 1
    assert (seen[..., 1:] == [0, 255, 255]).all()
    assert (document.artwork.bits, document.artwork.pixels) == (depth, (200, 7))
    assert document.artwork.stored_ppi == (300, 300)


@pytest.mark.parametrize(
    ("mode", "values", "rgb"),
    [
        (GREY, (200,), (200, 200, 200)),
        (DUOTONE, (200,), (200, 200, 200)),
        (RGB, (10, 20, 30), (10, 20, 30)),
        (LAB, (255, 128, 128), (255, 255, 255)),
        (LAB, (0, 128, 128), (0, 0, 0)),
        (LAB, (137, 208, 195), (254, 0, 0)),
        (CMYK, (255, 255, 255, 255), (255, 255, 255)),
    ],
)
def test_modes_come_out_in_srgb(
    mode: int, values: tuple[int, ...], rgb: tuple[int, int, int], tmp_path: Path
) -> None:
    """Lab of sRGB red is 53.24, 80.09, 67.20; CMYK is stored upside down: 255 is no ink."""
    seen = pixels(opened(Psd(planes(*values), mode=mode), tmp_path))
    assert np.abs(seen[0, 0, :3].astype(int) - rgb).max() <= 8  # whole steps of a* and b*


def test_full_ink_of_cmyk_is_dark(tmp_path: Path) -> None:
    """And told as a press's colours."""
    document = opened(Psd(planes(0, 0, 0, 0), mode=CMYK), tmp_path)
    assert pixels(document)[0, 0, :3].max() < 40
    assert any("CMYK" in note for note in document.artwork.notes)


def test_32_bits_are_linear_light(tmp_path: Path) -> None:
    """Half the light is 188 of 255 in sRGB (IEC 61966-2-1); no number is black, beyond white is white."""
    document = opened(Psd(planes(0.5, float("nan"), 7.0), depth=32), tmp_path)
    assert pixels(document)[0, 0].tolist() == [188, 0, 255, 255]


def test_one_bit_is_black_on_white(tmp_path: Path) -> None:
    """A set bit is black; rows end in padding."""
    bits = np.eye(11)
    seen = pixels(opened(Psd([bits], mode=BITMAP, depth=1), tmp_path))
    assert (seen[..., 0] == np.where(bits > 0, 0, 255)).all()


def test_a_palette_is_looked_up(tmp_path: Path) -> None:
    """Red, green and blue of all entries lie one after the other; one entry may be see-through."""
    palette = bytes(range(256)) + bytes(256) + b"\x07" * 256
    clear = b"8BIM" + struct.pack(">HHIH", 1047, 0, 2, 9)
    seen = pixels(opened(Psd([np.array([[5, 9]])], mode=INDEXED, palette=palette, more=clear), tmp_path))
    assert seen.tolist() == [[[5, 0, 7, 255], [9, 0, 7, 0]]]


@pytest.mark.parametrize("mode_planes", [(GREY, 1), (RGB, 3), (CMYK, 4)])
@pytest.mark.parametrize(("layers", "is_alpha"), [(-1, True), (1, False), (0, False), (None, False)])
def test_an_extra_channel_is_transparency_only_by_the_sign_of_the_layer_count(
    mode_planes: tuple[int, int], layers: int | None, is_alpha: bool, tmp_path: Path
) -> None:
    """Otherwise it is a saved mask or a spot plate, and is told as such."""
    mode, count = mode_planes
    document = opened(Psd(planes(*[255] * count, 100), mode=mode, layers=layers), tmp_path)
    assert document.artwork.has_alpha is is_alpha
    assert pixels(document)[0, 0, 3] == (100 if is_alpha else 255)
    assert any("more channel" in note for note in document.artwork.notes) is not is_alpha


@pytest.mark.parametrize("name", [b"Mtrn", b"Mt16", b"Mt32"])
def test_merged_transparency_may_be_named_in_a_block(name: bytes, tmp_path: Path) -> None:
    """Documents of 16 and 32 bits keep their layers, and this word, elsewhere."""
    tagged = b"8BIM" + name + struct.pack(">I", 0)
    assert opened(Psd(planes(9, 9, 9, 100), tagged=tagged), tmp_path).artwork.has_alpha


def test_layers_of_16_bits_are_counted_in_their_block(tmp_path: Path) -> None:
    """A negative count there means the same."""
    tagged = b"8BIMLr16" + struct.pack(">Ih2x", 4, -3)
    document = opened(Psd(planes(9, 9, 9, 6553), depth=16, tagged=tagged), tmp_path)
    assert document.artwork.has_alpha
    assert document.artwork.extra["layers"] == 3


def test_faint_alpha_of_16_bits_stays_neither_clear_nor_solid(tmp_path: Path) -> None:
    """200 and 65,400 of 65,535 are half clear at their own depth."""
    alpha = np.array([[0, 200, 65400, 65535]])
    seen = pixels(opened(Psd([alpha * 0, alpha * 0, alpha * 0, alpha], depth=16, layers=-1), tmp_path))
    assert seen[0, :, 3].tolist() == [0, 1, 254, 255]


def test_colours_are_freed_of_the_white_they_were_laid_on(tmp_path: Path) -> None:
    """Half clear black on white is stored as grey; it is black again."""
    alpha = np.full((4, 4), 128)
    stored = 255 - alpha
    seen = pixels(opened(Psd([stored, stored, stored, alpha], layers=-1), tmp_path))
    assert seen[0, 0].tolist() == [0, 0, 0, 128]


def test_straight_colours_are_left_alone(tmp_path: Path) -> None:
    """A program that lays nothing under them is noticed by colours darker than white would leave."""
    seen = pixels(opened(Psd(planes(10, 20, 30, 128), layers=-1), tmp_path))
    assert seen[0, 0].tolist() == [10, 20, 30, 128]


@pytest.mark.parametrize(
    ("name", "has_alpha", "counts"),
    [("psd_rgb_alpha_neg.psd", True, (8, 4, 4)), ("psd_rgb_mask_pos.psd", False, (0, 0, 16))],
)
def test_the_small_files(name: str, has_alpha: bool, counts: tuple[int, int, int]) -> None:
    """300 ppi; layer count -1 and +1."""
    document = open_artwork(MADE / name, 1, LIMITS)
    assert isinstance(document, OpenPsd)
    alpha = pixels(document)[..., 3]
    assert document.artwork.has_alpha is has_alpha
    assert (document.artwork.stored_ppi, document.artwork.stored_ppi_from) == ((300, 300), "8BIM")
    clear, solid = int((alpha == 0).sum()), int((alpha == 255).sum())
    assert (clear, alpha.size - clear - solid, solid) == counts


def test_a_document_without_its_flattened_picture_says_so(tmp_path: Path) -> None:
    """What lies in its place is not looked at."""
    told = refusal(Psd(planes(1, 2, 3), layers=2, merged=False), tmp_path)
    assert told.slug == "no-picture"
    assert "without its flattened picture" in told.says


def test_plates_without_colours_are_not_read(tmp_path: Path) -> None:
    """Multichannel: which inks they are, the file does not say."""
    assert refusal(Psd(planes(1, 2, 3), mode=MULTI), tmp_path).slug == "kind-not-read"


def test_a_bomb_is_refused_from_its_header(tmp_path: Path) -> None:
    """30,000 × 30,000 pixels on nothing."""
    assert refusal(Psd(planes(1, 2, 3), size=(30_000, 30_000)), tmp_path).slug == "too-many-pixels"


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("share", [0.05, 0.4, 0.7, 0.99])
def test_a_document_cut_short_is_told_as_such(packed: bool, share: float, tmp_path: Path) -> None:
    """In its header, its sections or its picture."""
    ramp = np.arange(64 * 64).reshape(64, 64) % 251
    path = Psd([ramp, ramp, ramp], packed=packed).write(tmp_path / "b.psd")
    (tmp_path / "a.psd").write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.psd", 1, LIMITS)
    assert told.value.slug in ("file-cut-short", "file-damaged")
    assert looks_unfinished(path) is None


def test_a_row_that_unpacks_to_too_little_is_damage(tmp_path: Path) -> None:
    """No pixel is made up."""
    data = bytearray(Psd(planes(1, 2, 3), packed=True).write(tmp_path / "b.psd").read_bytes())
    data[-2:] = b"\xff\x01"  # the last row: two pixels instead of eight
    (tmp_path / "a.psd").write_bytes(data)
    document = open_artwork(tmp_path / "a.psd", 1, LIMITS)
    assert isinstance(document, OpenPsd)
    with pytest.raises(ArtworkRefused) as told:
        pixels(document)
    assert told.value.slug == "file-damaged"


def test_the_profile_is_named_and_used(tmp_path: Path) -> None:
    """Grey numbers in a profile of another space are left alone, and that is told."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    fits = opened(Psd(planes(1, 2, 3), icc=srgb), tmp_path).artwork
    assert fits.colour_profile.startswith("sRGB")
    assert fits.profile_trouble == ""
    wrong = opened(Psd(planes(9), mode=GREY, icc=srgb), tmp_path).artwork
    assert wrong.profile_trouble == "wrong space"
    assert any("sRGB" in note for note in wrong.notes)


def test_pixels_finer_than_any_printer_sets_are_averaged(tmp_path: Path) -> None:
    """In whole blocks, colours weighed by how much of them is there."""
    document = opened(Psd(planes(0, 0, 0, side=400)), tmp_path)
    assert pixels(document, width_mm=4.0).shape == (134, 134, 4)  # 2,540 ppi in blocks of 3


def test_averages_weigh_colours_by_their_cover() -> None:
    """A clear pixel's colour does not stain its neighbours."""
    band = np.array([[[255, 0, 0, 255], [0, 0, 0, 0], [9, 9, 9, 255]]], np.uint8)
    assert averaged(band, 2).tolist() == [[[255, 0, 0, 128], [9, 9, 9, 255]]]


def test_a_document_is_known_by_its_first_bytes(tmp_path: Path) -> None:
    """PSD and PSB alike, under any name."""
    for large in (False, True):
        assert kind_of(Psd(planes(1, 2, 3), large=large).write(tmp_path / "crest.jpg")) == "PSD"


def test_another_reader_sees_the_same(tmp_path: Path) -> None:
    """Pillow's own reader of flattened pictures agrees on opaque ones."""
    rng = np.random.default_rng(5)
    channels = list(rng.integers(0, 256, (3, 20, 30)))
    path = Psd(channels, packed=True).write(tmp_path / "a.psd")
    with Image.open(path) as theirs:
        assert (pixels(opened(Psd(channels, packed=True), tmp_path))[..., :3] == np.asarray(theirs)).all()
