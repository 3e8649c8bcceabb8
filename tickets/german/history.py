"""German: the history of an order, one plain sentence an event."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from tickets.german.floor import done_at, listed, pieces, station_at, station_name
from tickets.german.general import day
from tickets.german.mends import REPAIR_NAMES
from tickets.german.numbers import short
from tickets.places import CANCELLED, DISPATCHED, NEW, SPOILED

Payload = Mapping[str, Any]  # of an event, as the ledger wrote it


def say_event(kind: str, subject: str, payload: Payload) -> str:
    """What happened. `subject` names the ticket, the item or the order that it happened to."""
    say = _SENTENCES.get(kind)
    return say(subject, payload) if say else f"{subject}: {kind.replace('-', ' ')}."


def say_item(item: int, artwork: str) -> str:
    """What something happened to, where it is an item."""
    return f"Position {item} ({artwork})"


def _count(payload: Payload, what: Callable[[Any], bool] = lambda _: True) -> int:
    return sum(move[4] for move in payload.get("moves", ()) if what(move))


def _taken(subject: str, payload: Payload) -> str:
    items = len(payload.get("items", ()))
    return f"{subject} angenommen, mit {items} {'Position' if items == 1 else 'Positionen'}."


def _revised(subject: str, payload: Payload) -> str:
    if payload.get("repairs"):
        done = listed([REPAIR_NAMES.get(str(name), str(name)) for name in payload["repairs"]])
        return f"Motiv von {subject} hier ausgebessert ({done}){_revision(payload)}; es wird geprüft."
    if payload.get("resized_mm"):
        wide, high = payload["resized_mm"]
        size = f"{short(wide)} × {short(high)} mm"
        return f"{subject} wird mit {size} gedruckt, wie mit dem Kunden vereinbart; es wird geprüft."
    return f"Neues Motiv für {subject}{_revision(payload)}; es wird geprüft."


def _judged(subject: str, payload: Payload) -> str:
    from tickets.german.general import check_title

    if payload.get("remembered_from"):
        return f"{subject} geprüft; die Rückfrage hat {payload['remembered_from']} früher schon beantwortet."
    said = {"clear": "in Ordnung", "query": "Rückfrage", "refuse": "abgelehnt"}
    verdict = said.get(str(payload.get("verdict")), "")
    if payload.get("standing") == "queried" and payload.get("verdict") == "clear":
        verdict = "in Ordnung, aber Rückfrage zum Auftrag"
    checks = [check_title(str(check)) for check in payload.get("checks") or ()]
    about = f" ({listed(checks)})" if checks else ""
    slug = f" [{payload['slug']}]" if payload.get("slug") else ""
    kept = f"; die Rückfrage bleibt: {payload['kept']}" if payload.get("kept") else ""
    return f"{subject} geprüft: {verdict}{about}{slug}{kept}."


def _issued(subject: str, payload: Payload) -> str:
    count = _count(payload, lambda move: bool(move[0] == NEW))
    if payload.get("further"):
        return f"{pieces(count)} mehr von {subject} bestellt{_why(payload)}."
    return f"{subject} ausgestellt über {pieces(count)}."


def _due_changed(subject: str, payload: Payload) -> str:
    was = f" (vorher {day(str(payload['was']))})" if payload.get("was") else ""
    return f"{subject} ist fällig am {day(str(payload.get('due', '')))}{was}{_why(payload)}."


def _scanned(subject: str, payload: Payload) -> str:
    moves, station = payload.get("moves", ()), str(payload.get("station", ""))
    here = [move for move in moves if move[0] == station]
    spoiled = sum(move[4] for move in here if move[2] == SPOILED)
    good = sum(move[4] for move in here) - spoiled
    said = [f"{pieces(good)} von {subject} {done_at(station)}"] if good else []
    if spoiled:
        said.append(
            f"{spoiled} Ausschuss" if good else f"{spoiled} von {subject} {station_at(station)} Ausschuss"
        )
    why = f" ({payload['why']})" if payload.get("why") else ""
    unseen = list(dict.fromkeys(str(move[0]) for move in moves if move[5]))
    inferred = f"; {listed([station_name(one) for one in unseen])} nachgebucht" if unseen else ""
    return f"{', '.join(said)}{why}{inferred}."


def _undone(subject: str, payload: Payload) -> str:
    moves = payload.get("moves", ())
    if any(move[2] == NEW for move in moves):
        return f"{subject} entfällt: der Scan, zu dem es gehörte, ist zurückgenommen."
    again = _count(payload, lambda move: bool(move[2] == DISPATCHED and move[0] == SPOILED))
    if again:
        return f"Neuanfertigung von {pieces(again)} von {subject} zurückgenommen."
    station = str(payload.get("station", ""))
    count = _count(payload, lambda move: bool(move[2] == station))
    return f"Scan von {pieces(count)} von {subject} {station_at(station)} zurückgenommen."


def _remade(subject: str, payload: Payload) -> str:
    return (
        f"{pieces(_count(payload))} von {subject} kamen zurück oder fehlten; neu angefertigt{_why(payload)}."
    )


def _packed(subject: str, payload: Payload) -> str:
    by = payload.get("collected_by")
    return (
        f"Lieferschein {payload.get('slip', '')} von {subject} "
        f"erstellt{f'; abgeholt von {by}' if by else ''}."
    )


def _slip_voided(subject: str, payload: Payload) -> str:
    return f"Lieferschein {payload.get('slip', '')} von {subject} ungültig: der Versand ist zurückgenommen."


def _parcel_added(subject: str, payload: Payload) -> str:
    sscc = f", SSCC {payload['sscc']}" if payload.get("sscc") else ""
    return f"Paket {payload.get('parcel', '')} von {subject} gepackt{_parcel_says(payload)}{sscc}."


def _parcel_changed(subject: str, payload: Payload) -> str:
    return f"Paket {payload.get('parcel', '')} von {subject} geändert{_parcel_says(payload)}."


def _parcel_removed(subject: str, payload: Payload) -> str:
    return f"Paket {payload.get('parcel', '')} von {subject} ausgetragen."


def _parcel_says(payload: Payload) -> str:
    weight, consignment = payload.get("weight_g"), payload.get("consignment")
    said = [f"{short(weight / 1000)} kg"] if isinstance(weight, int) else []
    said += [f"Sendungsnummer {consignment}"] if consignment else []
    return f": {', '.join(said)}" if said else ""


def _shelved(subject: str, payload: Payload) -> str:
    place = payload.get("place")
    return f"{subject} liegt im Fach {place}." if place else f"{subject} aus dem Fach genommen."


def _cancelled(subject: str, payload: Payload) -> str:
    count = _count(payload, lambda move: bool(move[2] == CANCELLED))
    return f"{pieces(count)} von {subject} storniert{_why(payload)}."


def _laid(subject: str, payload: Payload) -> str:
    return f"{pieces(_count(payload))} von {subject} in den Lauf {payload.get('run', '')} gelegt."


def _taken_out(subject: str, payload: Payload) -> str:
    return f"{pieces(_count(payload))} von {subject} aus dem Lauf {payload.get('run', '')} genommen."


def _film_pinned(subject: str, payload: Payload) -> str:
    return f"{subject} soll im Lauf {payload.get('run', '')} bleiben."


def _spares_used(subject: str, payload: Payload) -> str:
    count, station = payload.get("count", 0), str(payload.get("station", ""))
    took = "Reservestück ersetzt" if count == 1 else "Reservestücke ersetzen"
    return f"{count} {took} Ausschuss von {subject} {station_at(station)}{_why(payload)}."


def _released(subject: str, payload: Payload) -> str:
    kept = "; zu diesem Motiv wird nicht mehr gefragt" if payload.get("remembered") else ""
    return f"Rückfrage zu {subject} beantwortet{_note(payload)}{kept}."


def _told(subject: str, payload: Payload) -> str:
    return f"Nachricht an den Kunden von {subject} geschrieben: {_kind(payload)}."


def _mailed(subject: str, payload: Payload) -> str:
    return f"Nachricht an den Kunden von {subject} gesandt: {_kind(payload)}."


def _not_mailed(subject: str, payload: Payload) -> str:
    return f"Nachricht an den Kunden von {subject} nicht gesandt: {_kind(payload)}{_why(payload)}"


def _send_again(subject: str, payload: Payload) -> str:
    return f"Nachricht an den Kunden von {subject} wird noch einmal gesandt: {_kind(payload)}."


def _kind(payload: Payload) -> str:
    from tickets.german.messages import KINDS

    told = str(payload.get("told", ""))
    return KINDS.get(told, told)


def _plain(words: str) -> Callable[[str, Payload], str]:
    return lambda subject, _payload: words.format(subject=subject)


def _why(payload: Payload) -> str:
    return f": {payload['why']}" if payload.get("why") else ""


def _note(payload: Payload) -> str:
    return f": {payload['note']}" if payload.get("note") else ""


def _revision(payload: Payload) -> str:
    revision = payload.get("revision", 1)
    return f" (Fassung {revision})" if isinstance(revision, int) and revision > 1 else ""


_SENTENCES: Mapping[str, Callable[[str, Payload], str]] = {
    "taken": _taken,
    "revised": _revised,
    "judged": _judged,
    "issued": _issued,
    "due-changed": _due_changed,
    "scanned": _scanned,
    "undone": _undone,
    "remade": _remade,
    "packed": _packed,
    "slip-voided": _slip_voided,
    "parcel-added": _parcel_added,
    "parcel-changed": _parcel_changed,
    "parcel-removed": _parcel_removed,
    "shelved": _shelved,
    "cancelled": _cancelled,
    "laid-in-run": _laid,
    "taken-out-of-run": _taken_out,
    "size-kept": _plain("{subject} wird wie bestellt gedruckt: der Kunde will kein kleineres Maß."),
    "spares-used": _spares_used,
    "film-pinned": _film_pinned,
    "film-kept-out": _plain("{subject} soll in keinen Filmplan."),
    "film-free": _plain("{subject} darf wieder in jeden Filmplan."),
    "held": lambda subject, payload: f"{subject} angehalten{_why(payload)}.",
    "hold-ended": lambda subject, payload: f"{subject} nicht mehr angehalten{_note(payload)}.",
    "released": _released,
    "papered": lambda subject, payload: f"Laufzettel von {subject} erstellt{_revision(payload)}.",
    "print-asked": _plain("Laufzettel von {subject} noch einmal an den Drucker gesandt."),
    "printed": _plain("Laufzettel von {subject} gedruckt."),
    "reported": lambda subject, payload: f"Prüfbericht zu {subject} geschrieben{_revision(payload)}.",
    "told": _told,
    "mailed": _mailed,
    "not-mailed": _not_mailed,
    "send-again": _send_again,
    "link-made": _plain("Link für den Kunden von {subject} erstellt."),
    "link-off": _plain("Link für den Kunden von {subject} gesperrt."),
    "question-dropped": _plain("Rückfrage zu {subject} entfällt: nichts davon ist übrig."),
    "closed": _plain("{subject} abgeschlossen: nichts ist mehr zu tun."),
    "reopened": _plain("{subject} wieder geöffnet."),
}
