"""The sentences of a scan in German. What makes a problem gives two sentences: what is wrong, what to do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

_DONE_AT = {
    "print": "gedruckt",
    "powder": "gepulvert",
    "cure": "eingebrannt",
    "press": "gepresst",
    "dispatch": "versandt",
}
_ENDS = {"dispatched": "versandt", "spoiled": "Ausschuss", "cancelled": "storniert"}
_UNCHANGED = "Nichts wurde geändert."
Sentences = tuple[str, str]


def pieces(count: int) -> str:
    """1 Stück, 2 Stück."""
    return f"{count} Stück"


def done_at(station: str) -> str:
    """What a station does to pieces, as a word."""
    return _DONE_AT.get(station, f"bei {station} erledigt")


def listed(words: Sequence[str]) -> str:
    """a, b und c."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} und {words[-1]}" if words else ""


def places(spots: Iterable[tuple[str, str, int]]) -> str:
    """Where pieces are: 30 bei print (im Filmlauf R01X), 8 versandt."""
    said = []
    for place, run, count in spots:
        where = _ENDS.get(place, f"bei {place}")
        said.append(f"{count} {where}" + (f" (im Filmlauf {run})" if run else ""))
    return ", ".join(said) or "es sind keine Stücke übrig"


def scanned(code: str, station: str, to: str, good: int, spoiled: int) -> str:
    """What a scan did, up to where the pieces go now."""
    if not good:
        return f"{spoiled} Stück von {code} bei {station} Ausschuss."
    on = "" if to == "dispatched" else f", weiter zu {to}"
    also = f"; {spoiled} Ausschuss" if spoiled else ""
    return f"{good} Stück von {code} {done_at(station)}{on}{also}."


def still_waits(count: int, station: str) -> str:
    """What a scan left at its station."""
    return f"Bei {station} {'wartet' if count == 1 else 'warten'} noch {count}."


def still_to_come(count: int) -> str:
    """What a dispatch left of its order."""
    return f"{count} Stück des Auftrags {'steht' if count == 1 else 'stehen'} noch aus."


def booked_unseen(stations: Sequence[str]) -> str:
    """What a catch-up booked without anybody having scanned it."""
    was = "war" if len(stations) == 1 else "waren"
    return f"Ausgelassen {was} {listed(stations)}; das ist nachgebucht."


def starts_again(spoiled: int, first: str, reprint: str) -> str:
    """Where spoiled pieces are made again."""
    verb = "beginnt" if spoiled == 1 else "beginnen"
    return f"{spoiled} Stück {verb} bei {first} von vorn, als {reprint}."


def garment_may_be_lost(garment_set: str) -> str:
    """The question behind a spoiled print on a garment that has other prints."""
    return f"Ist auch das Kleidungsstück verloren? Andere Drucke von {garment_set!r} sind auf denselben."


def held_stay_behind(codes: Sequence[str]) -> str:
    """What a dispatch of an order left behind."""
    verb = "ist angehalten und bleibt" if len(codes) == 1 else "sind angehalten und bleiben"
    return f"{listed(codes)} {verb} zurück."


def taken_back(code: str, station: str, count: int, withdrawn: Sequence[str]) -> str:
    """What an undo did."""
    said = f"Der letzte Scan von {code}, bei {station}, ist zurückgenommen: {count} Stück sind wie zuvor."
    if withdrawn:
        said += f" Der Nachdruck {listed(withdrawn)} entfällt; leg seinen Zettel weg."
    return said


def no_such_code(code: str) -> Sentences:
    """Nothing in the books is called so."""
    return (
        f"In den Büchern ist kein Zettel, Filmlauf oder Auftrag {code}.",
        "Such ihn auf der Seite „Wo ist es“ mit irgendeinem Wort, das du davon weißt.",
    )


def ticket_withdrawn(code: str, first: str) -> Sentences:
    """A reprint whose spoilage was taken back."""
    return (
        f"Der Nachdruck {code} entfiel mit dem zurückgenommenen Ausschuss auf {first}; er hat keine Stücke.",
        f"Leg seinen Zettel weg und scanne {first}.",
    )


def nothing_waits_here(code: str, station: str, where: str, *, may_catch_up: bool) -> Sentences:
    """A scan at a station where nothing waits."""
    do = (
        "Scanne dort, wo sie sind; wurden die Stationen davor nur ausgelassen, lass sie nachbuchen."
        if may_catch_up
        else f"{_UNCHANGED} Scanne die Stücke dort, wo sie sind."
    )
    return f"Von {code} wartet nichts bei {station}: {where}.", do


def no_run_waits_here(run: str, station: str, where: str) -> Sentences:
    """A run scanned where none of it waits."""
    return (
        f"Vom Filmlauf {run} wartet nichts bei {station}: {where}.",
        "Scanne den Filmlauf dort, wo er ist; ist sein Film hinter dem Einbrennen geschnitten, seine Zettel.",
    )


def more_than_waits(code: str, station: str, asked: int, waits: int, where: str) -> Sentences:
    """More pieces than there are."""
    verb = "wartet" if waits == 1 else "warten"
    return (
        f"{asked} Stück von {code} bei {station}, aber dort {verb} nur {waits}: {where}.",
        f"{_UNCHANGED} Zähl noch einmal, oder scanne zuerst dort, wo die anderen sind.",
    )


