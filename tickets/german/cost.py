"""German: costs, prices and stock, what they rest on, and what can't be told yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from tickets.german.numbers import day as day_of
from tickets.german.numbers import number

BASES = {
    "estimated": "Geschätzt: es liegt noch in keinem Filmlauf; in Reihen gelegt, mit dem üblichen Anteil.",
    "run": "Aus den Filmläufen, in denen es liegt: jeder Auftrag nach seiner Fläche mit halbem Abstand.",
    "partly estimated": "Teils aus Filmläufen; was noch in keinem liegt, ist in Reihen geschätzt.",
}


_LARGE = {"ml": ("l", 1000), "g": ("kg", 1000), "m": ("m", 1)}
_DAYS_NEAR = 6  # a day within a week is told by its name alone
_NAMES = {
    "white": "Weiß",
    "black": "Schwarz",
    "cyan": "Cyan",
    "magenta": "Magenta",
    "yellow": "Gelb",
    "powder": "Pulver",
}


def amount_text(amount: float, unit: str) -> str:
    """As people say it: 1,25 l, 400 ml, 82 m."""
    large, factor = _LARGE[unit]
    if factor > 1 and amount >= factor:
        return f"{number(amount / factor, 2)} {large}"
    return f"{number(amount)} {unit}"


def day_text(day: date, today: date) -> str:
    """Donnerstag; further off Do., 10. Dez."""
    near = timedelta(0) <= day - today <= timedelta(days=_DAYS_NEAR)
    names = ("Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag")
    return names[day.weekday()] if near else day_of(day, with_year=day.year != today.year)


def say_stock(
    name: str, left: str, days: tuple[str, ...] | None, delivery_days: int, *, is_urgent: bool
) -> str:
    """What is left of a consumable; `days` until which it likely and surely lasts, and when to order."""
    there = f"{_NAMES.get(name, name)}: noch {left}"
    if days is None:
        return f"{there}; zuletzt wurde nichts gedruckt, was davon braucht."
    likely, sure, order_by = days
    wait = f"{delivery_days} {'Tag' if delivery_days == 1 else 'Tagen'} Lieferzeit"
    order = f"heute bestellen: bei {wait} kann es knapp werden"
    if not is_urgent:
        order = f"bestellen bis {order_by}, bei {wait}"
    return f"{there}, reicht so bis {likely}, in neun von zehn Fällen bis {sure}; {order}."


def usual_shares() -> str:
    """Said where artwork was not measured."""
    return (
        "Ein Teil der Motive ist noch nicht gemessen: Tinte nach den üblichen Anteilen (cost.ink_share, "
        "cost.coverage)."
    )


def reckoned_by(calibrated: Sequence[tuple[str, str]]) -> str:
    """What stands beside a price: each consumable that counts tell of, with what they say."""
    if not calibrated:
        return "Nach den Einstellungen gerechnet: zwei Zählungen mit Druck dazwischen würden sie eichen."
    told = "; ".join(f"{_NAMES.get(name, name)} {says}" for name, says in calibrated)
    return f"Nach den eigenen Zählungen gerechnet, der Rest nach den Einstellungen: {told}."


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
