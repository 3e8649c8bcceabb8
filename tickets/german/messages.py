"""German: the page of messages, what became of each, and the shop's own wording."""

from __future__ import annotations

MESSAGES = "Nachrichten"
OF_ORDER, SHOW = "Auftrag (leer: alle)", "Zeigen"
NOTHING = "Noch ist keine Nachricht an Kunden geschrieben."
OPEN_FILE, SEND_AGAIN, NEXT_TRY = "Öffnen", "Noch einmal senden", "nächster Versuch"
WORDS, CHANGE = "Wie sie lauten", "Text von"
OWN, SHIPPED = "eigener Text", "mitgelieferter Text"
NO_SERVER = "Kein Mailserver ist eingestellt: jede Nachricht öffnen und von Hand senden."
TEMPLATE = "Vorlage; die erste Zeile ist der Betreff"
TRY, SAVE, USE_SHIPPED = "Ausprobieren", "Ausprobieren und speichern", "Mitgelieferten Text verwenden"
SPECIMEN = "So lautet sie zu einem erfundenen Auftrag"
KINDS = {
    "received": "Auftrag eingegangen",
    "query": "Rückfrage zum Motiv",
    "released": "Motiv geht in den Druck",
    "ready": "Fertig",
    "dispatched": "Versandt",
    "late": "Verspätung",
}
STANDINGS = {
    "due": "steht an",
    "written": "geschrieben",
    "unsure": "vielleicht angekommen",
    "sent": "gesandt",
    "failed": "GESCHEITERT",
}


def quoted(kind: str) -> str:
    """A kind by its name."""
    return f"„{KINDS[kind]}“"


def kept(kind: str) -> str:
    """New words are used from now on."""
    return f"Der Text von „{KINDS[kind]}“ ist gespeichert und gilt von jetzt an."


def back_to_shipped(kind: str) -> str:
    """The shop's own words are put aside."""
    return (
        f"Für „{KINDS[kind]}“ gilt wieder der mitgelieferte Text; der eigene liegt in "
        f"messages/{kind}.old.txt."
    )
