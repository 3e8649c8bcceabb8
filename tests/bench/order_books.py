"""Books of any size for benches: invented customers, orders, items, tickets and pieces, from a seed."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import islice

from sqlalchemy import insert, text
from sqlmodel import Session, SQLModel

from tickets.codes import new_ticket_code
from tickets.models import Item, Lot, Movement, Order, Scan, SearchWord, Ticket
from tickets.search.terms import Searchable, order_lines, phone_digits, words_to_spell
from tickets.store import Store

NOW = datetime(2026, 12, 2, 10, 0, tzinfo=UTC)
STATIONS = ("print", "powder", "cure", "press", "dispatch")
_AT_ONCE = 5000

# Places that are nowhere, put together from syllables.
_OPENINGS = """
    al ar bar bel ber bram bur cal car cor dal den der dor el ern fal fen fur gal gar glen gor hal har hel
    hol ing jar kel ken kil lam lan lor lud mal mar mel mor nor oak or pel pen quar rad ram ros sal sel
    sher sol stan tal tam thorn tor ul val ver wal war wel wen wil yar yel zen
"""
_MIDDLES = ("a", "e", "i", "o", "u", "in", "er", "en", "ing", "is")
_ENDINGS = """
    ambo ask aulm bask bry dask dine dool eck elb fane fipp gask grelm hult ibbe jask kley lusk molm mord
    nask nolt omby osk pask plim quill rasp rusk skive spoll tolm trask ulm umber vask velm vost wym wusk
    yelt yorl zant zell
"""
_SURROUNDS = ("", "", "", "", "North", "South", "Upper", "Little", "Old", "Great", "Saint")
_KINDS = """
    Rowing Club|Bakery|Folk Band|Primary School|Brewery|Cycling Club|Scout Group|Choir|Football Club|
    Climbing Wall|Garden Centre|Bookshop|Coffee Roasters|Dance School|Swimming Club|Rugby Club|Brass Band|
    Cider Press|Yoga Studio|Hockey Club|Boat Yard|Theatre Company|Running Club|Plumbers|Electricians|
    Dog Rescue|Farm Shop|Cricket Club|Ramblers|Surf School|Market|Café|Pottery|Printmakers|Netball Club|
    Chess Club|Skate Park|Riding Stables|Mountain Rescue|Beekeepers|Puppet Theatre|Joinery|Fish Smokers|
    Canoe Club|Steam Railway|Observatory|Lifeboat Crew|Youth Orchestra|Tool Hire|Veterinary Practice
"""
_DESIGNS = """
    crest badge logo mountain wave star leavers tour band sleeve back chest heart lantern anchor fox otter
    heron oak acorn bicycle loaf wheat mug drum fiddle sail oar shield sunrise kite compass feather bee
