"""German: what became of a dropped order or artwork, and of a question about it."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.german.floor import listed, pieces


def order_taken(order: str, items: int) -> str:
    """A new order is in the books."""
    return f"{order} ist angenommen, mit {items} {'Position' if items == 1 else 'Positionen'}."


def order_again(order: str) -> str:
    """The same order file with the same artwork."""
    return f"{order} kam noch einmal unverändert; nichts wurde geändert."


def order_conflict(order: str) -> str:
    """The number of an order that is in the books, on another content."""
    return (
        f"{order} gibt es schon mit anderem Inhalt; dieser wurde nicht angenommen. Eine eigene Nummer geben "
        "oder den vorhandenen Auftrag stornieren."
    )


def artwork_conflict(orders: Sequence[str], artwork: str, has_begun: bool) -> str:
    """New bytes for artwork that is at work."""
    state = "hat der Druck begonnen" if has_begun else "ist es schon freigegeben"
    return (
        f"{artwork} kam noch einmal mit anderem Inhalt, aber für {listed(list(orders))} {state}; es wurde "
        "nicht angenommen. Die alten Stücke stornieren und neu bestellen oder mit der ersten "
        "Datei weitermachen."
    )


def artwork_again(artwork: str, orders: Sequence[str]) -> str:
    """The same bytes once more."""
    return f"{artwork} kam noch einmal, genau wie {listed(list(orders))} es hat; nichts wurde geändert."


def artwork_revised(artwork: str, orders: Sequence[str]) -> str:
    """New bytes for artwork that has a question open or was refused."""
    return f"{artwork} ist als neues Motiv für {listed(list(orders))} angenommen und wird geprüft."


def held(code: str, why: str) -> str:
    """A hold was put on."""
    return f"{code} ist angehalten: {why}."


def hold_ended(code: str) -> str:
    """A hold was taken off."""
    return f"{code} ist nicht mehr angehalten."


def repaired(code: str, repairs: Sequence[str]) -> str:
    """The shop's own repair was booked."""
    return (
        f"Das Motiv von {code} ist ausgebessert ({listed(list(repairs))}); die Kundendatei bleibt erhalten."
    )


def question_answered(codes: Sequence[str], hold_on: str, why: str | None) -> str:
    """A query was answered; a hold may still stand."""
    said = f"Die Rückfrage zu {listed(list(codes))} ist beantwortet."
    if why is not None:
        said += f" {hold_on} ist noch angehalten: {why}; noch einmal freigeben, um auch das zu beenden."
    return said


def cancelled(code: str, count: int, left: int) -> str:
    """Pieces were cancelled."""
    rest = (
        f"; {pieces(left)} {'geht' if left == 1 else 'gehen'} weiter" if left else "; nichts davon ist übrig"
    )
    return f"{pieces(count)} von {code} {'ist' if count == 1 else 'sind'} storniert{rest}."
