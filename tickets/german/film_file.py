"""German: what stands in a run's file and on its sheet, and what is said of either."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.film.model import StoredRun
from tickets.german import numbers
from tickets.german.numbers import percent
from tickets.wording_film_file import from_to as from_to
from tickets.wording_film_file import minutes as minutes
from tickets.wording_film_file import on_map as on_map

TRIM_ALL_OFF = "Codes, Marken und Etiketten auf dem Film sind gedruckt: vor dem Pressen wegschneiden."
TRIM_OFF = "Codes, Marken und dieses Etikett sind gedruckt: vor dem Pressen wegschneiden.  + ist Reserve."
CONVERTED = (
    "Die Farben wurden nach sRGB umgerechnet, wie die Prüfung sie gezeigt hat; im PDF geht es nicht anders."
)
NO_PDF = "Die Datei ist nicht als PDF lesbar."
RUN, TICKETS, STRIPS, ALONG = "Filmlauf", "Laufzettel", "Streifen", "Längs des Films"
LENGTH, CUTTING = "Länge", "Schneiden"
_MANY = {
    "piece": ("Stück", "Stück"),
    "ticket": ("Laufzettel", "Laufzettel"),
    "page": ("Seite", "Seiten"),
    "spare": ("Reserve", "Reserve"),
}


def drawn_as_pixels(ppi: float, why: str) -> str:
    """A drawing that could not be kept as lines."""
    return f"Als Pixel gezeichnet, {ppi:.0f} auf den Zoll: {why}."


def label_lines(run: StoredRun, *, at_start: bool) -> tuple[str, str, str]:
    """The three lines of a run's label: its code, what it is, and the warning."""
    tickets = len({piece.code for piece in run.pieces})
    end = "Anfang" if at_start else "Ende"
    what = f"{run.film} · {metres(run.length_mm)} · {counted(len(run.pieces), 'piece')}"
    return f"{run.code}   {end}", f"{what} aus {counted(tickets, 'ticket')}", TRIM_OFF


def counted(count: int, word: str) -> str:
    """So many of something."""
    one, many = _MANY.get(word, (word, word))
    return f"{count} {one if count == 1 else many}"


def piece(number: int, code: str) -> str:
    """How a piece is called."""
    return f"Stück {number} ({code})"


def wrong_pages(found: int, wanted: int) -> str:
    """The file has not the pages that were planned."""
    return f"Die Datei hat {counted(found, 'page')}, geplant {'war' if wanted == 1 else 'waren'} {wanted}."


def wrong_size(wide: float, long: float, width_mm: float, length_mm: float) -> str:
    """A page has not its size."""
    return (
        f"Die Seite ist {numbers.number(wide, 2)} × {numbers.number(long, 2)} mm groß, geplant war "
        f"{numbers.number(width_mm, 2)} × {numbers.number(length_mm, 2)} mm."
    )


def too_near(one: str, other: str, apart_mm: float, gap_mm: float) -> str:
    """Two pieces lie too near to each other."""
    return (
        f"Zwischen {one} und {other} sind {numbers.number(apart_mm, 1)} mm freier Film, nötig sind "
        f"{numbers.number(gap_mm, 1)} mm."
    )


def not_at_its_place(named: str, off_mm: float) -> str:
    """A piece is not where it was planned, or not as it was."""
    return (
        f"Wo {named} geplant war, liegt nichts; das nächste liegt {numbers.number(off_mm, 2)} mm "
        "daneben oder anders."
    )


def wrong_count(found: int, wanted: int) -> str:
    """More or fewer artworks are placed than were planned."""
    return f"Auf der Seite liegen {counted(found, 'piece')}, geplant waren {wanted}."


def drawn_wrong(named: str, says: str) -> str:
    """A piece does not look as it should."""
    return f"{named[0].upper()}{named[1:]} ist nicht so gezeichnet wie sein Motiv: {says}."


def ink_differs(share: float) -> str:
    """More or less ink than in the artwork."""
    return f"es hat {percent(share)} der Farbe"


def ink_moved(moved_mm: float) -> str:
    """The ink is elsewhere in its box."""
    return f"seine Farbe liegt {numbers.number(moved_mm, 2)} mm daneben"


def colour_differs(steps: float) -> str:
    """Colours differ by so many steps of 255."""
    return f"seine Farben weichen um {steps:.0f} von 255 ab"