"""
_MARKS = ("final", "v2", "v3", "print", "white", "new", "2026", "front", "large", "small", "blue", "text")
_COLOURS = ("navy", "black", "white", "red", "bottle green", "royal blue", "grey", "sand", "burgundy", "pink")
_GARMENTS = ("hoodie", "t-shirt", "polo shirt", "sweatshirt", "tote bag", "apron", "vest", "jacket", "cap")
_PLACEMENTS = ("left chest", "back", "front", "right sleeve", "neck")


@dataclass(frozen=True)
class BookCustomer:
    """An invented customer; phone numbers are of the ranges that are kept for fiction."""

    name: str
    email: str
    phone: str


@dataclass(frozen=True)
class BookOrder:
    """One invented order: what questions about it are made from, and what the right answer is told by."""

    order_id: int
    number: str
    purchase_order: str
    customer: BookCustomer
    due_at: datetime
    is_live: bool
    artworks: tuple[str, ...]
    garments: tuple[str, ...]
    placements: tuple[str, ...]
    codes: tuple[str, ...]
    quantities: tuple[int, ...]


@dataclass
class BookMaker:
    """Invents orders. `live` of them are not finished: the latest ones and a few that were left lying."""

    orders: int
    seed: int = 20261202
    live: int = 3000
    chance: random.Random = field(init=False)
    customers: list[BookCustomer] = field(init=False)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.customers = list(self._customers(max(20, self.orders // 15)))

    def invent(self) -> Iterator[BookOrder]:
        """The orders, oldest first."""
        codes: set[str] = set()
        for order_id in range(1, self.orders + 1):
            age = self.orders - order_id
            is_live = age < self.live * 0.95 or self.chance.random() < self.live * 0.05 / self.orders
            yield self._order(order_id, is_live, age, codes)

    def _order(self, order_id: int, is_live: bool, age: int, codes: set[str]) -> BookOrder:
        chance = self.chance
        # A few customers order every week, most now and then.
        customer = self.customers[int(len(self.customers) * chance.random() ** 2)]
        due = NOW + timedelta(days=chance.randint(-2, 20)) if is_live else NOW - timedelta(days=age / 40 + 1)
        items = chance.choice((1, 1, 1, 2, 3))
        own_codes: list[str] = []
        while len(own_codes) < items:
            code = new_ticket_code(chance)
            if code not in codes:
                codes.add(code)
                own_codes.append(code)
        word = customer.name.split()[0].lower()
        return BookOrder(
            order_id=order_id,
            number=f"OB-{1000 + order_id}",
            purchase_order=f"{chance.choice(('PO', 'KIT', 'W'))}-{chance.randint(1000, 99999)}"
            if chance.random() < 0.4
            else "",
            customer=customer,
            due_at=due.replace(hour=17, minute=0),
            is_live=is_live,
            artworks=tuple(self._artwork(word) for _ in range(items)),
            garments=tuple(f"{chance.choice(_COLOURS)} {chance.choice(_GARMENTS)}" for _ in range(items)),
            placements=tuple(chance.choice(_PLACEMENTS) for _ in range(items)),
            codes=tuple(own_codes),
            quantities=tuple(chance.choice((5, 10, 20, 25, 40, 60, 100)) for _ in range(items)),
        )

    def _artwork(self, customer_word: str) -> str:
        chance = self.chance
        parts = [chance.choice(_DESIGNS.split()), chance.choice(_MARKS)]
        if chance.random() < 0.5:
            parts.insert(0, customer_word)
        return chance.choice(("_", "-", " ")).join(parts) + chance.choice((".png", ".pdf", ".PNG", ".jpg"))

    def _customers(self, count: int) -> Iterator[BookCustomer]:
        chance, names = self.chance, set[str]()
        openings, endings, kinds = (
            _OPENINGS.split(),
            _ENDINGS.split(),
            "".join(_KINDS.splitlines()).split("|"),
        )
        while len(names) < count:
            place = chance.choice(openings) + chance.choice(_MIDDLES) + chance.choice(endings)
            name = " ".join(
                w for w in (chance.choice(_SURROUNDS), place.capitalize(), chance.choice(kinds).strip()) if w
            )
            if name in names:
                continue
            names.add(name)
            slug = "".join(c for c in name.lower() if c.isascii() and c.isalpha())
            local = chance.choice(("kit", "orders", "hello", "office", place))
            yield BookCustomer(name, f"{local}@{slug}.example", _phone(len(names)))


def _phone(number: int) -> str:
    """A number that is kept for fiction: of Ofcom's 01632 960xxx, or the NANP's 555-01xx of an area."""
    if number < 1000:
        return f"+44 1632 960{number:03}"
    area, line = divmod(number - 1000, 100)
    return f"+1 {200 + area % 800} 555 01{line:02}"


def write_books(store: Store, maker: BookMaker) -> list[BookOrder]:
    """Write the invented orders into empty books, as fast as the database takes them."""
    orders = maker.invent()
    written: list[BookOrder] = []
    while some := list(islice(orders, _AT_ONCE)):
        with store.writing() as session:
            _write(session, some)
        written += some
    return written


def _write(session: Session, orders: Sequence[BookOrder]) -> None:
    words: set[str] = set()
    rows: dict[type[SQLModel], list[dict[str, object]]] = {
        t: [] for t in (Order, Item, Ticket, Lot, Scan, Movement)
    }
    for order in orders:
        lines = order_lines(_searchable(order))
        words.update(words_to_spell(lines))
        rows[Order].append(_order_row(order, "\n".join(lines)))
        for at in range(len(order.codes)):
            _add_item(rows, order, at)
    for table, values in rows.items():
        if values:
            session.execute(insert(table), values)
    add = text(f"INSERT INTO {SearchWord.__tablename__} (word) VALUES (:word) ON CONFLICT DO NOTHING")
    session.execute(add, [{"word": word} for word in sorted(words)])


def _searchable(order: BookOrder) -> Searchable:
    customer = order.customer
    return Searchable(
        number=order.number,
        customer_name=customer.name,
        purchase_order=order.purchase_order,
        email=customer.email,
        phone=customer.phone,
        artworks=order.artworks,
        garments=(*order.garments, *order.placements),
    )


def _order_row(order: BookOrder, search_text: str) -> dict[str, object]:
    customer = order.customer
    document = json.dumps(
        {"order": order.number, "items": list(zip(order.artworks, order.garments, strict=True))}
    )
    return {
        "id": order.order_id,
        "number": order.number,
        "customer_name": customer.name,
        "customer_email": customer.email,
        "customer_phone": customer.phone,
        "phone_digits": phone_digits(customer.phone),
        "purchase_order": order.purchase_order,
        "due": f"{order.due_at:%Y-%m-%d}",
        "due_at": order.due_at,
        "document": document,
        "document_sha256": f"{order.order_id:064x}",
        "search_text": search_text,
        "taken_at": order.due_at - timedelta(days=10),
        "closed_at": None if order.is_live else order.due_at,
    }


def _add_item(rows: dict[type[SQLModel], list[dict[str, object]]], order: BookOrder, at: int) -> None:
    """One item with its ticket, where its pieces are, and the scan that brought them there."""
    row_id, quantity = order.order_id * 4 + at, order.quantities[at]
    rows[Item].append(
        {
            "id": row_id,
            "order_id": order.order_id,
            "number": at + 1,
            "artwork": order.artworks[at],
            "artwork_sha256": f"{row_id:064x}",
            "quantity": quantity,
            "service": "pressed",
            "garment": order.garments[at],
            "placement": order.placements[at],
            "standing": "accepted",
            "sizes": {},
            "order_queries": [],
            "findings": [],
            "measures": {},
        }
    )
    issued = order.due_at - timedelta(days=9)
    ticket = {
        "id": row_id,
        "code": order.codes[at],
        "item_id": row_id,
        "quantity": quantity,
        "issued_at": issued,
        "papered_revision": 1,
    }
    rows[Ticket].append(ticket)
    place = STATIONS[order.order_id % 5] if order.is_live else "dispatched"
    rows[Lot].append({"ticket_id": row_id, "place": place, "count": quantity})
    if place == STATIONS[0]:
        return
    before = STATIONS[-1] if place == "dispatched" else STATIONS[STATIONS.index(place) - 1]
    scan = {
        "id": row_id,
        "kind": "scan",
        "code": order.codes[at],
        "order_id": order.order_id,
        "station": before,
    }
    rows[Scan].append({**scan, "by": "Ines", "at": order.due_at - timedelta(days=1)})
    rows[Movement].append(
        {"scan_id": row_id, "ticket_id": row_id, "from_place": before, "to_place": place, "count": quantity}
    )
