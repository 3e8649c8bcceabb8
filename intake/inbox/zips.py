"""A zip is done when all of its orders are: then it leaves the inbox, and what no order named is noted."""

from __future__ import annotations

from intake.inbox.arrivals import CONFLICT, DUPLICATE, REFUSED, TAKEN, WAITING, Fate, fates_in_zip
from intake.inbox.contents import Broken, Unpacked
from intake.inbox.listing import Entry
from intake.inbox.refusing import write_refused
from intake.inbox.rounds import Hold, Round
from intake.inbox.zipping import Member
from intake.naming import shown_path


def member_path(entry: Entry, member: Member) -> str:
    """The path by which the books know a file of a zip: as if the zip were a folder."""
    return f"{entry.path}/{member.path}"


def fates_of(round_: Round, entry: Entry) -> dict[str, Fate]:
    """What became of the files of a zip so far, by path, also before the daemon was last started."""
    mark = entry.fingerprint.as_text()
    if mark not in round_.memory.fates:
        round_.memory.fates[mark] = fates_in_zip(round_.shop, mark)
    return round_.memory.fates[mark]


def finish_zips(round_: Round) -> None:
    """Refuse broken orders of each zip; hold the zip while orders in it wait, else be done with it."""
    for path, entry in list(round_.settled.items()):
        contents = round_.contents_of(path)
        if isinstance(contents, Unpacked):
            with round_.one_file(entry):
                _finish(round_, entry, contents)


def _finish(round_: Round, entry: Entry, contents: Unpacked) -> None:
    fates = fates_of(round_, entry)
    for member, order in contents.orders:
        if isinstance(order, Broken) and member_path(entry, member) not in fates:
            _refuse(round_, entry, member, order)
    waiting = round_.pending.get(entry.path, [])
    if waiting:
        says = " ".join(f"Order {hold.order} in it: {hold.says}" for hold in waiting)
        slug = next((hold.slug for hold in waiting if hold.slug), "")
        round_.hold(entry, Hold(WAITING, says, slug, waiting[0].order))
        return
    if not fates:
        names = ", ".join(shown_path(m.name) for m in contents.files[:5])
        round_.hold(entry, Hold(WAITING, f"It waits for an order that names a file in it: {names}."))
        return
    _be_done(round_, entry, contents)


def _refuse(round_: Round, entry: Entry, member: Member, order: Broken) -> None:
    path = member_path(entry, member)
    says = f"{order.says} {order.do}".strip()
    write_refused(round_.shop, path, member.claimed.sha256, REFUSED, says)
    hold = Hold(REFUSED, says, order.slug)
    note = round_.note_of(entry, hold, member.claimed.sha256, path, member.claimed.size)
    round_.shop.ledger.note_arrival(note)
    fates_of(round_, entry)[path] = Fate(REFUSED)
    round_.booked()


def _be_done(round_: Round, entry: Entry, contents: Unpacked) -> None:
    fates = fates_of(round_, entry)
    of_orders = {fate.standing for path, fate in fates.items() if path in _order_paths(entry, contents)}
    standing = of_orders.pop() if len(of_orders) == 1 else TAKEN
    orders = sorted({fate.order for fate in fates.values() if fate.order})
    rest = [m for m in contents.files if member_path(entry, m) not in fates]
    for member in rest:
        says = f"It came in {shown_path(entry.name)}; no order has named it yet."
        path = member_path(entry, member)
        note = round_.note_of(entry, Hold(TAKEN, says), member.claimed.sha256, path, member.claimed.size)
        round_.shop.ledger.note_arrival(note)
    hold = Hold(
        standing, _says(standing, orders, rest), "zip-refused" if standing == REFUSED else "", _one(orders)
    )
    round_.shop.ledger.note_arrival(round_.note_of(entry, hold, contents.claimed.sha256))
    round_.finish(entry, standing, contents.claimed.sha256, hold.says, hold.slug)
    round_.memory.fates.pop(entry.fingerprint.as_text(), None)


def _order_paths(entry: Entry, contents: Unpacked) -> set[str]:
    return {member_path(entry, member) for member, _ in contents.orders}


def _one(orders: list[str]) -> str:
    return orders[0] if len(orders) == 1 else ""


def _says(standing: str, orders: list[str], rest: list[Member]) -> str:
    named = ", ".join(orders)
    says = {
        TAKEN: f"Unpacked and taken: order {named}." if len(orders) == 1 else f"Unpacked and taken: {named}.",
        DUPLICATE: f"The same again: order {named} was taken before.",
        CONFLICT: f"Order {named} is in the books with other content: a person has to decide.",
        REFUSED: "The order in it cannot be read; see the note beside it in refused/.",
    }[standing]
    if not rest:
        return says
    files = f"{len(rest)} further files in it are" if len(rest) > 1 else "One further file in it is"
    return f"{says} {files} not named by any order."
