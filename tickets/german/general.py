"""German: what customers and the floor read on papers, in reports, in messages and about codes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from tickets.german import numbers

if TYPE_CHECKING:
    from config.settings import PressSetting

SCAN_ONE = "Bitte einen nach dem anderen scannen."
NO_CODE_THERE = "In der Eingabe steht kein Code."
TYPE_CODE = "QR-Code scannen oder die großen Zeichen daneben genau so eintippen."

JOB_TICKET, TICKET, ORDER, CUSTOMER, DUE, PIECES = (
    "Laufzettel",
    "Laufzettel",
    "Auftrag",
    "Kunde",
    "Termin",
    "Stück",
)
PRINT_SIZE, PLACEMENT, FILM, ARTWORK, GARMENT = "Druckmaß", "Platzierung", "Film", "Motiv", "Textil"
SIZES, NOTE, STATIONS = "Größen", "Hinweis", "Hier abhaken, wenn das Netz ausfällt"
GOOD, SPOILED, BY, AT = "Gut", "Ausschuss", "Wer", "Zeit"
RUSH, TRANSFERS_ONLY, NO_GARMENT = "EILT", "NUR TRANSFERS", "nur Transfers: kein Textil"
NO_PICTURE, NO_DUE_DAY, PRESS = "Kein Bild des Motivs", "kein Termin genannt", "Pressen"
HEAT, TIME, PRESSURE, PEEL, SECOND_PRESS = "Temperatur", "Zeit", "Druck", "Abziehen", "Nachpressen"
NO_PRESS_SETTING = (
    "Für diesen Film und Stoff ist nichts hinterlegt: Datenblatt des Herstellers beachten und ein Teil zur "
    "Probe pressen."
)
CUSTOMER_PRESSES = "Der Kunde presst selbst; abziehen, wie der Hersteller des Films es angibt."
MIRRORED = "Das Motiv kommt gespiegelt an: nicht noch einmal spiegeln."
MAY_NOT_TURN = "Auf dem Film nicht drehen."
TEXT_WAS_CUT = "„…“ steht für Text ohne Platz; im Auftrag steht er ganz."
CAUTIONS = (
    "Heiße Platten und Öfen verbrennen die Haut.",
    "Beim Aushärten entstehen Dämpfe: Absaugung einschalten.",
    "Pulver ist Staub: nicht einatmen, von Flammen fernhalten.",
    "Quetschgefahr an der Presse: Hände weg, bevor sie schließt.",
)
CAUTIONS_DEFER = (
    "Anleitungen der Hersteller, Sicherheitsdatenblatt, örtliche Vorschriften und Fachkundige gehen vor."
)

ARTWORK_REPORT, MEASURED, LIMIT, WHAT_TO_DO = (
    "Prüfbericht zum Motiv",
    "Gemessen",
    "Unsere Grenze",
    "Was zu tun ist:",
)
NO_ART_TO_SHOW = "Die Datei ließ sich nicht öffnen; es gibt nichts zu zeigen."
NOTHING_FOUND = "Auflösung, Transparenz, Linien, Lücken und Maß sind geprüft: nichts steht im Weg."
REPORT_LIMITS = (
    "Die Grenzen sind die unserer Werkstatt, Erfahrungswerte des Handwerks. Gemessen im oben genannten "
    "Druckmaß; die Nummern zeigen auf die schwierigsten Stellen."
)
VERDICTS = {
    "clear": "Dem Druck dieses Motivs steht nichts im Weg.",
    "query": "Vor dem Druck dieses Motivs haben wir eine Rückfrage.",
    "refuse": "So können wir dieses Motiv nicht drucken.",
}
LEVELS = {"refuse": "nicht druckbar", "query": "Rückfrage", "note": "zur Kenntnis"}
CHECKS = {
    "file": "Die Datei",
    "pages": "Seiten",
    "empty": "Nichts zu drucken",
    "fit": "Platz auf dem Film",
    "shape": "Seitenverhältnis",
    "margins": "Leerer Rand",
    "resolution": "Auflösung",
    "background": "Hintergrundkasten",
    "soft": "Weiche, halb durchsichtige Stellen",
    "screened": "Raster und Körnung",
    "line-width": "Dünne Linien",
    "gap-width": "Enge Lücken",
    "islands": "Kleine Punkte",
    "white-lost": "Farbe ohne Weiß darunter",
    "detail": "Schärfe",
    "specks": "Verirrte Punkte",
    "fringe": "Rand eines alten Hintergrunds",
    "garment-contrast": "Farben gegen das Textil",
    "text": "Text",
    "colour": "Farbe",
    "mirrored": "Gespiegelt",
}
BY_THE_WAY = "Nebenbei:"
_UNITS = {"pages": "Seiten", "pieces": "Stück"}


def several_codes(codes: Sequence[str]) -> str:
    """More than one code came in at once."""
    return f"Es kamen mehrere Codes auf einmal: {', '.join(codes)}."


def code_has_strange(typed: str, strange: Sequence[str]) -> str:
    """The text has characters that no code has."""
    shown = " ".join(strange[:5])
    return f"„{typed}“ ist kein Code: {shown} {'kommt' if len(strange) == 1 else 'kommen'} in keinem vor."


def code_length(typed: str, length: int, wanted: int) -> str:
    """The text is too short or too long."""
    short = "kurz" if length < wanted else "lang"
    which = "der eines Laufzettels hat" if wanted == 7 else "der eines Filmlaufs mindestens"
    return f"„{typed}“ ist zu {short} für einen Code: es hat {length} Zeichen, {which} {wanted}."


def code_fails_check(code: str) -> str:
    """The check character doesn't fit."""
    return f"Ein Zeichen von {code} ist falsch, oder zwei sind vertauscht: das Prüfzeichen passt nicht."


