"""German: changes of an order in work, another due day, more or fewer pieces."""

from __future__ import annotations

from collections.abc import Mapping

from tickets.german.floor import pieces
from tickets.german.general import day


def due_changed(number: str, was: str, due: str) -> str:
    """An order got another due day."""
    before = f" und nicht mehr am {day(was)}" if was else ""
    return f"{number} ist am {day(due)} fällig{before}; die Laufzettel werden neu gedruckt."


def due_stays(number: str, due: str, *, is_closed: bool) -> tuple[str, str]:
    """Nothing to change about a due day."""
    says = (
        f"{number} ist erledigt: nichts ist mehr fällig."
        if is_closed
        else f"{number} ist schon am {due} fällig."
    )
    return says, "Den Auftrag ansehen; nichts wurde geändert."


def due_not_read(due: str) -> tuple[str, str]:
    """A due day that is none."""
    return f"{due!r} ist kein Tag.", "Den Tag so schreiben: 2026-12-04."


def quantity_changed(code: str, was: int, now: int, sizes: Mapping[str, int]) -> str:
    """An item is wanted in another number."""
    done = f"{pieces(now - was)} mehr" if now > was else f"{pieces(was - now)} weniger"
    said = f"{code}: {done}, insgesamt {now}; der Laufzettel wird neu gedruckt."
    total = sum(sizes.values())
    if sizes and total != now:
        said += f" Die Größen ergeben noch {total}: der Werkstatt sagen, welche gemeint sind."
    return said


def quantity_stays(code: str, quantity: int) -> tuple[str, str]:
    """An item that is wanted in just this number."""
    return (
        f"Von {code} sind schon {pieces(quantity)} bestellt.",
        "Angeben, wie viele es insgesamt sein sollen.",
    )


def needs_one_change() -> tuple[str, str]:
    """A change of nothing, or of two things at once."""
    return "Was soll geändert werden?", "Entweder den Termin oder die Stückzahl angeben."
