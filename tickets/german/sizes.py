"""German: a few millimetres less that would save film, and what the customer answered."""

from __future__ import annotations

from tickets.film.advice import Advice
from tickets.german.floor import pieces as counted
from tickets.german.numbers import money, number, short


def smaller_saves(advice: Advice, currency: str, pieces: int, *, is_agreed: bool = False) -> str:
    """A size that lets one more piece lie across: what it saves for so many pieces; never done unasked."""
    saved = f", etwa {money(advice.saved_money, currency)}" if advice.saved_money >= 0.005 else ""
    ask = "Der Kunde war damit früher einverstanden." if is_agreed else "Erst den Kunden fragen."
    now, then = advice.across
    lies = f"lägen {then} statt {now} nebeneinander" if then != now else "läge es längs dichter"
    size = f"{number(advice.width_mm, 1)} × {number(advice.height_mm, 1)} mm"
    metres = number(advice.saved_mm / 1000, 2)
    return f"Mit {size} {lies}: {metres} m weniger Film für {counted(pieces)}{saved}. {ask}"


def size_kept(code: str) -> str:
    """The customer wants the size as ordered."""
    return f"{code} wird wie bestellt gedruckt; das ist gemerkt und wird zu diesem Motiv nicht mehr gefragt."


def size_changed(code: str, width_mm: float, height_mm: float) -> str:
    """The customer agreed."""
    size = f"{short(width_mm)} × {short(height_mm)} mm"
    return (
        f"{code} wird mit {size} gedruckt; das ist gemerkt. Das Motiv wird in diesem Maß noch einmal geprüft."
    )


def no_advice(code: str) -> tuple[str, str]:
    """There is nothing to answer."""
    return (
        f"Für {code} ist kein kleineres Maß zu empfehlen: keines spart Film, es ist "
        "beantwortet, oder nichts wartet.",
        "Auf der Seite „Film“ planen und nachsehen.",
    )


def size_too_late(code: str) -> tuple[str, str]:
    """Pieces of another size are in a run or printed."""
    return (
        f"Stücke von {code} liegen in einem Filmlauf oder sind schon weiter: das Maß bleibt.",
        "Sind sie nur geplant, sie erst aus dem Lauf herausnehmen.",
    )


def agreed_before(code: str, width_mm: float, height_mm: float) -> str:
    """A size that the customer said yes to, now or with an earlier order of the same artwork."""
    size = f"{number(width_mm, 1)} × {number(height_mm, 1)} mm"
    return f"{code} wird mit {size} gedruckt: der Kunde hat dieser kleineren Größe zugestimmt."