def font_not_used(named: str, why: str) -> str:
    """A font file of the shop's that can't be used."""
    return f"Die Schriftdatei {named} wird nicht verwendet: {why}."


def qr_too_long(characters: int) -> tuple[str, str]:
    """The address in the QR code is too long."""
    return (
        f"Der Text des QR-Codes hat {characters} Zeichen: seine Felder würden zu klein zum Scannen.",
        "In shop.toml ein kürzeres shop.ticket_url wählen oder leer lassen; dann steht nur der Code darin.",
    )


def day(when: datetime | date | str | None) -> str:
    """A due day as the floor reads it (Fr., 4. Dez. 2026), with its time if any; other words as they are."""
    if when is None or when == "":
        return NO_DUE_DAY
    if isinstance(when, str):
        try:
            when = date.fromisoformat(when)
        except ValueError:
            return str(when)
    text = numbers.day(when, with_year=True)
    return f"{text}, {when:%H:%M} Uhr" if isinstance(when, datetime) else text


def item_of(item: int, items: int) -> str:
    """Which item of the order it is."""
    return f"Position {item} von {items}"


def reprint_of(code: str) -> str:
    """What a reprint replaces."""
    return f"NACHDRUCK VON {code}"


def length_mm(value: float) -> str:
    """A length for people: to a tenth of a millimetre, without an idle zero."""
    return f"{numbers.number(value, 1, 0)} mm"


def size_mm(width: float, height: float) -> str:
    """A print size."""
    return f"{numbers.number(width, 1, 0)} × {length_mm(height)}"


def more_sizes(count: int) -> str:
    """So many sizes for which there is no cell."""
    return f"{count} weitere …"


def celsius(value: float) -> str:
    """A platen's temperature."""
    return f"{numbers.short(value)} °C"


def seconds(value: float) -> str:
    """A pressing time."""
    return f"{numbers.short(value)} s"


def whose_press_setting(film: str, fabric: str) -> str:
    """What the setting is for, and that it is the shop's own."""
    return (
        f"{film} auf {fabric}: eigene Einstellung nach Datenblatt des Herstellers; ein Probeteil entscheidet"
    )


def press_line(press: PressSetting) -> str:
    """A whole press setting in one line."""
    said = [celsius(press.temperature_c), seconds(press.seconds), f"Druck {press.pressure}"]
    said.append(f"abziehen: {press.peel}")
    if press.second_press_seconds:
        said.append(f"dann noch {seconds(press.second_press_seconds)}")
    return "; ".join([", ".join(said), *([press.note] if press.note else [])])


def same_garments(garment_set: str) -> str:
    """Prints that share their garments."""
    return f"dieselben Textilien wie Satz „{garment_set}“"


def answered(answer: str) -> str:
    """What the customer said to the question."""
    return f"Antwort des Kunden: {answer}"


def characters_missing(characters: Sequence[str]) -> str:
    """Characters that no font has; printed as boxes with their numbers."""
    missing = " ".join(f"U+{ord(c):04X}" for c in characters[:12]) + (" …" if len(characters) > 12 else "")
    return f"Keine Schrift hat {missing}: als Kästchen gedruckt; der Name steht im Auftrag."


