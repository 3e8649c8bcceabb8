"""Orders find their artwork: in their own folder or zip, in an earlier order, or among what came before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from intake.inbox.arrivals import (
    REFUSED,
    EarlierArtwork,
    artwork_of_order,
    booked_document,
    recent_artwork,
)
from intake.inbox.contents import Artwork, OrderFile, Unpacked, is_order_name
from intake.inbox.listing import Entry
from intake.inbox.matching import match_name
from intake.inbox.rounds import Round, name_key
from intake.inbox.zipping import Member, is_zip_name
from intake.naming import shown_path
from intake.order.draft import Wanted
from intake.shop import Shop

MISSING, AMBIGUOUS = "artwork-missing", "artwork-ambiguous"


@dataclass(frozen=True, slots=True)
class OrderSource:
    """An order that is to be taken: a file of the inbox, or a member of a zip there."""

    entry: Entry
    member: Member | None
    file: OrderFile

    @property
    def number(self) -> str:
        """The order's number."""
        return self.file.document.order


@dataclass(frozen=True, slots=True)
class Candidate:
    """A file that an order may mean. `sha256`: "" until it is claimed; `why_not`: it is not to be had yet."""

    entry: Entry
    member: Member | None = None
    sha256: str = ""
    why_not: str = ""

    @property
    def name(self) -> str:
        """Its file name."""
        return self.member.name if self.member else self.entry.name


@dataclass(frozen=True, slots=True)
class Found:
    """The artwork that an item means: a file that lies there, or bytes that came before (`how` tells)."""

    candidate: Candidate | None = None
    sha256: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class Lack:
    """Why an order cannot have an artwork yet."""

    says: str
    slug: str = ""


def find_artwork(round_: Round, source: OrderSource, wanted: Wanted) -> Found | Lack:
    """The artwork that an order names, or what it waits for."""
    if wanted.of_order:
        return _in_earlier_order(round_, wanted)
    lying = _lying_there(round_, source, wanted)
    if lying is not None:
        return lying
    booked = round_.recall(booked_document, source.number)
    if booked == source.file.document.sha256():
        # The same order again: without artwork of its own it means the one that it has.
        known = round_.recall(artwork_of_order, source.number) or ()
        again = match_name(wanted.name, _each_once(known), lambda a: a.name)
        if again.one:
            return Found(sha256=again.one.sha256)
    return _came_before(round_, source, wanted)


def _in_earlier_order(round_: Round, wanted: Wanted) -> Found | Lack:
    earlier = round_.recall(artwork_of_order, wanted.of_order)
    if earlier is None:
        return Lack(
            f"It waits for order {wanted.of_order}, whose {wanted.name} it names: it is not in the books.",
            MISSING,
        )
    match = match_name(wanted.name, _each_once(earlier), lambda a: a.name)
    if match.one:
        return Found(sha256=match.one.sha256, how=f"{wanted.name} is that of order {wanted.of_order}.")
    if match.several:
        return Lack(f"Order {wanted.of_order} has several artworks that {wanted.name} could mean.", AMBIGUOUS)
    has = ", ".join(sorted({a.name for a in earlier}))
    return Lack(f"Order {wanted.of_order} has no artwork {wanted.name}; it has {has}.", MISSING)


def _each_once(artworks: Sequence[EarlierArtwork]) -> list[EarlierArtwork]:
    return list({(a.name, a.sha256): a for a in artworks}.values())


def _lying_there(round_: Round, source: OrderSource, wanted: Wanted) -> Found | Lack | None:
    for place in _places(round_, source):
        match = match_name(wanted.name, place, lambda c: c.name)
        if match.several:
            names = " or ".join(shown_path(c.name) for c in match.several)
            return Lack(
                f"It waits: {wanted.name} could mean {names}. Leave only the right one there.", AMBIGUOUS
            )
        if match.one and match.one.why_not:
            return Lack(f"It waits for {shown_path(match.one.name)}: {match.one.why_not}", "")
        if match.one:
            return Found(match.one, match.one.sha256)
    return None


def _places(round_: Round, source: OrderSource) -> list[list[Candidate]]:
    """Where an order's artwork may lie, nearest first."""
    beside = [c for e in round_.listing.beside(source.entry.folder) if (c := _candidate(round_, e))]
    in_zips = [
        c
        for e in round_.listing.beside(source.entry.folder)
        if e.path != source.entry.path
        for c in _members(round_, e)
    ]
    if source.member is None:
        return [beside, in_zips]
    own = _members(round_, source.entry)
    near = [c for c in own if c.member and c.member.folder == source.member.folder]
    return [near, own, beside, in_zips]


def _candidate(round_: Round, entry: Entry) -> Candidate | None:
    """A file beside an order, as artwork; None for orders and zips, and for what nobody can name."""
    if is_order_name(entry.name) or is_zip_name(entry.name):
        return None
    known = round_.memory.done.get(entry.path)
    if known is not None and known.fingerprint == entry.fingerprint.as_text():
        if known.standing == REFUSED:
            return Candidate(entry, why_not=known.says)
        return Candidate(entry, sha256=known.sha256)
    if entry.path in round_.settled and isinstance(round_.contents_of(entry.path), Artwork):
        return Candidate(entry)
    hold = round_.holds.get(entry.path)
    return Candidate(entry, why_not=hold.says if hold else entry.ignored or "it is still changing.")


def _members(round_: Round, entry: Entry) -> list[Candidate]:
    contents = round_.contents_of(entry.path) if entry.path in round_.settled else None
    if not isinstance(contents, Unpacked):
        return []
    return [Candidate(entry, member, member.claimed.sha256) for member in contents.files]


def _came_before(round_: Round, source: OrderSource, wanted: Wanted) -> Found | Lack:
    """Artwork that came with an earlier order, when none has come with this one for a while."""
    settings = round_.shop.settings.intake
    path = source.entry.path
    slug = MISSING if round_.is_due(path, settings.artwork_grace_seconds) else ""
    lack = Lack(f"It waits for its artwork {wanted.name}, which is not in the same folder.", slug)
    if not round_.company_is_over(path) or is_company_coming(round_, source.entry.folder):
        return lack
    earlier = round_.recall(_came_lately, shown_path(source.entry.folder), name_key(wanted.name))
    if not earlier:
        return lack
    if len(earlier) > 1:
        return Lack(
            f"It waits for {wanted.name}: {len(earlier)} different files of that name came lately, none with "
            "this order. Drop the right one beside it.",
            AMBIGUOUS,
        )
    whose = f"came with order {earlier[0].order}" if earlier[0].order else "came earlier"
    return Found(sha256=earlier[0].sha256, how=f"Its {wanted.name} is the one that {whose}.")


def _came_lately(shop: Shop, folder: str, name: str) -> list[EarlierArtwork]:
    since = shop.clock() - timedelta(days=shop.settings.intake.reuse_days)
    return recent_artwork(shop, folder, name, since)


def is_company_coming(round_: Round, folder: str) -> bool:
    """Whether something in a folder is still settling that may be the missing partner."""
    return any(e.path in round_.settling_now for e in round_.listing.beside(folder))
