"""German: costs, prices and stock, what they rest on, and what can't be told yet."""

from __future__ import annotations

from collections.abc import Sequence

BASES = {
    "estimated": "Geschätzt: es liegt noch in keinem Filmlauf; in Reihen gelegt, mit dem üblichen Anteil.",
    "run": "Aus den Filmläufen, in denen es liegt: jeder Auftrag nach seiner Fläche mit halbem Abstand.",
    "partly estimated": "Teils aus Filmläufen; was noch in keinem liegt, ist in Reihen geschätzt.",
}


def usual_shares() -> str:
    """Said where artwork was not measured."""
    return (
        "Ein Teil der Motive ist noch nicht gemessen: Tinte nach den üblichen Anteilen (cost.ink_share, "
        "cost.coverage)."
    )


def item_not_there(number: str, item: int, there: int) -> tuple[str, str]:
    """The order has no item of that number."""
    has = f"die Positionen 1 bis {there}" if there > 1 else "eine Position"
    return f"Auftrag {number} hat keine Position {item}: er hat {has}.", "Eine davon nennen."


def nothing_to_cost(number: str) -> tuple[str, str]:
    """All of it is refused or cancelled."""
    return (
        f"Von Auftrag {number} wird nichts gedruckt: alles ist abgelehnt oder storniert.",
        "Unter „Wo ist es?“ nachsehen; gedruckte Filmläufe behalten ihre Kosten.",
    )


def run_not_known(run: str) -> tuple[str, str]:
    """There is no such run."""
    return f"Einen Filmlauf {run} gibt es nicht.", "Den Code noch einmal lesen oder einen Laufzettel scannen."


def cost_of_what() -> tuple[str, str]:
    """Neither or both of a thing and a day were named."""
    return (
        "Wovon die Kosten gefragt sind, fehlt.",
        "Auftrag, Position (OB-1042/1), Laufzettel oder Filmlauf nennen, oder einen Tag: --day 2026-12-02.",
    )


def stock_noted(kind: str, consumable: str, amount: str, price: str) -> str:
    """What was written down about stock."""
    told = {
        "bought": f"{consumable}: {amount} gekauft",
        "count": f"{consumable}: {amount} gezählt; so viel ist jetzt da",
        "opened": f"{consumable}: ein Gebinde mit {amount} geöffnet",
        "used-up": f"{consumable}: das offene Gebinde ist leer",
    }
    return f"{told[kind]}{f' für {price}' if price else ''}."


def consumable_not_kept(name: str, kept: Sequence[str]) -> tuple[str, str]:
    """There is no such ink, powder or film."""
    return f"{name!r} wird hier nicht im Lager geführt.", f"Möglich sind: {', '.join(kept)}."


def amount_not_read(written: str, unit: str) -> tuple[str, str]:
    """An amount without its unit, or in a wrong one."""
    like = {"ml": "500ml oder 1.5l", "g": "800g oder 5kg", "m": "100m"}[unit]
    says = f"{written!r} ist keine Menge davon." if written else "Es fehlt, wie viel."
    return says, f"Die Zahl mit ihrer Einheit schreiben, zum Beispiel {like}."


def nothing_is_open(name: str) -> tuple[str, str]:
    """It was not booked that one was opened."""
    return (
        f"Von {name} ist kein offenes Gebinde gebucht.",
        "Beim Öffnen `filmdocket stock opened` buchen; vorerst zählen, was da ist.",
    )


def artwork_not_here(name: str) -> str:
    """Said where a quote had no artwork to measure."""
    return (
        f"{name} liegt nicht beim Auftrag: Tinte nach den üblichen Anteilen, eine fehlende Länge "
        "aus der anderen."
    )


def artwork_not_printable(name: str) -> str:
    """Said where a quote's artwork can't be opened."""
    return f"{name} lässt sich nicht öffnen: neu anfordern. Gerechnet wird mit den üblichen Anteilen."


def order_file_not_read(name: str, why: str) -> tuple[str, str]:
    """The order file can't be opened."""
    return f"Die Auftragsdatei {name} ist nicht lesbar: {why}.", "Eine vorhandene Datei nennen."
