"""German: dispatch, what was remade, packed, put on the shelf or collected, and why it can't be."""

from __future__ import annotations

from tickets.german.floor import beginning_at, pieces, station_at


def remade(code: str, count: int, first: str, reprint: str) -> str:
    """Pieces that came back, or were short, are made again."""
    one = count == 1
    return (
        f"{pieces(count)} von {code}, schon aus dem Haus, {'zählt' if one else 'zählen'} als Ausschuss und "
        f"{'beginnt' if one else 'beginnen'} {beginning_at(first)} neu als {reprint}, eilig; der Auftrag ist "
        "wieder offen."
    )


def garments_too(garment_set: str) -> str:
    """What to think of when one of several prints on a garment is made again."""
    return (
        f"Andere Drucke von {garment_set!r} sind auf denselben Textilien: auch die neu machen, wenn die "
        "Textilien verloren sind."
    )


def remake_taken_back(code: str, count: int, reprint: str) -> str:
    """A remake was undone."""
    return (
        f"Die Neuanfertigung von {pieces(count)} von {code} ist zurückgenommen: sie zählen als versandt. "
        f"Der Nachdruck {reprint} entfällt; seinen Laufzettel weglegen."
    )


def goes_with_slip(number: int) -> str:
    """What was dispatched gets a packing slip."""
    return f"Lieferschein {number} geht mit."


def slip_void(order: str, number: int) -> str:
    """All that a packing slip listed was taken back."""
    return f"Lieferschein {number} von {order} ist ungültig: aus dem Paket nehmen."


def slip_changed(order: str, number: int) -> str:
    """A part of what a packing slip listed was taken back."""
    return f"Lieferschein {number} von {order} hat sich geändert: neu drucken, den alten weglegen."


def collected_at_dispatch_only(station: str, last: str) -> tuple[str, str]:
    """Somebody is to have collected what is not dispatched."""
    return (
        f"Abgeholt wird {station_at(last)}; dieser Scan ist {station_at(station)}.",
        f"Den Namen des Abholers weglassen oder {station_at(last)} scannen.",
    )


def nothing_packed_yet(order: str) -> tuple[str, str]:
    """A packing slip of an order of which nothing has left the house."""
    return (
        f"Von {order} ist noch nichts versandt.",
        "Der Lieferschein entsteht, wenn im Versand gescannt wird.",
    )


def no_such_slip(order: str, number: int, slips: int) -> tuple[str, str]:
    """A packing slip of a number that was never given."""
    return (
        f"{order} hat keinen Lieferschein {number}.",
        f"Seine Lieferscheine: 1 bis {slips}." if slips > 1 else "Er hat einen: 1.",
    )


def more_than_dispatched(code: str, asked: int, dispatched: int, where: str) -> tuple[str, str]:
    """A remake of more pieces than have left the house."""
    gone = f"nur {dispatched} {'ist' if dispatched == 1 else 'sind'}" if dispatched else "nichts davon ist"
    return (
        f"{pieces(asked)} von {code} sind nicht neu zu machen: {gone} aus dem Haus ({where}).",
        "Was noch im Haus ist, als Ausschuss buchen; für früher Neugemachtes dessen eigenen "
        "Laufzettel nennen.",
    )


def remake_needs_ticket(order: str, codes: list[str]) -> tuple[str, str]:
    """A remake of an order instead of a ticket."""
    return (
        f"{order} ist ein Auftrag, neu gemacht wird ein Laufzettel. Seine mit Stücken aus dem Haus: "
        f"{', '.join(codes) or 'keine'}.",
        "Den Laufzettel nennen; sein Code steht auf dem Lieferschein und unter „Wo ist es?“.",
    )