def stray_ink(x_mm: float, y_mm: float) -> str:
    """Ink where nothing was planned."""
    return f"Bei {x_mm:.0f} mm quer und {y_mm:.0f} mm längs ist Farbe, wo nichts geplant war."


def qr_not_read(said: str) -> str:
    """A QR code says something else, or nothing."""
    return f"Ein QR-Code des Laufs ergibt „{said}“." if said else "Ein QR-Code des Laufs ist nicht lesbar."


def on_page(says: str, page: int) -> str:
    """A fault with its page, in a file of several."""
    return f"Seite {page}: {says}"


def artwork_missing(name: str) -> tuple[str, str]:
    """The bytes of an artwork are not there any more."""
    return (
        f"Das Original von „{name}“ ist nicht mehr in originals/.",
        "Aus einer Sicherung holen (filmdocket verify sagt, was noch fehlt), dann die Datei neu schreiben.",
    )


def artwork_unusable(name: str, why: str) -> tuple[str, str]:
    """An artwork could be read when it was taken in, and cannot be put on film now."""
    return (
        f"„{name}“ lässt sich nicht auf Film bringen: {why}",
        "Seinen Laufzettel aus dem Lauf nehmen und den Kunden um eine andere Datei bitten.",
    )


def proof_failed(run: str, faults: Sequence[str]) -> tuple[str, str]:
    """What was written is not what was planned."""
    more = f" Und {len(faults) - 3} weitere." if len(faults) > 3 else ""
    return (
        f"Die Datei des Laufs {run} wurde zurückgelesen und ist nicht wie geplant. "
        f"{' '.join(faults[:3])}{more}",
        "Sie wurde nicht freigegeben. Neu schreiben; hilft das nicht, diese Laufzettel neu planen.",
    )


def how_to_cut(run: StoredRun) -> str:
    """In what order a run is cut, in two sentences."""
    if run.is_straight_cut:
        return (
            "Vom Anfang her an den Linien gerade durchschneiden: die Streifen sind nummeriert. "
            "Dann jeden Streifen von links nach rechts. + ist Reserve."
        )
    return (
        "Erst an den Linien gerade durchschneiden, wo welche sind. Ineinander liegende Stücke vom Anfang her "
        "entlang der Farbe schneiden. + ist Reserve."
    )


def metres(length_mm: float) -> str:
    """A length of film."""
    return f"{numbers.number(length_mm / 1000, 2)} m"


def metres_short(length_mm: float) -> str:
    """A place along the film, on the map."""
    return numbers.number(length_mm / 1000, 2)


def metres_from_to(from_mm: float, to_mm: float) -> str:
    """From where to where along the film."""
    return f"{numbers.number(from_mm / 1000, 2)}–{numbers.number(to_mm / 1000, 2)} m"


def and_spares(good: int, spares: int, lost: int = 0) -> str:
    """So many pieces, and what is beside them."""
    more = f" + {spares} Reserve" if spares else ""
    return f"{good}{more}{f', {lost} verloren' if lost else ''}"


def sheet_foot(run: StoredRun) -> str:
    """The last line of the sheet."""
    return (
        f"Lauf {run.code}: ein Scan seines Codes beim Drucken, Pulvern und Aushärten bewegt alle "
        "seine Stücke."
    )


def file_proved(run: StoredRun, length_mm: float, pages: int) -> str:
    """The file of a run is there."""
    return (
        f"Lauf {run.code}: {metres(length_mm)} Film auf {counted(pages, 'page')}, "
        f"{counted(len(run.pieces), 'piece')}. Zurückgelesen: wie geplant."
    )


def files_written(paths: Sequence[str], says: Sequence[str], without_code: Sequence[int]) -> list[str]:
    """What was written, what became of artwork that could not stay as it was, and which codes are missing."""
    lines = [*(f"Geschrieben: {path}" for path in paths), *says]
    if without_code:
        missing = ", ".join(str(one) for one in without_code)
        lines.append(
            f"Neben diesen Stücken ist kein Platz für den Code: {missing}. Das Begleitblatt nennt sie."
        )
    return lines


def raster_failed(run: str, why: str) -> tuple[str, str]:
    """The run could not be made into pixels; its PDF is there."""
    return (
        f"Aus dem Lauf {run} ließ sich kein Pixelbild machen: {why}",
        "Sein PDF ist geschrieben und geprüft: das drucken. Oder weniger Pixel je Zoll verlangen (--ppi).",
    )
