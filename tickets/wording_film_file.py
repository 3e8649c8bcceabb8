"""The words on a run's file and on its sheet, and what is said of either."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.film.model import StoredRun
from tickets.languages import make_spoken
from tickets.problems import ShopProblem

TRIM_ALL_OFF = "Codes, marks and labels on the film are printed in ink: trim them off before pressing."
TRIM_OFF = "Codes, marks and this label are printed in ink: trim them off before pressing.  + is a spare."
CONVERTED = (
    "Its colours were converted to sRGB, as the check showed them: they cannot stand in a PDF as they are."
)


def drawn_as_pixels(ppi: float, why: str) -> str:
    """A drawing that could not be kept as lines."""
    return f"It is drawn as pixels at {ppi:.0f} an inch: {why}."


def label_lines(run: StoredRun, *, at_start: bool) -> tuple[str, str, str]:
    """The three lines of a run's label: its code, what it is, and the warning."""
    tickets = len({piece.code for piece in run.pieces})
    end = "start" if at_start else "end"
    return (
        f"{run.code}   {end}",
        f"{run.film} · {run.length_mm / 1000:.2f} m · {counted(len(run.pieces), 'piece')} "
        f"of {counted(tickets, 'ticket')}",
        TRIM_OFF,
    )


def counted(count: int, word: str) -> str:
    """So many of something."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


NO_PDF = "The file cannot be read as a PDF."


def piece(number: int, code: str) -> str:
    """How a piece is called."""
    return f"piece {number} ({code})"


def wrong_pages(found: int, wanted: int) -> str:
    """The file has not the pages that were planned."""
    return f"The file has {counted(found, 'page')}, {wanted} were planned."


def wrong_size(wide: float, long: float, width_mm: float, length_mm: float) -> str:
    """A page has not its size."""
    return f"The page is {wide:.2f} × {long:.2f} mm, planned was {width_mm:.2f} × {length_mm:.2f} mm."


def too_near(one: str, other: str, apart_mm: float, gap_mm: float) -> str:
    """Two pieces lie too near to each other."""
    return f"Between {one} and {other} are {apart_mm:.1f} mm of clear film, {gap_mm:.1f} mm are wanted."


def not_at_its_place(named: str, off_mm: float) -> str:
    """A piece is not where it was planned, or not as it was."""
    return f"Nothing lies where {named} was planned; the nearest is {off_mm:.2f} mm away or lies otherwise."


def wrong_count(found: int, wanted: int) -> str:
    """More or fewer artworks are placed than were planned."""
    return f"{counted(found, 'piece')} lie on the page, {wanted} were planned."


def drawn_wrong(named: str, says: str) -> str:
    """A piece does not look as it should."""
    return f"{named[0].upper()}{named[1:]} is not drawn as its artwork is: {says}."


def ink_differs(share: float) -> str:
    """More or less ink than in the artwork."""
    return f"it has {share:.0%} of the ink"


def ink_moved(moved_mm: float) -> str:
    """The ink is elsewhere in its box."""
    return f"its ink lies {moved_mm:.2f} mm off"


def colour_differs(steps: float) -> str:
    """Colours differ by so many steps of 255."""
    return f"its colours differ by {steps:.0f} of 255"


def stray_ink(x_mm: float, y_mm: float) -> str:
    """Ink where nothing was planned."""
    return (
        f"There is ink at {x_mm:.0f} mm across and {y_mm:.0f} mm along the page, where nothing was planned."
    )


def qr_not_read(said: str) -> str:
    """A QR code says something else, or nothing."""
    return f"A QR code of the run reads as “{said}”." if said else "A QR code of the run cannot be read."


def on_page(says: str, page: int) -> str:
    """A fault with its page, in a file of several."""
    return f"Page {page}: {says}"


def artwork_missing(name: str) -> ShopProblem:
    """The bytes of an artwork are not there any more."""
    return ShopProblem(
        "film-artwork-missing",
        f"The original of “{name}” is not in originals/ any more.",
        "Restore it from a backup (filmdocket verify lists what else is missing), then make the file again.",
    )


def artwork_unusable(name: str, why: str) -> ShopProblem:
    """An artwork could be read when it was taken in, and cannot be put on film now."""
    return ShopProblem(
        "film-artwork-unusable",
        f"“{name}” cannot be put on film: {why}",
        "Take its ticket out of the run, and ask the customer for another file.",
    )


def proof_failed(run: str, faults: Sequence[str]) -> ShopProblem:
    """What was written is not what was planned."""
    more = f" And {len(faults) - 3} more." if len(faults) > 3 else ""
    return ShopProblem(
        "film-proof-failed",
        f"The file of run {run} was read back and is not as planned. {' '.join(faults[:3])}{more}",
        "It was not released. Make it again; if that does not help, plan these tickets anew.",
    )


RUN = "Film run"
TICKETS = "Tickets"
STRIPS = "Strips"
ALONG = "Along the film"
LENGTH = "Length"
CUTTING = "To cut"


def how_to_cut(run: StoredRun) -> str:
    """In what order a run is cut, in two sentences."""
    if run.is_straight_cut:
        return (
            "Cut straight across at the lines, from the start: strips are numbered. "
            "Then cut each strip from left to right. + is a spare."
        )
    return (
        "Cut straight across at the lines first, if there are any. Pieces that lock into each other are cut "
        "along the ink, from the start. + is a spare."
    )


def metres(length_mm: float) -> str:
    """A length of film."""
    return f"{length_mm / 1000:.2f} m"


def metres_short(length_mm: float) -> str:
    """A place along the film, on the map."""
    return f"{length_mm / 1000:.2f}"


def metres_from_to(from_mm: float, to_mm: float) -> str:
    """From where to where along the film."""
    return f"{from_mm / 1000:.2f}–{to_mm / 1000:.2f} m"


def minutes(value: float) -> str:
    """How long cutting takes."""
    return f"{value:.0f} min" if value else "—"


def from_to(first: int, last: int) -> str:
    """Some strips."""
    return str(first) if first == last else f"{first}–{last}"


def and_spares(good: int, spares: int, lost: int = 0) -> str:
    """So many pieces, and what is beside them."""
    more = f" + {counted(spares, 'spare')}" if spares else ""
    return f"{good}{more}{f', {lost} lost' if lost else ''}"


def on_map(number: int, *, is_spare: bool) -> str:
    """What stands in a piece on the map."""
    return f"{number}+" if is_spare else str(number)


def sheet_foot(run: StoredRun) -> str:
    """The last line of the sheet."""
    return f"Run {run.code}: one scan of its code at print, powder and cure moves all its pieces."


def file_proved(run: StoredRun, length_mm: float, pages: int) -> str:
    """The file of a run is there."""
    return (
        f"Run {run.code}: {metres(length_mm)} of film on {counted(pages, 'page')}, "
        f"{counted(len(run.pieces), 'piece')}. It was read back and is as planned."
    )


def files_written(paths: Sequence[str], says: Sequence[str], without_code: Sequence[int]) -> list[str]:
    """What was written, what became of artwork that could not stay as it was, and which codes are missing."""
    lines = [*(f"Written: {path}" for path in paths), *says]
    if without_code:
        numbers = ", ".join(str(number) for number in without_code)
        lines.append(
            f"There is no room for the code beside these pieces: {numbers}. The sheet says whose they are."
        )
    return lines


def raster_failed(run: str, why: str) -> ShopProblem:
    """The run could not be made into pixels; its PDF is there."""
    return ShopProblem(
        "film-raster-failed",
        f"Run {run} could not be made into pixels: {why}",
        "Its PDF is written and proved: print that. Or ask for fewer pixels an inch (--ppi).",
    )


make_spoken(__name__, de="tickets.german.film_file")
