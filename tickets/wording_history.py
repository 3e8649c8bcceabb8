"""The history of an order in words: one plain sentence an event."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tickets.languages import make_spoken
from tickets.places import CANCELLED, DISPATCHED, NEW, SPOILED
from tickets.wording_floor import done_at, listed, pieces

Payload = Mapping[str, Any]  # of an event, as the ledger wrote it


def say_event(kind: str, subject: str, payload: Payload) -> str:
    """What happened. `subject` names the ticket, the item or the order that it happened to.

    A kind that is not known here (of a newer program) is told by its name, so that nothing is left out.
    """
    say = _SENTENCES.get(kind)
    return say(subject, payload) if say else f"{subject}: {kind.replace('-', ' ')}."


def say_item(item: int, artwork: str) -> str:
    """What something happened to, where it is an item."""
    return f"item {item} ({artwork})"


def _taken(subject: str, payload: Payload) -> str:
    items = len(payload.get("items", ()))
    return f"{subject} was taken with {items} {'item' if items == 1 else 'items'}."


def _revised(subject: str, payload: Payload) -> str:
    if payload.get("repairs"):
        done = listed([str(name) for name in payload["repairs"]])
        return f"The artwork of {subject} was repaired here ({done}){_revision(payload)}; it will be checked."
    if payload.get("resized_mm"):
        wide, high = payload["resized_mm"]
        return f"{subject} is printed at {wide:g} × {high:g} mm, as the customer agreed; it will be checked."
    return f"New artwork came for {subject}{_revision(payload)}; it will be checked."


def _judged(subject: str, payload: Payload) -> str:
    slug = f" ({payload['slug']})" if payload.get("slug") else ""
    checks = f": {listed([str(c) for c in payload.get('checks') or ()])}" if payload.get("checks") else ""
    if payload.get("remembered_from"):
        return f"{subject} was checked; the question was answered before by {payload['remembered_from']}."
    said = {"clear": "and is clear", "query": "and there is a question", "refuse": "and was refused"}
    verdict = said.get(str(payload.get("verdict")), "")
    if payload.get("standing") == "queried" and payload.get("verdict") == "clear":
        verdict = "and is clear, but there is a question about the order"
    kept = f"; it stays queried: {payload['kept']}" if payload.get("kept") else ""
    return f"{subject} was checked {verdict}{slug}{checks}{kept}.".replace(" .", ".")


def _issued(subject: str, payload: Payload) -> str:
    count = sum(move[4] for move in payload.get("moves", ()) if move[0] == NEW)
    if payload.get("further"):
        return f"{pieces(count)} more of {subject} {'was' if count == 1 else 'were'} ordered{_why(payload)}."
    return f"{subject} was issued for {pieces(count)}."


def _due_changed(subject: str, payload: Payload) -> str:
    was = f" (it was {payload['was']})" if payload.get("was") else ""
    return f"{subject} is due on {payload.get('due', '')}{was}{_why(payload)}."


def _scanned(subject: str, payload: Payload) -> str:
    moves, station = payload.get("moves", ()), str(payload.get("station", ""))
    here = [move for move in moves if move[0] == station]
    spoiled = sum(move[4] for move in here if move[2] == SPOILED)
    good = sum(move[4] for move in here) - spoiled
    said = [f"{pieces(good)} of {subject} {done_at(station)}"] if good else []
    if spoiled:
        said.append(f"{spoiled} of {subject} spoiled at {station}" if not good else f"{spoiled} spoiled")
    why = f" ({payload['why']})" if payload.get("why") else ""
    unseen = list(dict.fromkeys(str(move[0]) for move in moves if move[5]))
    inferred = f"; {listed(unseen)} booked unseen" if unseen else ""
    return f"{', '.join(said)}{why}{inferred}."


def _undone(subject: str, payload: Payload) -> str:
    moves = payload.get("moves", ())
    if any(move[2] == NEW for move in moves):
        return f"{subject} was withdrawn: the scan that it was made for was taken back."
    again = sum(move[4] for move in moves if move[2] == DISPATCHED and move[0] == SPOILED)
    if again:
        return f"The remake of {pieces(again)} of {subject} was taken back."
    station = payload.get("station", "")
    count = sum(move[4] for move in moves if move[2] == station)
    return f"The scan of {pieces(count)} of {subject} at {station} was taken back."


def _remade(subject: str, payload: Payload) -> str:
    count = sum(move[4] for move in payload.get("moves", ()))
    verb = "was" if count == 1 else "were"
    return f"{pieces(count)} of {subject} came back or {verb} short, and {verb} remade{_why(payload)}."


def _packed(subject: str, payload: Payload) -> str:
    by = payload.get("collected_by")
    collected = f"; it was collected by {by}" if by else ""
    return f"Packing slip {payload.get('slip', '')} of {subject} was made{collected}."


def _slip_voided(subject: str, payload: Payload) -> str:
    return f"Packing slip {payload.get('slip', '')} of {subject} became void: its dispatch was taken back."


def _parcel_added(subject: str, payload: Payload) -> str:
    sscc = f", SSCC {payload['sscc']}" if payload.get("sscc") else ""
    return f"Parcel {payload.get('parcel', '')} of {subject} was packed{_parcel_says(payload)}{sscc}."


def _parcel_changed(subject: str, payload: Payload) -> str:
    return f"Parcel {payload.get('parcel', '')} of {subject} was changed{_parcel_says(payload)}."


def _parcel_removed(subject: str, payload: Payload) -> str:
    return f"Parcel {payload.get('parcel', '')} of {subject} was taken out of the books."


def _parcel_says(payload: Payload) -> str:
    weight, consignment = payload.get("weight_g"), payload.get("consignment")
    said = [f"{weight / 1000:g} kg"] if isinstance(weight, int) else []
    said += [f"consignment {consignment}"] if consignment else []
    return f": {', '.join(said)}" if said else ""


def _shelved(subject: str, payload: Payload) -> str:
    place = payload.get("place")
    return f"{subject} was put on shelf {place}." if place else f"{subject} was taken off its shelf."


def _cancelled(subject: str, payload: Payload) -> str:
    count = sum(move[4] for move in payload.get("moves", ()) if move[2] == CANCELLED)
    return f"{pieces(count)} of {subject} {'was' if count == 1 else 'were'} cancelled{_why(payload)}."


def _laid(subject: str, payload: Payload) -> str:
    count = sum(move[4] for move in payload.get("moves", ()))
    verb = "was" if count == 1 else "were"
    return f"{pieces(count)} of {subject} {verb} laid into run {payload.get('run', '')}."


def _taken_out(subject: str, payload: Payload) -> str:
    count = sum(move[4] for move in payload.get("moves", ()))
    verb = "was" if count == 1 else "were"
    return f"{pieces(count)} of {subject} {verb} taken out of run {payload.get('run', '')}."


def _film_pinned(subject: str, payload: Payload) -> str:
    return f"{subject} is to stay in run {payload.get('run', '')}."


def _kept_out(subject: str, _payload: Payload) -> str:
    return f"{subject} is to be in no film plan."


def _film_free(subject: str, _payload: Payload) -> str:
    return f"{subject} may lie in any film plan again."


def _spares_used(subject: str, payload: Payload) -> str:
    count = payload.get("count", 0)
    took = "spare took a spoiled one's" if count == 1 else "spares took spoiled ones'"
    return f"{count} {took} place of {subject} at {payload.get('station', '')}{_why(payload)}."


def _size_kept(subject: str, _payload: Payload) -> str:
    return f"{subject} is printed as it was ordered: the customer wants no smaller size."


def _held(subject: str, payload: Payload) -> str:
    return f"{subject} was held{_why(payload)}."


def _hold_ended(subject: str, payload: Payload) -> str:
    return f"The hold on {subject} was ended{_note(payload)}."


def _released(subject: str, payload: Payload) -> str:
    kept = "; of this art it is not asked again" if payload.get("remembered") else ""
    return f"The question about {subject} was answered{_note(payload)}{kept}."


def _papered(subject: str, payload: Payload) -> str:
    return f"The paper of {subject} was made{_revision(payload)}."


def _print_asked(subject: str, _payload: Payload) -> str:
    return f"The paper of {subject} was sent to the printer once more."


def _printed(subject: str, _payload: Payload) -> str:
    return f"The paper of {subject} was printed."


def _reported(subject: str, payload: Payload) -> str:
    return f"The customer's report about {subject} was written{_revision(payload)}."


def _told(subject: str, payload: Payload) -> str:
    return f"The message to the customer of {subject} was written: {payload.get('told', '')}."


def _mailed(subject: str, payload: Payload) -> str:
    return f"The message to the customer of {subject} was sent: {payload.get('told', '')}."


def _not_mailed(subject: str, payload: Payload) -> str:
    why = _why(payload)
    return f"The message to the customer of {subject} was not sent: {payload.get('told', '')}{why}"


def _send_again(subject: str, payload: Payload) -> str:
    return f"The message to the customer of {subject} is sent once more: {payload.get('told', '')}."


def _link_made(subject: str, _payload: Payload) -> str:
    return f"The customer's link of {subject} was made."


def _link_off(subject: str, _payload: Payload) -> str:
    return f"The customer's link of {subject} was revoked."


def _dropped(subject: str, _payload: Payload) -> str:
    return f"The question about {subject} was dropped: nothing of it is left."


def _closed(subject: str, _payload: Payload) -> str:
    return f"{subject} was closed: nothing more is to be done."


def _reopened(subject: str, _payload: Payload) -> str:
    return f"{subject} was opened again."


def _why(payload: Payload) -> str:
    return f": {payload['why']}" if payload.get("why") else ""


def _note(payload: Payload) -> str:
    return f": {payload['note']}" if payload.get("note") else ""


def _revision(payload: Payload) -> str:
    revision = payload.get("revision", 1)
    return f" (artwork {revision})" if isinstance(revision, int) and revision > 1 else ""


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
    "size-kept": _size_kept,
    "spares-used": _spares_used,
    "film-pinned": _film_pinned,
    "film-kept-out": _kept_out,
    "film-free": _film_free,
    "held": _held,
    "hold-ended": _hold_ended,
    "released": _released,
    "papered": _papered,
    "print-asked": _print_asked,
    "printed": _printed,
    "reported": _reported,
    "told": _told,
    "mailed": _mailed,
    "not-mailed": _not_mailed,
    "send-again": _send_again,
    "link-made": _link_made,
    "link-off": _link_off,
    "question-dropped": _dropped,
    "closed": _closed,
    "reopened": _reopened,
}
KINDS: Sequence[str] = tuple(_SENTENCES)


make_spoken(__name__, de="tickets.german.history")
