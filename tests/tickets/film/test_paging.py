"""Where a run is parted into pages, and where codes and cut marks find room."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tickets.film.codes_beside import NEAR_MM, code_places
from tickets.film.cut_marks import cut_marks
from tickets.film.model import RunPiece, StoredRun
from tickets.film.paging import FilmPage, part_run
from tickets.film.placing import art_key, matrix_of

WIDTH_MM, GAP_MM, EDGE_MM = 590.0, 8.0, 18.0


def piece(number: int, box: tuple[float, float, float, float], **more: object) -> RunPiece:
    """A piece of any ticket, its box x, y, width, height."""
    return RunPiece(number, f"ABC12{number % 8}7", "OB-1", 1, "a.png", "0" * 64, *box, **more)  # type: ignore[arg-type]


@st.composite
def runs(draw: st.DrawFn) -> StoredRun:
    """Runs in columns, each piece so far behind the last of its column: rarely a straight cut across."""
    columns = draw(st.integers(1, 3))
    wide = (WIDTH_MM - (columns - 1) * GAP_MM) / columns
    pieces: list[RunPiece] = []
    longest = 0.0
    for column in range(columns):
        y = EDGE_MM + draw(st.floats(0, 90))
        for _ in range(draw(st.integers(1, 25))):
            long = draw(st.floats(20, 900))
            pieces.append(piece(len(pieces) + 1, (column * (wide + GAP_MM), y, wide, long)))
            y += long + GAP_MM + draw(st.sampled_from((0.0, 0.0, 30.0)))
        longest = max(longest, pieces[-1].y_mm + pieces[-1].height_mm)
    return StoredRun("R4K7X", "hot peel", WIDTH_MM, longest + EDGE_MM, tuple(pieces))


def check_pages(run: StoredRun, pages: tuple[FilmPage, ...], ends_mm: float) -> None:
    """Every piece on one page, whole and clear of its ends; pages follow on each other."""
    assert Counter(p.number for page in pages for p in page.pieces) == Counter(p.number for p in run.pieces)
    assert pages[0].from_mm == 0
    assert all(one.to_mm == other.from_mm for one, other in pairwise(pages))
    last = pages[-1]
    assert last.to_mm >= run.length_mm + 2 * ends_mm - 1e-6
    for at, page in enumerate(pages):
        head = EDGE_MM + ends_mm if at == 0 else 0.0
        tail = EDGE_MM + ends_mm if at == len(pages) - 1 else 0.0
        for p in page.pieces:
            assert page.y_mm(p) >= head - 1e-6
            assert page.y_mm(p) + p.height_mm <= page.length_mm - tail + 1e-6


def drawn_gap(pages: tuple[FilmPage, ...]) -> float:
    """The least way along the film between pieces of two pages that follow on each other."""
    gaps = []
    for one, other in pairwise(pages):
        last = max(one.from_mm + one.y_mm(p) + p.height_mm for p in one.pieces)
        gaps.append(min(other.from_mm + other.y_mm(p) for p in other.pieces) - last)
    return min(gaps, default=GAP_MM)


@given(run=runs(), ends_mm=st.sampled_from((0.0, 8.0)))
def test_pages_hold_all_pieces_whole_and_none_is_longer_than_readers_take(
    run: StoredRun, ends_mm: float
) -> None:
    """Whatever lies on the run: no piece is cut, none is lost, and clear film lies between pages."""
    pages = part_run(run, gap_mm=GAP_MM, ends_mm=ends_mm, longest_mm=2000.0)
    check_pages(run, pages, ends_mm)
    assert drawn_gap(pages) >= GAP_MM - 1e-6
    assert max(page.length_mm for page in pages) <= 2000.0 + 1e-6


def test_a_straight_cut_takes_no_more_film() -> None:
    """Rows across: the pages together are as long as the run."""
    rows = [piece(n + 1, (0.0, EDGE_MM + n * 300, WIDTH_MM, 292.0)) for n in range(40)]
    run = StoredRun("R4K7X", "hot peel", WIDTH_MM, 40 * 300 - GAP_MM + 2 * EDGE_MM, tuple(rows))
    pages = part_run(run, gap_mm=GAP_MM)
    assert len(pages) == 3
    assert sum(page.length_mm for page in pages) == run.length_mm


def test_a_piece_as_long_as_a_page_has_one() -> None:
    """Five metres, with its label: a little longer than a page is otherwise."""
    run = StoredRun("R4K7X", "hot peel", WIDTH_MM, 5036.0, (piece(1, (0.0, 18.0, 300.0, 5000.0)),))
    (page,) = part_run(run, gap_mm=GAP_MM)
    assert page.length_mm == 5036.0


@given(run=runs(), cap=st.floats(3, 8))
def test_codes_touch_nothing(run: StoredRun, cap: float) -> None:
    """No code comes near to a piece, to another code, or over the film's edge; all are placed or told."""
    (page,) = part_run(run, gap_mm=GAP_MM, longest_mm=1e6)
    found, without = code_places(page, WIDTH_MM, dict.fromkeys(page.pieces, cap))
    assert len(found) + len(without) == len(page.pieces)
    boxes = [(p.x_mm, page.y_mm(p), p.width_mm, p.height_mm) for p in page.pieces]
    boxes += [(c.x_mm, c.y_mm, c.width_mm, c.height_mm) for c in found]
    for at, code in enumerate(found):
        own = boxes[len(page.pieces) + at]
        assert own[0] >= 0
        assert own[0] + own[2] <= WIDTH_MM
        others = boxes[: len(page.pieces) + at] + boxes[len(page.pieces) + at + 1 :]
        assert all(apart(own, other) >= NEAR_MM - 1e-6 for other in others), code


