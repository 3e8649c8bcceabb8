"""PDF (and PDF-based AI) → Artwork: what a page paints, and its picture at print size."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import pikepdf

import intake.reading.pdf_operators
import intake.reading.pdf_text  # noqa: F401 - registers its operators
from config.settings import FileLimits
from intake.facts import Artwork, Pixels, PrintSize, VectorStroke
from intake.reading import refusals
from intake.reading.pdf_backing import LOOK_LONGER_SIDE_PX, ink_map, stands_alone
from intake.reading.pdf_document import Document, open_document, set_picture_box
from intake.reading.pdf_form import NoForm, why_no_form, write_form
from intake.reading.pdf_layers import Layers
from intake.reading.pdf_lines import ThinLine
from intake.reading.pdf_painted import Budget, Painted, SeenImage
from intake.reading.pdf_render import PagePicture, Placed, drawn_through, thumbnail
from intake.reading.pdf_sheet import Sheet, sheet_of
from intake.reading.pdf_walk import STEPPED_OVER, Walk
from tickets.paper.film.art import ArtObject
from tickets.problems import ArtworkRefused

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MM = 25.4 / 72
_MOST_STROKES = 300
_COVERS = 0.99
_MOST_NAMES = 20


class OpenPdf:
    """One page of an opened PDF (intake.reading.opened.OpenArtwork)."""

    def __init__(self, document: Document, artwork: Artwork, limits: FileLimits, sheet: Sheet) -> None:
        self.artwork = artwork
        self._document = document
        self._limits = limits
        self._sheet = sheet

    def pixels_at(self, size: PrintSize) -> Pixels:
        """The page painted on nothing at `limits.render_ppi` at print size; one lone image at its own pixels.

        Coarser where that would be more than `limits.largest_megapixels`.
        """
        wide = size.width_mm / 25.4 * self._limits.render_ppi
        high = size.height_mm / 25.4 * self._limits.render_ppi
        if self.artwork.pixels is not None:
            finer = max(self.artwork.pixels[0] / wide, self.artwork.pixels[1] / high)
            wide, high = wide * finer, high * finer
        too_many = wide * high / (self._limits.largest_megapixels * 1e6)
        if too_many > 1:
            wide, high = wide / too_many**0.5, high / too_many**0.5
        pixels = max(1, round(wide)), max(1, round(high))
        return PagePicture(self._document.picture, self.artwork.page - 1, pixels, lossy=self.artwork.lossy)

    def write_form(self, out: BinaryIO) -> tuple[ArtObject, ...]:
        """The page as objects of PDF that fill the unit square, nothing redrawn. Raises NoForm."""
        reason = why_no_form(self._document.structure, self.artwork)
        if reason:
            raise NoForm(reason)
        return write_form(self._document.structure.pages[self.artwork.page - 1], self._sheet, out)

    def drawn_through(self, placed: Placed, size: tuple[int, int]) -> NDArray[np.uint8]:
        """The page as PDFium draws it at a place among so many px: straight RGBA."""
        return drawn_through(self._document.picture, self.artwork.page - 1, placed, size)

    def close(self) -> None:
        """Let go of the file."""
        self._document.close()


def open_pdf(path: Path, page: int, limits: FileLimits) -> OpenPdf:
    """Open page `page` (from 1) of a PDF; runs inside a sandboxed worker.

    `Artwork.pixels` is None, except for a page that is nothing but one image over all of it, straight and
    unclipped: then it is that image's upright size. Raises ArtworkRefused: `pdf-needs-password`,
    `pdf-damaged`, `pdf-no-pages`, `page-not-there`, `too-many-pages`, `too-many-pixels`, `pdf-bomb`.
    """
    document = open_document(path)
    try:
        return _open_page(document, page, limits)
    except BaseException:
        document.close()
        raise


def _open_page(document: Document, page: int, limits: FileLimits) -> OpenPdf:
    if not 1 <= page <= document.pages:
        raise refusals.page_not_there(page, document.pages)
    if document.pages > limits.most_pages:
        raise too_many_pages(document.pages, limits.most_pages)
    leaf = document.structure.pages[page - 1]
    sheet = sheet_of(leaf, document.long_boxes.get(leaf.obj.objgen))
    walk = Walk(sheet, Layers(document.structure.Root), Budget())
    painted = walk.page(leaf)
    _refuse_giant_images(painted, limits)
    set_picture_box(document, page - 1, sheet)  # only now: it unpacks the page, however large
    only = _only_image(painted, sheet)
    lossy = bool(painted.lossy_area) and (only is not None or painted.lossy_area >= 0.5 * sheet.frame.area)
    artwork = Artwork(
        kind="PDF",
        shape=sheet.width_pt / sheet.height_pt,
        pixels=_upright_pixels(only) if only else None,
        pages=document.pages,
        page=page,
        colour=_colour(painted),
        has_alpha=True,
        lossy=lossy,
        size_mm=(sheet.width_pt * _MM, sheet.height_pt * _MM),
        images=painted.placed_images(),
        strokes=_ranked(painted, document, page - 1, sheet),
        texts=tuple(painted.smallest_texts()),
        notes=tuple(_notes(document, painted, sheet, is_cut=walk.budget.is_spent)),
        extra=_extra(document, painted, sheet),
    )
    return OpenPdf(document, artwork, limits, sheet)


def too_many_pages(pages: int, most: int) -> ArtworkRefused:
    """The refusal of a document that is a book rather than artwork."""
    return ArtworkRefused(
        "too-many-pages",
        f"The file has {pages} pages; at most {most} are taken.",
        "Please send only the pages that are to be printed.",
    )


def _refuse_giant_images(painted: Painted, limits: FileLimits) -> None:
    for seen in painted.images:
        wide, high = seen.placed.pixels
        if wide * high > limits.largest_megapixels * 1e6:
            raise refusals.too_many_pixels(wide, high, limits.largest_megapixels)


def _only_image(painted: Painted, sheet: Sheet) -> SeenImage | None:
    """The one image that is all there is on the page, straight and over all of it; else None."""
    pictures = [seen for seen in painted.images if seen.placed.kind in ("image", "inline")]
    if painted.has_other_paint or len(pictures) != 1:
        return None
    seen = pictures[0]
    if any(other.ctm != seen.ctm for other in painted.images):
        return None
    a, b, c, d = (abs(v) for v in seen.ctm[:4])
    is_straight = min(max(b, c), max(a, d)) < 1e-3 * max(a, b, c, d)
    whole = seen.ctm.box_of(0, 0, 1, 1)
    _, _, wide, high = seen.placed.place_pt
    covers = wide * high >= _COVERS * sheet.frame.area and wide * high >= _COVERS * whole.area
    return seen if is_straight and covers else None


def _upright_pixels(seen: SeenImage) -> tuple[int, int]:
    wide, high = seen.placed.pixels
    return (wide, high) if abs(seen.ctm.a) >= abs(seen.ctm.b) else (high, wide)


def _colour(painted: Painted) -> str:
    return next((ink for ink in ("CMYK", "RGB", "Lab", "grey") if ink in painted.inks), "RGB")


def _ranked(painted: Painted, document: Document, index: int, sheet: Sheet) -> tuple[VectorStroke, ...]:
    """The thinnest lines, thinnest first; standing alone goes before being carried by other ink."""
    lines = painted.thinnest()
    if not lines:
        return ()
    scale = LOOK_LONGER_SIDE_PX / max(sheet.width_pt, sheet.height_pt)
    pixels = max(1, round(sheet.width_pt * scale)), max(1, round(sheet.height_pt * scale))
    look = thumbnail(PagePicture(document.picture, index, pixels, lossy=False))
    ink = ink_map(look, sheet.width_pt, sheet.height_pt)
    alone: list[tuple[ThinLine, bool]] = [(line, stands_alone(line, ink)) for line in lines]
    kept = sorted(alone, key=lambda pair: (not pair[1], pair[0].width_pt))[:_MOST_STROKES]
    kept.sort(key=lambda pair: pair[0].width_pt)
    return tuple(
        VectorStroke(line.width_pt, line.kind, line.box.as_place(), stands_alone=is_alone)
        for line, is_alone in kept
    )


def _notes(document: Document, painted: Painted, sheet: Sheet, *, is_cut: bool) -> list[str]:
    notes = []
    if document.was_mended:
        notes.append("The PDF is damaged in places and was mended while reading: compare the picture.")
    if painted.unread:
        notes.append("Parts of the PDF could not be unpacked and were not measured.")
    if is_cut:
        notes.append("The drawing is so involved that only its first part was searched for lines and images.")
    if _is_xfa(document):
        notes.append("This PDF is a form (XFA): what other programs show of it may differ from this picture.")
    if painted.fonts_left_out:
        notes.append(
            f"The PDF does not carry its fonts {_names(painted.fonts_left_out)}: others take their place, "
            "and the letters may look different. Embed them or turn the text into outlines."
        )
    if painted.spots:
        notes.append(f"Spot colours are printed as their nearest mix: {_names(painted.spots)}.")
    if painted.overprints:
        notes.append("Overprint is set in the PDF; film is printed without it: colours may cover each other.")
    if sheet.box_name == "Letter":
        notes.append("The page states no usable size; US Letter was taken.")
    return notes


def _names(names: set[str]) -> str:
    told = sorted(names)
    more = f" and {len(told) - _MOST_NAMES} more" if len(told) > _MOST_NAMES else ""
    return ", ".join(name[:60] for name in told[:_MOST_NAMES]) + more


def _is_xfa(document: Document) -> bool:
    try:
        form: Any = document.structure.Root.get("/AcroForm")
        return isinstance(form, pikepdf.Dictionary) and form.get("/XFA") is not None
    except STEPPED_OVER:
        return False


def _extra(document: Document, painted: Painted, sheet: Sheet) -> dict[str, object]:
    return {
        "page_box": sheet.box_name,
        "user_unit": sheet.user_unit,
        "rotate": sheet.rotate,
        "image_count": painted.image_count,
        "stroke_count": painted.stroke_count,
        "zero_width_strokes": painted.zero_width_count,
        "thin_fill_count": painted.fill_count,
        "inks": sorted(painted.inks),
        "spot_colours": sorted(painted.spots)[:_MOST_NAMES],
        "fonts_not_embedded": sorted(painted.fonts_left_out)[:_MOST_NAMES],
        "overprint": painted.overprints,
        "has_text": painted.has_text,
        "is_form": _is_xfa(document),
        "encrypted": bool(document.structure.is_encrypted),
    }
