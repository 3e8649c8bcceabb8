"""German: what a scan did, and why one can't be taken; of a problem, what is wrong and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tickets.german.numbers import number

_DONE_AT = {
    "print": "gedruckt",
    "powder": "gepulvert",
    "cure": "ausgehärtet",
    "press": "gepresst",
    "dispatch": "versandt",
}
_AT = {
    "print": "beim Drucken",
    "powder": "beim Pulvern",
    "cure": "beim Aushärten",
    "press": "beim Pressen",
    "dispatch": "im Versand",
}
_TO = {
    "print": "zum Drucken",
    "powder": "zum Pulvern",
    "cure": "zum Aushärten",
    "press": "zum Pressen",
    "dispatch": "in den Versand",
}
LABELS = {
    "print": "Drucken",
    "powder": "Pulvern",
    "cure": "Aushärten",
    "press": "Pressen",
    "dispatch": "Versand",
}
_ENDS = {"dispatched": "versandt", "spoiled": "Ausschuss", "cancelled": "storniert"}
_UNCHANGED = "Nichts wurde geändert."
Sentences = tuple[str, str]


def station_at(station: str) -> str:
    """Where pieces wait: beim Pressen; for a shop's own station: bei cut."""
    return _AT.get(station, f"bei {station}")


def station_to(station: str) -> str:
    """Where pieces go on to."""
    return _TO.get(station, f"zu {station}")


def beginning_at(station: str) -> str:
    """Where pieces begin anew."""
    return "mit dem Drucken" if station == "print" else station_at(station)


def station_name(station: str) -> str:
    """What a station is called in a list of stations."""
    return LABELS.get(station, station)


def pieces(count: int) -> str:
    """1 Stück, 2 Stück."""
    return f"{number(count)} Stück"


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
        where = _ENDS.get(place, station_at(place))
        said.append(f"{count} {where}" + (f" (im Filmlauf {run})" if run else ""))
    return ", ".join(said) or "es sind keine Stücke übrig"


def scanned(code: str, station: str, to: str, good: int, spoiled: int) -> str:
    """What a scan did, up to where the pieces go now."""
    if not good:
        return f"{spoiled} Stück von {code} {station_at(station)} Ausschuss."
    on = "" if to == "dispatched" else f", weiter {station_to(to)}"
    also = f"; {spoiled} Ausschuss" if spoiled else ""
    return f"{good} Stück von {code} {done_at(station)}{on}{also}."


def still_waits(count: int, station: str) -> str:
    """What a scan left at its station."""
    at = station_at(station)
    return f"{at[0].upper()}{at[1:]} {'wartet' if count == 1 else 'warten'} noch {count}."


def still_to_come(count: int) -> str:
    """What a dispatch left of its order."""
    return f"{count} Stück des Auftrags {'steht' if count == 1 else 'stehen'} noch aus."


def booked_unseen(stations: Sequence[str]) -> str:
    """What a catch-up booked without anybody having scanned it."""
    was = "war" if len(stations) == 1 else "waren"
    return f"Ausgelassen {was} {listed([station_name(one) for one in stations])}; das ist nachgebucht."


def starts_again(spoiled: int, first: str, reprint: str) -> str:
    """Where spoiled pieces are made again."""
    verb = "beginnt" if spoiled == 1 else "beginnen"
    return f"{pieces(spoiled)} {verb} {beginning_at(first)} neu, als {reprint}."


def garment_may_be_lost(garment_set: str) -> str:
    """The question behind a spoiled print on a garment that has other prints."""
    return f"Ist auch das Textil verloren? Andere Drucke von {garment_set!r} sind auf denselben Textilien."


def held_stay_behind(codes: Sequence[str]) -> str:
    """What a dispatch of an order left behind."""
    verb = "ist angehalten und bleibt" if len(codes) == 1 else "sind angehalten und bleiben"
    return f"{listed(codes)} {verb} zurück."


def taken_back(code: str, station: str, count: int, withdrawn: Sequence[str]) -> str:
    """What an undo did."""
    said = f"Der letzte Scan von {code} {station_at(station)} ist zurückgenommen: {pieces(count)} wie zuvor."
    if withdrawn:
        one = len(withdrawn) == 1
        which = "Der Nachdruck" if one else "Die Nachdrucke"
        gone = "entfällt; seinen" if one else "entfallen; ihre"
        said += f" {which} {listed(withdrawn)} {gone} Laufzettel weglegen."
    return said


def no_such_code(code: str) -> Sentences:
    """Nothing in the books is called so."""
    return (
        f"Einen Laufzettel, Filmlauf oder Auftrag {code} gibt es nicht.",
        "Auf der Seite „Wo ist es?“ suchen, mit irgendeinem Wort daraus.",
    )