def pieces_in_a_run(code: str, runs: Sequence[str], where: str) -> Sentences:
    """A ticket scan of pieces that travel on a film."""
    named = listed(list(runs))
    return (
        f"Die Stücke von {code} sind im Filmlauf {named}: {where}.",
        f"Scanne {named}; die Zettel erst, wenn der Film hinter dem Einbrennen geschnitten ist.",
    )


def run_takes_no_numbers(run: str) -> Sentences:
    """Numbers with a run code."""
    return (
        f"Der Filmlauf {run} ist ein Stück Film: er geht ganz weiter oder gar nicht.",
        "Scanne ihn ohne Zahl; Ausschuss wird auf den Zetteln gebucht, wenn der Film geschnitten ist.",
    )


def scanned_in_a_run(code: str, run: str) -> Sentences:
    """An undo of a ticket whose last scan was its run's."""
    return (
        f"{code} wurde zuletzt mit seinem Filmlauf {run} gescannt.",
        f"Nimm {run} zurück, dann ist alles zurückgenommen.",
    )


def ticket_queried(code: str) -> Sentences:
    """A scan before the customer has answered."""
    return (
        f"Zu {code} ist eine Frage an den Kunden noch offen.",
        "Am Tisch wird sie beantwortet, auf der Seite „Fragen“.",
    )


def ticket_unchecked(code: str) -> Sentences:
    """A scan while new artwork is being checked."""
    return (
        f"Für {code} ist ein neues Motiv gekommen und noch nicht geprüft.",
        "Versuch es gleich noch einmal; bleibt es so, sieh nach, ob filmdocket watch läuft.",
    )


def ticket_held(code: str, why: str) -> Sentences:
    """A scan of a held ticket."""
    return f"{code} ist angehalten: {why}.", "Am Tisch wird es freigegeben."


def order_held(code: str, order: str, why: str) -> Sentences:
    """A scan of a ticket whose order is held."""
    return (
        f"{code} ist mit dem ganzen Auftrag {order} angehalten: {why}.",
        "Am Tisch wird er freigegeben.",
    )


def bad_number(number: int) -> Sentences:
    """A number of pieces that can't be one."""
    return f"{number} ist keine Stückzahl.", "Gib 1 oder mehr an."


def nothing_asked() -> Sentences:
    """A scan of no pieces."""
    return "Ein Scan von null Stück sagt nichts.", "Lass die Zahl weg, oder gib eine an."


def spoiled_needs_why(spoiled: int) -> Sentences:
    """Spoilage without a reason."""
    return f"{spoiled} Stück Ausschuss, aber kein Grund.", "Sag, was geschehen ist."


def no_ticket_yet(order: str) -> Sentences:
    """An order whose items are all unchecked or refused."""
    return (
        f"Keine Position von {order} hat einen Zettel: ihr Motiv ist noch nicht geprüft oder abgelehnt.",
        "Worauf er wartet, steht auf der Seite „Wo ist es“.",
    )


def part_dispatch(order: str, behind: int) -> Sentences:
    """A dispatch that would split an order."""
    verb = "ist" if behind == 1 else "sind"
    return (
        f"{behind} Stück von {order} {verb} noch nicht beim Versand: so ginge nur ein Teil hinaus.",
        "Warte auf den Rest; ein Teil wird am Tisch versandt, mit einem Grund.",
    )


def part_needs_why(order: str) -> Sentences:
    """A part dispatch without a reason."""
    return f"Ein Teil von {order} ginge hinaus, aber ohne Grund.", "Sag den Grund."


def order_at_dispatch_only(order: str, last: str) -> Sentences:
    """An order number at a station of the line."""
    return (
        f"Ein ganzer Auftrag wird nur bei {last} gescannt; {order} ist eine Auftragsnummer.",
        "Scanne stattdessen die Zettel des Auftrags.",
    )


def which_ticket(order: str, codes: Sequence[str]) -> Sentences:
    """Numbers with an order number."""
    tickets = listed(list(codes)) or "keiner, der noch Stücke hat"
    return (
        f"Zahlen und Nachbuchen gehören zu einem Zettel; {order} ist ein Auftrag. Seine Zettel: {tickets}.",
        "Scanne den Zettel, der gemeint ist.",
    )


def moved_on(code: str, where: str) -> Sentences:
    """An undo that comes too late."""
    return (
        f"Stücke von {code} sind seither weitergegangen: {where}.",
        f"{_UNCHANGED} Nimm zuerst die späteren Scans zurück; was storniert ist, bleibt es.",
    )


def nothing_to_undo(code: str) -> Sentences:
    """An undo with nothing before it."""
    return f"Von {code} ist kein Scan mehr zurückzunehmen.", _UNCHANGED


def key_too_long(most: int) -> Sentences:
    """An idempotency key that is no key but a text."""
    return f"Ein Schlüssel hat höchstens {most} Zeichen.", "Nimm einen kurzen."


def key_used(key: str) -> Sentences:
    """An idempotency key that belongs to another scan."""
    return (
        f"Der Schlüssel {key!r} gehört schon zu einem anderen Scan.",
        "Nimm für jeden Scan einen neuen.",
    )