def verdict(verdict: str, questions: int) -> str:
    """What a report says first."""
    if verdict == "query" and questions > 1:
        return f"Vor dem Druck dieses Motivs haben wir {questions} Rückfragen."
    return VERDICTS[verdict]


def for_customer(customer: str) -> str:
    """Whom a report is for."""
    return f"{ARTWORK_REPORT} für {customer}"


def check_title(check: str) -> str:
    """What a check is about, in a few words."""
    return CHECKS.get(check, check.replace("-", " ").capitalize())


def revision(number: int) -> str:
    """Which artwork of an item it is, when it has had several."""
    return f"Motiv Nr. {number}"


def enlarged(times: float) -> str:
    """How many times a detail is enlarged."""
    return f"{numbers.number(times, 0 if times >= 9.5 else 1)} ×"


def measured(value: float | None, unit: str | None) -> str:
    """A measured value or a limit with its unit; a share of the whole in per cent."""
    if value is None:
        return ""
    if unit == "share":
        return numbers.percent(value, 1)
    if unit == "pages" and value == 1:
        return "1 Seite"
    shown = numbers.number(value, 2) if unit == "mm" and value < 10 else numbers.number(value, 1, 0)
    return f"{shown} {_UNITS.get(unit or '', unit or '')}".strip()


def shown_at(scale: float) -> str:
    """How large the art is shown."""
    if abs(scale - 1) < 0.005:
        return "in Originalgröße gezeigt"
    return f"auf {numbers.percent(scale)} der Originalgröße gezeigt"


def on_garment(garment: str, colour: str) -> str:
    """Under the art on the garment's colour."""
    return f"Auf {garment or 'dem Textil'} ({colour}), soweit ein Bildschirm es zeigt"


def pieces(count: int) -> str:
    """How many pieces."""
    return f"{numbers.number(count)} Stück"


def page_of(page: int, pages: int) -> str:
    """Page 1 of 2."""
    return f"Seite {page} von {pages}"


def message_subject(order: str, verdict: str, purchase_order: str) -> str:
    """The subject of a message about artwork."""
    own = f" (Ihre Nr. {purchase_order})" if purchase_order else ""
    what = "so ist das Motiv nicht druckbar" if verdict == "refuse" else "Rückfrage zu Ihrem Motiv"
    return f"Auftrag {order}{own}: {what}"


def greeting(customer: str) -> str:
    """How a message begins."""
    return f"Guten Tag {customer}," if customer else "Guten Tag,"


def message_opening(order: str, items: int, purchase_order: str) -> str:
    """What the message is about."""
    own = f" (Ihre Nr. {purchase_order})" if purchase_order else ""
    what = "einem Motiv" if items == 1 else f"{items} Motiven"
    return (
        f"vielen Dank für Ihren Auftrag {order}{own}. Vor dem Druck sehen wir uns jedes Motiv in seinem "
        f"Druckmaß an, damit weder Film noch Textil verloren geht. Zu {what} haben wir etwas zu fragen oder "
        "zu sagen:"
    )


def what_happens_next(asks: bool, refuses: bool) -> str:
    """What the customer may expect."""
    said = ["So geht es weiter:"]
    if asks:
        said.append(
            "Wo wir eine Rückfrage haben, wird nichts gedruckt, bevor Sie antworten. Bitte antworten Sie auf "
            "diese Nachricht, oder senden Sie eine verbesserte Datei unter demselben Namen auf demselben Weg."
        )
    if refuses:
        said.append(
            "Was nicht druckbar ist, wartet auf eine neue Datei: Bitte senden Sie sie unter demselben Namen "
            "auf demselben Weg; wir prüfen sie sofort."
        )
    return " ".join(said)


def others_go_on(count: int) -> str:
    """The other items of the order."""
    if count == 1:
        return "Das andere Motiv Ihres Auftrags ist in Ordnung und geht inzwischen weiter."
    return f"Die anderen {count} Motive Ihres Auftrags sind in Ordnung und gehen inzwischen weiter."


def reports_attached(count: int) -> str:
    """What is attached."""
    if count == 1:
        return "Der angehängte Prüfbericht zeigt Ihr Motiv mit den markierten Stellen."
    return f"Die {count} angehängten Prüfberichte zeigen Ihre Motive mit den markierten Stellen."


def see_report(name: str) -> str:
    """Which attachment shows it."""
    return f"Zu sehen in {name}."
