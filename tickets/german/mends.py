"""German: repairs of artwork and new artwork on the queries page."""

from __future__ import annotations

from collections.abc import Sequence

from tickets.wording_mends import nothing_repaired as nothing_repaired

REPAIRS = "Hier ausbessern"
REPAIRS_HOW = (
    "Jede vorher und nachher ansehen. Geändert ist nichts, bevor Sie freigeben; die Kundendatei "
    "bleibt erhalten."
)
LOOK_AT_REPAIRS = "Ausbesserungen ansehen, vorher und nachher"
FAILED = "Der Werkstattrechner antwortet nicht. Bitte noch einmal öffnen."
LOADING = "Die Ausbesserungen werden versucht …"
CHOOSE, SEE_TOGETHER, TOGETHER = "Das machen", "Die gewählten zusammen ansehen", "Zusammen"
CHECKED_AGAIN = "Noch einmal geprüft"
VERDICTS = {
    "clear": "in Ordnung: nichts ist mehr zu fragen",
    "query": "etwas ist noch offen; es wird mit freigegeben",
    "refuse": "abgelehnt: so nicht druckbar",
}
RELEASE_REPAIRED = "Ausgebessert freigeben"
REMEMBER_IT = "Bei dieser Datei, diesem Maß und dieser Textilfarbe nicht mehr fragen"
ANSWERS = "beantwortet"
VIEWS = {
    "before": "Vorher",
    "marked": "Was wegfällt (rot) oder dazukommt (grün)",
    "after": "Nachher",
    "close_before": "Vorher, nah",
    "close_after": "Nachher, nah",
}
SEND_NEW, CHOOSE_FILE = "Einsenden", "Die verbesserte Datei"
NO_FILE = ("Keine Datei gewählt.", "Das verbesserte Motiv wählen und einsenden.")
NOTHING_CHOSEN = ("Keine Ausbesserung gewählt.", "Eine ankreuzen oder das Motiv unverändert freigeben.")
NOT_REPAIRABLE = "hier lässt sich nichts ausbessern."
TAKE_NEW = "Unverändert freigeben oder ein neues Motiv einsenden."
REPAIR_NAMES = {
    "srgb": "Nach sRGB umrechnen",
    "background": "Hintergrund entfernen",
    "harden": "Weiche Kanten härten",
    "specks": "Flecken entfernen",
    "trim": "Rand beschneiden",
    "thicken": "Linien verstärken",
}


def repairs_offered(names: Sequence[str]) -> str:
    """What stands on the button that opens the repairs."""
    return ", ".join(REPAIR_NAMES[name] for name in names)


def view_of(name: str, view: str) -> str:
    """What a picture of a repair shows, for those who cannot see it."""
    return f"{VIEWS[view]}: {' + '.join(REPAIR_NAMES[one] for one in name.split('+'))}"


def sent_in(artwork: str, order: str) -> str:
    """New artwork went into the inbox."""
    return f"Das neue {artwork} für {order} ist unterwegs: es wird gleich angenommen und geprüft."


def no_open_question(code: str) -> tuple[str, str]:
    """A question that was answered meanwhile, or never asked."""
    return f"Zu {code[:20]} ist keine Rückfrage offen.", "In der Liste der Rückfragen nachsehen."
