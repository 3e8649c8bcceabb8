"""German: spoilage on film runs, and spares."""

from __future__ import annotations

from collections.abc import Mapping

from tickets.german.floor import beginning_at, listed, pieces, station_at
from tickets.german.numbers import short


def run_spoiled(
    run: str,
    station: str,
    lost: int,
    spares: int,
    reprints: Mapping[str, str],
    again: Mapping[str, int],
    first: str,
) -> str:
    """What became of spoiled pieces of a run."""
    said = f"{pieces(lost)} im Lauf {run} {station_at(station)} Ausschuss."
    if spares:
        said += f" {stand_in(spares)}"
    if reprints:
        total = sum(again.values())
        codes = listed([f"{reprints[code]} ({again[code]} von {code})" for code in reprints])
        verb = "beginnt" if total == 1 else "beginnen"
        said += f" {pieces(total)} {verb} {beginning_at(first)} neu als {codes}."
    elif not spares:
        said += " Nichts muss neu gedruckt werden: es war storniert oder Reserve."
    return said


def stand_in(spares: int) -> str:
    """Spares that take the place of lost pieces."""
    return f"{spares} Reservestück ersetzt es." if spares == 1 else f"{spares} Reservestücke ersetzen sie."


def spares_are_back(run: str) -> str:
    """What an undo did where spares alone had stood in."""
    return f"Der letzte Scan von {run} ist zurückgenommen: die Reserve ist wieder Reserve."


def run_is_cut(run: str) -> tuple[str, str]:
    """Nothing lies on its film any more."""
    return (
        f"Vom Lauf {run} ist nichts mehr auf Film: er ist ausgehärtet und geschnitten, oder die "
        "Stücke sind weg.",
        "Ausschuss auf den Laufzetteln buchen.",
    )


def not_on_the_run(code: str, run: str) -> tuple[str, str]:
    """A ticket without pieces on a run."""
    return f"Von {code} liegt nichts im Filmlauf {run}.", "Auf der Seite „Film“ nachsehen, was darin liegt."


def more_than_on_run(code: str, run: str, wanted: int, there: int) -> tuple[str, str]:
    """More spoiled than there are."""
    return (
        f"{wanted} Stück von {code} können im Lauf {run} nicht Ausschuss sein: {there} liegen darin.",
        "Noch einmal zählen; Reserve zählt nicht mit.",
    )


def bad_length(from_mm: float, to_mm: float) -> tuple[str, str]:
    """No length of film."""
    return (
        f"Von {short(from_mm)} bis {short(to_mm)} mm ist keine Länge Film.",
        "Ab Anfang des Laufs messen, wo das Etikett ist: zum Beispiel von 1200 bis 1450.",
    )


def nothing_in_length(run: str, from_mm: float, to_mm: float) -> tuple[str, str]:
    """No piece is there."""
    to = f"{short(to_mm)} mm" if to_mm != float("inf") else "zum Ende"
    return (
        f"Im Lauf {run} liegt von {short(from_mm)} mm bis {to} kein Stück, das nicht schon verloren ist.",
        "Auf der Karte des Laufs nachsehen.",
    )
