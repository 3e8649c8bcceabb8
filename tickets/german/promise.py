"""German: an order that is not placed yet, by which day it can be had, and whom it would delay."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from tickets.german.floor import listed
from tickets.german.floor import pieces as counted
from tickets.german.numbers import short
from tickets.german.where import say_day, say_time
from tickets.wording_promise import say_work as say_work

PROMISE, ASK_PROMISE = "Bis wann kann es fertig sein?", "Termin nennen"
PROMISE_HINT = "Was der Anrufer weiß: wie viele, wie groß, bis wann. Ein Motiv ist nicht nötig."
ITEM, PIECES, WIDTH, HEIGHT, SERVICE = "Position", "Stück", "Breite in mm", "Höhe in mm", "Wofür"
RUSH_JOB, WISHED = "Als Eilauftrag", "Gewünscht bis"
SERVICES = {"pressed": "auf Textil gepresst", "transfers": "nur Transfers"}
OTHERS, ASSUMED, WOULD_BE_ASKED = "Die anderen Aufträge", "Angenommen", "Rückfragen wären"
_MOST_NAMED, SURE = 5, 0.9
_AS = {"height": "so hoch wie breit", "width": "so breit wie hoch"}
_SIDES = {"height": "Höhe", "width": "Breite"}


def say_what(pieces: int, items: int) -> str:
    """What is promised, and on which condition."""
    more = f" in {items} Positionen" if items > 1 else ""
    return f"{counted(pieces)}{more}, wenn der Auftrag jetzt kommt und das Motiv in Ordnung ist"


def say_offer(due_at: datetime, expected: str, now: datetime, zone: ZoneInfo) -> str:
    """By which day it can be promised."""
    return f"Zusagen lässt sich {say_day(due_at, now, zone)}: {expected}."


def say_wished(due_at: datetime, holds: float, promised: datetime, now: datetime, zone: ZoneInfo) -> str:
    """How sure the day is that the caller wishes; `promised`: the earliest day that holds."""
    said = f"Gewünscht bis {say_day(due_at, now, zone)}: das klappt {_share(holds)}"
    if holds >= SURE or promised > due_at:
        return f"{said}."
    return f"{said}, hinter dem, was vorher fällig ist; mit Termin {say_day(promised, now, zone)} klappt es."


def say_rush(due_at: datetime, others: str, now: datetime, zone: ZoneInfo) -> str:
    """What it would be as a rush job."""
    return f"Als Eilauftrag: {say_day(due_at, now, zone)}. {others}"


def say_harmless(due_at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """The day on which nobody pays for it."""
    return f"Stattdessen für {say_day(due_at, now, zone)} zugesagt, wird niemand verspätet."


def say_others(pushed: Sequence[str], worse: Sequence[str]) -> str:
    """What it does to the other orders; each is named with its own times already."""
    if not pushed and not worse:
        return "Kein anderer Auftrag käme dadurch zu spät."
    said = []
    if pushed:
        said.append(f"Zu spät kämen dadurch: {_named(pushed)}.")
    if worse:
        said.append(f"Ohnehin zu spät, und dadurch später: {_named(worse)}.")
    return " ".join(said)


def say_pushed(
    order: str, due_at: datetime, then: datetime, late: float, now: datetime, zone: ZoneInfo
) -> str:
    """An order that would no longer hold its day, and by how much."""
    return (
        f"{order} (fällig {say_time(due_at, now, zone)}, dann spätestens {say_time(then, now, zone)}, "
        f"{say_work(late)} Arbeit zu spät)"
    )


def say_worse(order: str, later: float) -> str:
    """An order that is late already, and how much more."""
    return f"{order} (um {say_work(later)} Arbeit)"


def square_assumed(item: int, mm: float, side: str) -> str:
    """Nobody said how high or wide it is."""
    return f"Die {_SIDES[side]} von Position {item} fehlt: angenommen {_AS[side]}, {short(mm)} mm."


def artwork_assumed(order: str, item: int) -> str:
    """Its shape is that of an earlier order's artwork."""
    return f"Position {item} hat das Seitenverhältnis ihres Motivs in {order}."


def asked_too_large(item: int, width_mm: float, height_mm: float, printable_mm: float) -> tuple[str, str]:
    """No film is that wide."""
    return (
        f"Position {item} misst {short(width_mm)} × {short(height_mm)} mm: in beiden Lagen breiter als der "
        f"Film, der {short(printable_mm)} mm fasst.",
        "Kleiner oder in Teilen anfragen.",
    )


def file_not_read(path: str, why: str) -> tuple[str, str]:
    """The order file that was named is not there, or may not be read."""
    return f"{path} ist nicht lesbar: {why}.", "Eine Auftragsdatei nennen, oder - für die Standardeingabe."


def already_placed(number: str) -> tuple[str, str]:
    """It is in the books: there is nothing left to promise."""
    return f"{number} ist schon angenommen.", "Unter „Wo ist es?“ nachsehen, wie weit es ist."


def not_in_sight() -> tuple[str, str]:
    """The line is full for longer than the calendar goes."""
    return (
        "Kein Tag ist in Sicht, an dem es fertig wäre: es ist mehr Arbeit, als in zwei Jahren geht.",
        "Stückzahlen prüfen, und in shop.toml unter [line] Tempo und Arbeitszeiten.",
    )


def _share(holds: float) -> str:
    tenths = round(holds * 10)
    if holds >= SURE:
        return "in neun von zehn Fällen oder öfter"
    return f"in {tenths} von 10 Fällen" if tenths else "fast nie"


def _named(told: Sequence[str]) -> str:
    more = len(told) - _MOST_NAMED
    return listed([*told[:_MOST_NAMED], *([f"{more} weitere"] if more > 0 else [])])
