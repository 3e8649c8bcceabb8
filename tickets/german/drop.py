"""German: the drop page, artwork, its size and how many, and what is still missing before it is sent."""

from __future__ import annotations

from tickets.german.numbers import number
from tickets.wording_drop import lacks as lacks

DROP, DROP_HERE, CHOOSE = "Neuer Auftrag", "Motive hier ablegen", "Dateien wählen"
OR_CHOOSE = "oder auswählen. Es wird sofort geprüft; bestellt ist nichts, bevor Sie es absenden."
BEGIN = "Prüfen"
SENDING, CHECKING, FAILED = "Unterwegs", "Wird geprüft …", "Nicht angekommen. Bitte noch einmal."
TOO_LARGE = "Diese Datei ist größer, als die Werkstatt annimmt."
LYING = "Liegt ohne Auftrag im Eingangsordner"
NONE_LYING = "Kein Motiv wartet auf einen Auftrag."
MAKE_ORDER = "Auftrag daraus machen"
AGAIN, AGAIN_HOW, TAKE_OVER = "Wie beim letzten Mal", "Nummer des früheren Auftrags", "Übernehmen"
MORE_ART = "Weitere Motive für diesen Auftrag"
ORDER_NUMBER, NUMBER_HINT = "Auftragsnummer", "Leer: es wird eine vergeben."
CUSTOMER_NAME, DUE_DAY = "Kunde", "Termin"
SERVICE, PRESSED, TRANSFERS, IS_RUSH = "Leistung", "gepresst", "nur Transfers", "Eilauftrag"
WIDTH, PIECES = "Druckbreite in mm", "Stück"
PLACEMENT, GARMENT, COLOUR = "Platzierung", "Textil", "Farbe des Textils (#RRGGBB)"
FABRIC, SIZES, SIZES_HINT = "Stoff", "Größen", "Zum Beispiel: S 10, M 20, L 10"
FILM, FILM_DEFAULT, NOTE = "Film", "der übliche", "Hinweis für die Werkstatt"
MIRRORED = "Das Motiv kommt gespiegelt an"
CHECK, SEND, LEAVE_OUT, FORGET = "Noch einmal prüfen", "Auftrag absenden", "Weglassen", "Verwerfen"
OF_EARLIER = "Motiv aus Auftrag"
CHECKED, NOT_CHECKED = "Geprüft", "Noch nicht geprüft"
VERDICTS = {
    "clear": "in Ordnung: nichts steht im Weg",
    "query": "Rückfrage nötig: wartet auf eine Antwort",
    "refuse": "abgelehnt: so nicht druckbar",
}
PLACES = "Stellen, von links oben im Druck"
IS_SENT = "Der Auftrag ist unterwegs"
WAITS = "Er liegt im Eingangsordner und wird gleich angenommen. Diese Seite geht von selbst weiter."
INTAKE_STARTS = "Die Annahme war noch nie da: filmdocket watch starten."
NOTHING_CHOSEN, CHOOSE_FIRST = "Kein Motiv gewählt.", "Eine Datei wählen oder einen früheren Auftrag nennen."
NO_PICTURE, OPEN_FILE = "Von diesem Motiv gibt es kein Bild.", "Die Datei selbst öffnen."
FILL_IN = "Ergänzen und noch einmal absenden."
LACKS_CUSTOMER = "Von wem ist der Auftrag? Bitte den Kunden nennen."
SEVERAL_FOLDERS = "Die Motive liegen in mehreren Ordnern des Eingangs."
ONE_EACH = "Für jeden Ordner einen Auftrag machen."
LACKS_WIDTH = "wie breit ist der Druck, in mm?"
LACKS_PIECES = "wie viele Stück?"
LACKS_COLOUR = "die Farbe des Textils ist nicht lesbar; bitte so schreiben: #10213f"
HANDING, COLLECTED, SENT = "Wenn es fertig ist", "wird abgeholt", "wird versandt"
SHIP_TO, SHIP_TO_HINT = "Versand an", "Wie auf einem Etikett, jede Zeile für sich, zuerst der Name."
MAY_PART = "Fertiges darf vor dem Rest gehen"
LACKS_ADDRESS = "Wohin wird versandt? Bitte die Adresse schreiben, jede Zeile für sich, zuerst der Name."
COLLECTED_OR_SENT = "Es wird abgeholt, hat aber eine Adresse: Versand wählen oder die Adresse löschen."
PAGES, PAGES_HINT = "Seiten der Datei", "Leer: die einzige. Zum Beispiel: 2, oder 1-4"
LACKS_SIZES = "die Größen sind nicht lesbar; bitte so schreiben: S 10, M 20"


def sent(number: str) -> str:
    """An order was laid into the inbox."""
    return f"Auftrag {number} ist abgesandt."


def size_says(width_mm: float, height_mm: float) -> str:
    """How large the print will be."""
    return f"{number(width_mm, 1)} × {number(height_mm, 1)} mm"


def place_says(place: list[float]) -> str:
    """Where a finding lies: from the left, from the top, and how large."""
    x, y, width, height = place
    return f"{number(x, 1)} / {number(y, 1)} mm ({number(width, 1)} × {number(height, 1)})"


def number_taken(number: str) -> str:
    """An order of that number is in the books."""
    return f"Einen Auftrag {number} gibt es schon."


def draft_not_known() -> str:
    """A draft that was sent or thrown away."""
    return "An diesem Auftrag wird nicht mehr geschrieben: er ist abgesandt oder verworfen."


def file_gone(path: str) -> str:
    """Artwork that no longer lies in the inbox."""
    return f"{path} liegt nicht mehr im Eingangsordner."
