"""Messages that are due: put into words, written whole into the outbox, and only then noted."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from intake.durable import write_whole
from intake.faults import reach
from intake.letters.templating import Template, find_template
from intake.naming import in_log, safe_name
from intake.shop import Shop
from tickets import wording
from tickets.languages import as_the_house_speaks
from tickets.ledger.links import LinkBook
from tickets.lookup import order_answer
from tickets.lookup.items import items_of
from tickets.lookup.packing import SlipAnswer, order_ship_to, order_slips, sent_with
from tickets.lookup.telling import TellingAnswer, dispatched_by, due_tellings
from tickets.wording_floor import listed

if TYPE_CHECKING:
    from tickets.lookup import OrderAnswer
    from tickets.lookup.items import ItemPage

_log = logging.getLogger(__name__)


def write_due_messages(shop: Shop) -> list[Path]:
    """Write every message that is due into `outbox/<order>/`; returns what was written.

    May be done twice, and by two programs at once: the same message gets the same name. One that cannot be
    written is told in the log, stays due, and keeps no other one waiting.
    """
    written = []
    for due in due_tellings(shop.store, shop.clock()):
        try:
            written.append(_write_message(shop, due))
        except Exception:
            _log.exception("event=message-failed order=%s kind=%s", in_log(due.order), due.kind)
    return written


def message_file(due: TellingAnswer) -> str:
    """The name of a message's file: its kind; what may happen more than once has a mark of its own."""
    return f"{due.kind}.eml" if due.kind == "received" else f"{due.kind}-{safe_name(due.about)}.eml"


@as_the_house_speaks()
def _write_message(shop: Shop, due: TellingAnswer) -> Path:
    from intake.report.message import Envelope, compose_mail, recipient_of

    order = order_answer(shop.store, shop.settings, due.order, shop.clock())
    words = _template(shop.folder, due.kind, due.order).words(facts_of(shop, due, order))
    writer = shop.settings.shop
    at = due.at.astimezone(writer.zone)
    envelope = Envelope(writer.name, writer.email, order.customer, order.email, due.order, at)
    path = shop.outbox / safe_name(due.order) / message_file(due)
    write_whole(path, compose_mail(envelope, words.subject, words.body))
    reach("message-written")
    address = recipient_of(order.customer, order.email)
    shop.ledger.note_told(due.telling_id, path.name, address)
    _log.info("event=message-written order=%s kind=%s", in_log(due.order), due.kind)
    return path


def query_words(folder: Path, order: str) -> Callable[[Mapping[str, Any]], tuple[str, str]]:
    """The shop's words for a question about artwork, for `compose_message`."""
    template = _template(folder, "query", order)

    def words(parts: Mapping[str, Any]) -> tuple[str, str]:
        said = template.words(parts)
        return said.subject, said.body

    return words


def _template(folder: Path, kind: str, order: str) -> Template:
    trial = find_template(folder, kind)
    if trial.problem is not None:
        _log.warning(
            "event=template-wrong kind=%s order=%s why=%s", kind, in_log(order), in_log(trial.problem.says)
        )
    return trial.template


def facts_of(shop: Shop, due: TellingAnswer, order: OrderAnswer) -> dict[str, Any]:
    """What a template may name."""
    own = shop.settings.shop
    items = items_of(shop.store, due.order)
    facts: dict[str, Any] = {
        "shop": own.name,
        "order": due.order,
        "customer": _one_line(order.customer),
        "purchase_order": _one_line(order.purchase_order),
        "due": order.due_says,
        "signature": "\n".join(part for part in (own.name, own.email, own.phone) if part),
        "link": _link(shop, due.order),
        "items": [_item(item, item.quantity) for item in items],
    }
    if due.kind == "released":
        facts["items"] = [_item(i, i.quantity) for i in items if i.number in due.facts["items"]]
    if due.kind == "ready":
        facts["items"] = _items(items, _waiting(order))
    if due.kind == "ready":
        facts["ship_to"] = _ship_to(shop, due.order)
    if due.kind == "dispatched":
        facts["items"] = _items(items, dispatched_by(shop.store, list(due.facts["scans"])))
        facts |= {"follows": _items(items, _waiting(order)), **_dispatch_facts(shop, due)}
    if due.kind == "late":
        facts |= {
            "new_day": _day(date.fromisoformat(due.facts["day"]), shop.clock()),
            "why": due.facts["why"],
        }
    return facts


def _dispatch_facts(shop: Shop, due: TellingAnswer) -> dict[str, Any]:
    """The parcels' numbers, who came, whether it is the rest, and whether only the numbers are news."""
    slips = sent_with(shop.store, list(due.facts["scans"]))
    numbers = [_one_line(p.consignment) for slip in slips for p in slip.parcels if p.consignment]
    who = [_one_line(slip.collected_by) for slip in slips if slip.collected_by]
    return {
        "consignments": list(dict.fromkeys(numbers)),
        "parcels": sum(len(slip.parcels) for slip in slips),
        "collected_by": listed(list(dict.fromkeys(who))),
        "only_numbers": "slip" in due.facts,
        "is_rest": _went_before(shop, due.order, slips),
    }


def _went_before(shop: Shop, order: str, slips: Sequence[SlipAnswer]) -> bool:
    """Whether something of the order left the house before these dispatches."""
    first = min((slip.number for slip in slips), default=0)
    return any(slip.voided_at is None and slip.number < first for slip in order_slips(shop.store, order))


def _ship_to(shop: Shop, order: str) -> list[str]:
    return [_one_line(line) for line in order_ship_to(shop.store, order)]


def _link(shop: Shop, order: str) -> str:
    """Where the customer sees how far the order is; "" unless customers can reach the pages."""
    links = shop.settings.links
    if not (links.on and links.address):
        return ""
    return LinkBook(shop.store, shop.clock).make(order).at(links.address)


def _waiting(order: OrderAnswer) -> dict[int, int]:
    """How many pieces of each item are still in the house; of one that is being checked all are."""
    left: dict[int, int] = {}
    for ticket in order.tickets:
        left[ticket.item] = left.get(ticket.item, 0) + sum(ticket.waiting.values())
    for item in order.unchecked_items:
        left.setdefault(item.item, item.quantity)
    return left


def _items(items: list[ItemPage], counts: Mapping[int, int]) -> list[dict[str, Any]]:
    return [_item(item, counts[item.number]) for item in items if counts.get(item.number)]


def _item(item: ItemPage, count: int) -> dict[str, Any]:
    return {
        "number": item.number,
        "artwork": _one_line(item.artwork),
        "pieces": wording.pieces(count),
        "placement": _one_line(item.placement),
        "garment": _one_line(item.garment),
    }


def _day(day: date, now: datetime) -> str:
    said = wording.day(day)
    return said.removesuffix(f" {day.year}") if day.year == now.year else said


def _one_line(text: str) -> str:
    """What a customer wrote, without controls: it must not look like a part of the message."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:300]