def ticket_withdrawn(code: str, first: str) -> Sentences:
    """A reprint whose spoilage was taken back."""
    return (
        f"Der Nachdruck {code} entfiel mit dem zurückgenommenen Ausschuss auf {first}; er hat keine Stücke.",
        f"Seinen Laufzettel weglegen und {first} scannen.",
    )


def nothing_waits_here(code: str, station: str, where: str, *, may_catch_up: bool) -> Sentences:
    """A scan at a station where nothing waits."""
    do = (
        "Dort scannen, wo sie sind; wurden die Stationen davor nur ausgelassen, diese nachbuchen."
        if may_catch_up
        else f"{_UNCHANGED} Die Stücke dort scannen, wo sie sind."
    )
    return f"Von {code} wartet {station_at(station)} nichts: {where}.", do


def no_run_waits_here(run: str, station: str, where: str) -> Sentences:
    """A run scanned where none of it waits."""
    return (
        f"Vom Filmlauf {run} wartet {station_at(station)} nichts: {where}.",
        "Den Lauf dort scannen, wo er ist; ist der Film nach dem Aushärten geschnitten, seine Laufzettel.",
    )


def more_than_waits(code: str, station: str, asked: int, waits: int, where: str) -> Sentences:
    """More pieces than there are."""
    verb = "wartet" if waits == 1 else "warten"
    return (
        f"{pieces(asked)} von {code} {station_at(station)}, aber dort {verb} nur {waits}: {where}.",
        f"{_UNCHANGED} Noch einmal zählen, oder erst dort scannen, wo die anderen sind.",
    )


def pieces_in_a_run(code: str, runs: Sequence[str], where: str) -> Sentences:
    """A ticket scan of pieces that travel on a film."""
    named = listed(list(runs))
    return (
        f"Die Stücke von {code} sind im Filmlauf {named}: {where}.",
        f"{named} scannen; die Laufzettel erst, wenn der Film nach dem Aushärten geschnitten ist.",
    )


def run_takes_no_numbers(run: str) -> Sentences:
    """Numbers with a run code."""
    return (
        f"Der Filmlauf {run} ist ein Stück Film: er geht ganz weiter oder gar nicht.",
        "Ohne Zahl scannen; Ausschuss auf der Seite „Film“ buchen.",
    )


def scanned_in_a_run(code: str, run: str) -> Sentences:
    """An undo of a ticket whose last scan was its run's."""
    return (
        f"{code} wurde zuletzt mit seinem Filmlauf {run} gescannt.",
        f"{run} zurücknehmen, dann ist alles zurückgenommen.",
    )


def ticket_queried(code: str) -> Sentences:
    """A scan before the customer has answered."""
    return (
        f"Zu {code} ist eine Rückfrage beim Kunden offen.",
        "Im Büro klären, auf der Seite „Rückfragen“.",
    )


def ticket_unchecked(code: str) -> Sentences:
    """A scan while new artwork is being checked."""
    return (
        f"Für {code} ist ein neues Motiv gekommen und noch nicht geprüft.",
        "Gleich noch einmal versuchen; bleibt es so, nachsehen, ob filmdocket watch läuft.",
    )


def ticket_held(code: str, why: str) -> Sentences:
    """A scan of a held ticket."""
    return f"{code} ist angehalten: {why}.", "Das Büro gibt es frei."


def order_held(code: str, order: str, why: str) -> Sentences:
    """A scan of a ticket whose order is held."""
    return (
        f"{code} ist mit dem ganzen Auftrag {order} angehalten: {why}.",
        "Das Büro gibt ihn frei.",
    )


def bad_number(number: int) -> Sentences:
    """A number of pieces that can't be one."""
    return f"{number} ist keine Stückzahl.", "1 oder mehr angeben."


def nothing_asked() -> Sentences:
    """A scan of no pieces."""
    return "Ein Scan von null Stück sagt nichts.", "Die Zahl weglassen oder eine angeben."


def spoiled_needs_why(spoiled: int) -> Sentences:
    """Spoilage without a reason."""
    return f"{pieces(spoiled)} Ausschuss, aber kein Grund.", "Angeben, was passiert ist."


def no_ticket_yet(order: str) -> Sentences:
    """An order whose items are all unchecked or refused."""
    return (
        f"Keine Position von {order} hat einen Laufzettel: das Motiv ist noch nicht geprüft oder abgelehnt.",
        "Worauf er wartet, steht unter „Wo ist es?“.",
    )


def part_dispatch(order: str, behind: int) -> Sentences:
    """A dispatch that would split an order."""
    verb = "ist" if behind == 1 else "sind"
    return (
        f"{pieces(behind)} von {order} {verb} noch nicht im Versand: so ginge nur ein Teil hinaus.",
        "Auf den Rest warten; eine Teillieferung macht das Büro, mit einem Grund.",
    )


def part_needs_why(order: str) -> Sentences:
    """A part dispatch without a reason."""
    return f"Ein Teil von {order} ginge hinaus, aber ohne Grund.", "Den Grund angeben."