def apart(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """How far two boxes are from each other, the larger of across and along."""
    across = max(other[0] - one[0] - one[2], one[0] - other[0] - other[2])
    along = max(other[1] - one[1] - one[3], one[1] - other[1] - other[3])
    return max(across, along)


def test_in_rows_with_the_usual_gap_every_piece_has_its_code() -> None:
    """Chest prints, eight across: the codes stand below their pieces."""
    pieces = [piece(n + 1, (n % 8 * 73.0, EDGE_MM + n // 8 * 58.0, 65.0, 50.0)) for n in range(160)]
    run = StoredRun("R4K7X", "hot peel", WIDTH_MM, 20 * 58.0 + 2 * EDGE_MM, tuple(pieces))
    (page,) = part_run(run, gap_mm=GAP_MM)
    found, without = code_places(page, WIDTH_MM, dict.fromkeys(pieces, 6.0))
    assert not without
    assert all(not place.upwards and place.y_mm > page.y_mm(place.piece) for place in found)


@given(run=runs())
def test_cut_marks_touch_no_piece(run: StoredRun) -> None:
    """Each arm of each cross lies in clear film."""
    (page,) = part_run(run, gap_mm=GAP_MM, longest_mm=1e6)
    boxes = [(p.x_mm, page.y_mm(p), p.width_mm, p.height_mm) for p in page.pieces]
    for mark in cut_marks(page, WIDTH_MM, GAP_MM):
        assert all(apart(mark, box) > 0.4 for box in boxes)


def test_a_turned_piece_lies_as_the_planner_turns_it() -> None:
    """By 90° clockwise: the art's top left comes to lie at the top right of its box."""
    turned = piece(1, (10.0, 20.0, 30.0, 40.0), turned=True)
    page = FilmPage(0.0, 100.0, (turned,))
    a, b, c, d, e, f = matrix_of(turned, page)
    assert (c + e, d + f) == (40.0, 80.0)  # the top left of the unit square
    assert (a + c + e, b + d + f) == (40.0, 40.0)  # its top right lies at the bottom right
    assert art_key(turned).width_mm == 40.0
