"""The run's file: one PDF at exact size, each artwork in it once, placed many times, codes beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from tickets.film.codes_beside import Box4, CodePlace, code_places
from tickets.film.cut_marks import cut_marks
from tickets.film.model import RunPiece, StoredRun
from tickets.film.paging import FilmPage, part_run
from tickets.film.placing import ArtKey, art_key, matrix_of
from tickets.paper.film.art import numbered, read_list
from tickets.paper.film.drawing import POINTS_A_MM, Drawing
from tickets.paper.film.film_label import LABEL_MM, DrawnLabel, code_beside, draw_label
from tickets.paper.film.writer import PdfWriter, text_string
from tickets.paper.fonts import Fonts


@dataclass(frozen=True, slots=True)
class Look:
    """How a run's file is to look. `edge_mm`: clear film that the plan leaves at either end.

    `qr_text`: what the codes of the run say. `is_mirrored`: all of it as in a mirror, where the printing
    software doesn't do that. `marks`: whether cut marks are wanted.
    """

    gap_mm: float
    edge_mm: float
    qr_text: str
    is_mirrored: bool = False
    marks: bool = False


@dataclass(frozen=True, slots=True)
class DrawnPage:
    """One page as it was drawn: its stretch of film, where codes and marks stand, and its labels' QR codes.

    Boxes (x, y, width, height) in mm from the page's top left, as it is read unmirrored.
    """

    page: FilmPage
    codes: tuple[CodePlace, ...]
    drawn: tuple[tuple[float, float, float, float], ...]  # everything else that is no art
    qr: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True, slots=True)
class DrawnRun:
    """What was written: its pages, and the pieces beside which no code found room."""

    pages: tuple[DrawnPage, ...]
    without_code: tuple[RunPiece, ...]

    @property
    def length_mm(self) -> float:
        """The film that it takes."""
        return sum(drawn.page.length_mm for drawn in self.pages)


def ends_mm(edge_mm: float) -> float:
    """Film that either end of a run takes beyond its plan, because its label needs more than the edge."""
    return max(0.0, LABEL_MM - edge_mm)


def draw_run(
    out: BinaryIO, run: StoredRun, arts: Mapping[ArtKey, Path], look: Look, fonts: Fonts
) -> DrawnRun:
    """Write the run's file. Raises OSError, and BrokenArt or EOFError where an artwork is not whole."""
    pages = part_run(run, gap_mm=look.gap_mm, ends_mm=ends_mm(look.edge_mm))
    writer = PdfWriter(out)
    catalogue, tree, about = (writer.number() for _ in range(3))
    numbers = {key: _write_art(writer, arts[key]) for key in dict.fromkeys(map(art_key, run.pieces))}
    drawn, without, leaves = [], [], []
    for at, page in enumerate(pages):
        one, content, missing = _draw_page(run, page, (at, len(pages)), look, fonts)
        used = {_name(key): numbers[key] for key in dict.fromkeys(map(art_key, page.pieces))}
        leaves.append(_write_page(writer, tree, (run.width_mm, page.length_mm), content, used))
        drawn.append(one)
        without += missing
    kids = " ".join(f"{leaf} 0 R" for leaf in leaves)
    writer.write(tree, f"<< /Type /Pages /Count {len(leaves)} /Kids [{kids}] >>".encode("ascii"))
    writer.write(catalogue, f"<< /Type /Catalog /Pages {tree} 0 R >>".encode("ascii"))
    writer.write(about, b"<< /Title %b /Creator %b >>" % (text_string(run.code), text_string("filmdocket")))
    writer.finish({"Root": catalogue, "Info": about})
    return DrawnRun(tuple(drawn), tuple(without))


def _name(key: ArtKey) -> str:
    """What the page's content calls an artwork; the page's resources say which object that is."""
    return f"A{key.sha256[:16]}.{key.page}.{key.width_mm:.2f}.{key.height_mm:.2f}"


def _write_art(writer: PdfWriter, path: Path) -> int:
    """Copy an artwork's objects; returns the number of the one that is placed."""
    with path.open("rb") as source:
        art = read_list(source)
        first = writer.number(len(art.objects))
        for at, one in enumerate(art.objects):
            entries = numbered(one.entries, first)
            if one.is_stream:
                writer.copy_stream(first + at, entries, source, one.length)
            else:
                writer.write(first + at, entries)
    return first


def _draw_page(
    run: StoredRun, page: FilmPage, which: tuple[int, int], look: Look, fonts: Fonts
) -> tuple[DrawnPage, bytes, list[RunPiece]]:
    drawing = Drawing(run.width_mm, page.length_mm, fonts, is_mirrored=look.is_mirrored)
    for piece in page.pieces:
        drawing.place(_name(art_key(piece)), matrix_of(piece, page))
    labels = _draw_labels(drawing, run, which, look)
    boxes = [label.box for label in labels]
    codes, missing = _draw_codes(drawing, run, page, boxes)
    others = [*boxes, *(place.box for place in codes)]
    marks = cut_marks(page, run.width_mm, look.gap_mm, others) if look.marks else []
    drawing.fill(marks, 0.0)
    drawn = DrawnPage(page, tuple(codes), (*boxes, *marks), tuple(label.qr for label in labels))
    return drawn, drawing.content(), missing


def _draw_labels(drawing: Drawing, run: StoredRun, which: tuple[int, int], look: Look) -> list[DrawnLabel]:
    """The labels of the page that is number `which[0]` (from 0) of so many."""
    at, count = which
    labels = []
    if at == 0:
        labels.append(draw_label(drawing, run, 0.0, look.qr_text, at_start=True))
    if at == count - 1:
        labels.append(draw_label(drawing, run, drawing.length_mm - LABEL_MM, look.qr_text, at_start=False))
    return labels


def _draw_codes(
    drawing: Drawing, run: StoredRun, page: FilmPage, labels: Sequence[Box4]
) -> tuple[list[CodePlace], list[RunPiece]]:
    """The codes beside the pieces, and the pieces that have none."""
    texts = {piece: code_beside(piece) for piece in page.pieces}
    widths = {text: drawing.width_of(text, 1.0) for text in set(texts.values())}
    of_pieces = {piece: widths[text] for piece, text in texts.items()}
    codes, missing = code_places(page, run.width_mm, of_pieces, labels)
    for place in codes:
        drawing.write(*place.base, texts[place.piece], place.cap_mm, upwards=place.upwards)
    return codes, missing


def _write_page(
    writer: PdfWriter, tree: int, size_mm: tuple[float, float], content: bytes, used: Mapping[str, int]
) -> int:
    leaf, stream = writer.number(), writer.number()
    wide, long = (f"{side * POINTS_A_MM:.4f}" for side in size_mm)
    resources = " ".join(f"/{name} {number} 0 R" for name, number in used.items())
    writer.write(
        leaf,
        f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 {wide} {long}] "
        f"/Resources << /XObject << {resources} >> >> /Contents {stream} 0 R >>".encode("ascii"),
    )
    writer.write_stream(stream, b"", content)
    return leaf
