"""German: parcels and the ready shelf, what was noted, and why it can't be."""

from __future__ import annotations

from tickets.german.numbers import number as written


def parcel_added(order: str, number: int, sscc: str, slip: int | None) -> str:
    """A parcel was noted."""
    code = f" als SSCC {sscc}" if sscc else ""
    goes = f"es geht mit Lieferschein {slip}" if slip is not None else "es wartet auf den nächsten Versand"
    return f"Paket {number} von {order} ist eingetragen{code}; {goes}."


def parcel_changed(order: str, number: int) -> str:
    """A parcel has another weight or consignment number."""
    return f"Paket {number} von {order} ist geändert: Etikett neu drucken."


def parcel_removed(order: str, number: int, sscc: str) -> str:
    """A parcel is none any more."""
    kept = f" Seine SSCC {sscc} wird nie wieder vergeben." if sscc else ""
    return f"Paket {number} von {order} ist ausgetragen: Etikett weglegen.{kept}"


def shelved(order: str, place: str) -> str:
    """Where an order lies, or that it lies nowhere."""
    return f"{order} liegt im Fach {place}." if place else f"{order} liegt in keinem Fach mehr."


def parcel_of_an_order(named: str) -> tuple[str, str]:
    """A ticket or run instead of an order."""
    return (
        f"{named} ist kein Auftrag: Pakete und Fächer gehören zu ganzen Aufträgen.",
        "Die Auftragsnummer angeben.",
    )


def nothing_to_pack(order: str) -> tuple[str, str]:
    """A parcel of an order with nothing in it."""
    return (
        f"Von {order} verlässt nichts das Haus: alles ist storniert oder abgelehnt.",
        "Einen anderen Auftrag angeben.",
    )


def no_such_parcel(order: str, number: int) -> tuple[str, str]:
    """A parcel of a number that was never given, or taken out."""
    return f"{order} hat kein Paket {number}.", "Auf der Seite des Auftrags nachsehen."


def bad_weight(most_g: int) -> tuple[str, str]:
    """No weight, or more than anybody carries."""
    return (
        f"Ein Paket wiegt mehr als 0 kg und höchstens {written(most_g // 1000)} kg.",
        "Das Gewicht in Kilogramm angeben, zum Beispiel 2,35.",
    )


def bad_consignment(length: int, most: int) -> tuple[str, str]:
    """A number that is a text."""
    return (
        f"Die Sendungsnummer hat {length} Zeichen; höchstens {most} gehen.",
        "Nur die Nummer des Versenders angeben.",
    )


def bad_shelf(length: int, most: int) -> tuple[str, str]:
    """The name of a place that is a text."""
    return (
        f"Der Name des Fachs hat {length} Zeichen; höchstens {most} gehen.",
        "Einen kurzen Namen angeben, zum Beispiel B3.",
    )


def nothing_to_change(order: str, number: int) -> tuple[str, str]:
    """A change of a parcel that changes nothing."""
    return (
        f"Was soll an Paket {number} von {order} anders sein?",
        "Gewicht, Sendungsnummer oder beides angeben.",
    )


def which_parcel(named: str) -> tuple[str, str]:
    """A parcel that is not named as one."""
    return f"„{named}“ nennt kein Paket.", "Auftrag und Nummer nennen, zum Beispiel OB-1042/2."