def order_at_dispatch_only(order: str, last: str) -> Sentences:
    """An order number at a station of the line."""
    return (
        f"Ein ganzer Auftrag wird nur {station_at(last)} gescannt; {order} ist eine Auftragsnummer.",
        "Stattdessen die Laufzettel des Auftrags scannen.",
    )


def which_ticket(order: str, codes: Sequence[str]) -> Sentences:
    """Numbers with an order number."""
    tickets = listed(list(codes)) or "keiner, der noch Stücke hat"
    return (
        f"Zahlen und Nachbuchen gehören zu einem Laufzettel; {order} ist ein Auftrag. Seine: {tickets}.",
        "Den gemeinten Laufzettel scannen.",
    )


def moved_on(code: str, where: str) -> Sentences:
    """An undo that comes too late."""
    return (
        f"Stücke von {code} sind seither weitergegangen: {where}.",
        f"{_UNCHANGED} Zuerst die späteren Scans zurücknehmen; Storniertes bleibt storniert.",
    )


def nothing_to_undo(code: str) -> Sentences:
    """An undo with nothing before it."""
    return f"Von {code} ist kein Scan mehr zurückzunehmen.", _UNCHANGED


def key_too_long(most: int) -> Sentences:
    """An idempotency key that is no key but a text."""
    return f"Ein Schlüssel hat höchstens {most} Zeichen.", "Einen kurzen nehmen."


def key_used(key: str) -> Sentences:
    """An idempotency key that belongs to another scan."""
    return (
        f"Der Schlüssel {key!r} gehört schon zu einem anderen Scan.",
        "Für jeden Scan einen neuen nehmen.",
    )


def run_is_no_order(run: str) -> Sentences:
    """A run code where a ticket or an order is meant."""
    return (
        f"{run} ist ein Filmlauf mit Stücken mehrerer Laufzettel.",
        "Den Laufzettel oder den Auftrag nennen.",
    )


def nothing_to_cancel(code: str, where: str) -> Sentences:
    """A cancellation of what is gone already."""
    return f"Von {code} ist nichts in der Fertigung: {where}.", _UNCHANGED


def more_to_cancel(code: str, asked: int, waiting: int, where: str) -> Sentences:
    """A cancellation of more pieces than there are."""
    verb = "ist" if waiting == 1 else "sind"
    return (
        f"{pieces(asked)} von {code} stornieren geht nicht, nur {waiting} {verb} übrig: {where}.",
        f"{_UNCHANGED} Eine kleinere Zahl angeben, oder keine für alles, was übrig ist.",
    )


def needs_why(act: str) -> Sentences:
    """An act of the desk without its reason."""
    done = {"hold": "Zum Anhalten", "cancel": "Zum Stornieren"}.get(act, "Für diese Änderung")
    return f"{done} fehlt der Grund.", "Den Grund angeben."


def needs_name() -> Sentences:
    """A release by nobody."""
    return "Eine Freigabe braucht den Namen dessen, der sie gibt.", "Den Namen angeben."


def not_queried(code: str) -> Sentences:
    """A repair of artwork that nobody asks about."""
    return (
        f"Zu {code} ist keine Rückfrage offen: ausgebessert werden nur Motive mit einer Rückfrage.",
        "Unter „Wo ist es?“ nachsehen, wie es steht.",
    )


def artwork_changed(code: str) -> Sentences:
    """New artwork came in while the old one was being repaired."""
    return (
        f"Für {code} kam ein neues Motiv, während das alte ausgebessert wurde; nichts wurde gebucht.",
        "Das neue Motiv ansehen und, wenn nötig, dieses ausbessern.",
    )


def already_held(code: str, why: str) -> Sentences:
    """A hold on what is held."""
    return f"{code} ist schon angehalten: {why}.", "Erst freigeben, wenn der Grund ein anderer ist."


def nothing_to_hold(code: str) -> Sentences:
    """A hold on what is gone already."""
    return f"Von {code} ist nichts mehr anzuhalten.", _UNCHANGED


def nothing_to_release(code: str, order: str, order_held_why: str | None) -> Sentences:
    """A release of what is neither queried nor held."""
    if order_held_why is not None and code != order:
        return (
            f"{code} selbst ist nicht angehalten, sondern der ganze Auftrag {order}: {order_held_why}.",
            f"{order} freigeben.",
        )
    return f"{code} hat weder eine offene Rückfrage noch ist es selbst angehalten.", _UNCHANGED


def artwork_not_usable(code: str, slug: str) -> Sentences:
    """A release of a question whose latest artwork can't be printed."""
    return (
        f"Das zuletzt gekommene Motiv für {code} ist nicht druckbar ({slug or 'abgelehnt'}).",
        "Den Kunden um eine druckbare Datei bitten; freigegeben würde nichts gedruckt.",
    )
