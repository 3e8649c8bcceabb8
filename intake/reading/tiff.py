"""The header of one page of a TIFF or BigTIFF file (TIFF 6.0; BigTIFF as libtiff describes it)."""

from __future__ import annotations

from typing import BinaryIO

from intake.reading.exif import ORIENTATION
from intake.reading.header import BrokenHeader, RasterHeader
from intake.reading.stored_ppi import Stated, StoredPpi, from_photoshop, from_tags, put_together
from intake.reading.tags import BrokenTags, Directory, TagFile

SUBFILE, WIDTH, HEIGHT, BITS, COMPRESSION, PHOTOMETRIC = 254, 256, 257, 258, 259, 262
SAMPLES, EXTRA_SAMPLES, PHOTOSHOP, DNG_VERSION = 277, 338, 34377, 50706
LOSSY_COMPRESSIONS = {6, 7, 33003, 33005, 34712, 34892, 50001, 52546}
CAMERA_RAW = "camera raw"
_SUB_DIRECTORIES = 330
_SENSOR = {32803, 34892}  # photometric interpretations of pictures as the sensor saw them (TIFF/EP, DNG)
_REDUCED = 1  # bit 0 of the sub-file type: a smaller copy of another page
_COLOURS = {0: "grey", 1: "grey", 2: "RGB", 3: "indexed", 4: "mask", 5: "CMYK", 6: "RGB", 8: "Lab", 9: "Lab"}
_COLOUR_SAMPLES = {0: 1, 1: 1, 2: 3, 3: 1, 5: 4, 6: 3, 8: 3, 9: 3}
_UNSPECIFIED, _ASSOCIATED, _UNASSOCIATED = 0, 1, 2
MOST_DIRECTORIES = 10_000
_MOST_ENTRIES = 200_000


def directories(tags: TagFile) -> list[Directory]:
    """Every directory in the chain, stopping at a loop, at a broken link, or at a great number."""
    found: list[Directory] = []
    seen: set[int] = set()
    at = tags.first_at
    entries = 0
    while at and at not in seen and len(found) < MOST_DIRECTORIES and entries < _MOST_ENTRIES:
        seen.add(at)
        try:
            found.append(tags.directory(at))
        except BrokenTags:
            if not found:
                raise
            break
        at = found[-1].next_at
        entries += len(found[-1].entries)
    return found


def read_tiff(stream: BinaryIO, page: int) -> RasterHeader:
    """The header of page `page` (from 1; the first when there are fewer). Raises BrokenHeader."""
    try:
        chain = directories(TagFile.open(stream))
        at = [k for k, d in enumerate(chain) if not d.number(SUBFILE, 0) & _REDUCED] or list(
            range(len(chain))
        )
        if not at:
            raise BrokenHeader("no directory")
        index = at[page - 1] if page <= len(at) else at[0]
        if _is_camera_raw(chain):
            return RasterHeader("TIFF", 1, 1, StoredPpi(None, ""), colour=CAMERA_RAW)
        return _page(chain[index], index, len(at))
    except BrokenTags as error:
        raise BrokenHeader(str(error)) from error


def _is_camera_raw(chain: list[Directory]) -> bool:
    """Raw photos are TIFF files too; what a plain reader shows of them is a thumbnail."""
    first = chain[0]
    hides_behind_small = bool(first.number(SUBFILE, 0) & _REDUCED) and _SUB_DIRECTORIES in first.entries
    is_sensor = any(d.number(PHOTOMETRIC, 1) in _SENSOR for d in chain[:50])
    return DNG_VERSION in first.entries or is_sensor or hides_behind_small


def _page(directory: Directory, index: int, pages: int) -> RasterHeader:
    width, height = directory.number(WIDTH, 0), directory.number(HEIGHT, 0)
    photometric = directory.number(PHOTOMETRIC, 1)
    alpha_at, notes = _transparency(directory, photometric)
    stored = put_together(_stated(directory))
    orientation = directory.number(ORIENTATION, 1)
    return RasterHeader(
        kind="TIFF",
        width=width,
        height=height,
        stored=stored,
        orientation=orientation if 1 <= orientation <= 8 else 1,
        colour=_COLOURS.get(photometric, "other"),
        bits=directory.number(BITS, 1),
        alpha_at=alpha_at,
        lossy=directory.number(COMPRESSION, 1) in LOSSY_COMPRESSIONS,
        pages=pages,
        page=index,
        notes=stored.notes + notes,
    )


def _stated(directory: Directory) -> list[Stated]:
    """The tags first, then the resources of drawing programs; broken values say nothing."""
    stated: list[Stated] = []
    try:
        tags = from_tags(directory, "TIFF")
        stated += [tags] if tags else []
        resources = from_photoshop(directory.raw(PHOTOSHOP))
        stated += [resources] if resources else []
    except BrokenTags:
        pass
    return stated


def _transparency(directory: Directory, photometric: int) -> tuple[int | None, tuple[str, ...]]:
    """Which of the extra samples is transparency by the ExtraSamples tag, and what to say of the others."""
    colours = _COLOUR_SAMPLES.get(photometric, 3)
    extra_count = directory.number(SAMPLES, 1) - colours
    if extra_count <= 0:
        return None, ()
    declared = [int(v) for v in directory.numbers(EXTRA_SAMPLES)]
    alpha = [k for k, v in enumerate(declared[:extra_count]) if v in (_ASSOCIATED, _UNASSOCIATED)]
    if alpha:
        others = extra_count - 1
        note = f"Beside the transparency the file has {others} more channel(s), spot plates say: not printed."
        return alpha[0], (note,) if others else ()
    how = "says that it is unspecified" if declared else "does not say what it is"
    which = (
        f"channel {colours + 1}" if extra_count == 1 else f"channels {colours + 1} to {colours + extra_count}"
    )
    note = (
        f"The file has a further {which}, but {how}: not declared as transparency, so it was left out. "
        "If it is meant to make parts transparent, please export with transparency (alpha)."
    )
    return None, (note,)
