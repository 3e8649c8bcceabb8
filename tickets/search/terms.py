"""What of an order can be searched: a line of folded terms a field, and the words worth mending."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import pairwise
from pathlib import PurePosixPath

from tickets.folding import fold, fold_joined

LONGEST_TERM = 60  # letters; what is cut off beyond tells no two orders apart
_LETTERS_OR_DIGITS = re.compile(r"\d+|[^\d\s]+")
MOST_LINES = 200  # an order of more different artworks and garments is found by the first so many


class Line(IntEnum):
    """Which line of an order's search text holds which field; artworks and garments follow in any number."""

    NUMBER = 0
    CUSTOMER = 1
    PURCHASE_ORDER = 2
    EMAIL = 3
    PHONE = 4
    FIRST_ITEM = 5


@dataclass(frozen=True, slots=True)
class Searchable:
    """The fields of one order that a caller may name, as they were written."""

    number: str
    customer_name: str
    purchase_order: str = ""
    email: str = ""
    phone: str = ""
    artworks: tuple[str, ...] = ()
    garments: tuple[str, ...] = ()  # descriptions and placements
    parcels: tuple[str, ...] = ()  # consignment numbers and shipping codes


def order_lines(order: Searchable) -> tuple[str, ...]:
    """The lines of an order's search text, by `Line`: folded words, then the joined forms of them."""
    items = [_terms(stem_and_kind(name), whole="".join(stem_and_kind(name))) for name in order.artworks]
    items += [_terms(fold(garment).split(), pairs=True) for garment in order.garments]
    return (
        _terms(number_terms(order.number), whole=fold_joined(order.number)),
        _terms(fold(order.customer_name).split(), pairs=True, whole=fold_joined(order.customer_name)),
        _terms(number_terms(order.purchase_order), whole=fold_joined(order.purchase_order)),
        _terms(fold(order.email).split(), whole=fold_joined(order.email)),
        phone_digits(order.phone),
        *[line for line in dict.fromkeys(items) if line][:MOST_LINES],
        *[_terms(number_terms(parcel), whole=fold_joined(parcel)) for parcel in order.parcels[:MOST_LINES]],
    )


def words_to_spell(lines: Sequence[str]) -> tuple[str, ...]:
    """The terms that slips are forgiven in, sorted: names, and the phone number for those who say half of it.

    Numbers of orders and files are left out: each is its order's own, and a near one is another order's.
    """
    words = {term for line in lines for term in line.split() if not has_digit(term)}
    words.update(t for at in (Line.CUSTOMER, Line.EMAIL, Line.PHONE) for t in lines[at].split())
    return tuple(sorted(words))


def stem_and_kind(file_name: str) -> list[str]:
    """The folded words of a file's name, its ending last."""
    return fold(PurePosixPath(file_name.replace("\\", "/")).name).split()


def phone_digits(phone: str) -> str:
    """The digits of a phone number as one term, or "" when there are none."""
    return "".join(str(int(c)) for c in phone if c.isdecimal())[:LONGEST_TERM]


def has_digit(term: str) -> bool:
    """Whether a term holds a digit: it then names a number of something rather than a word."""
    return any(c.isdigit() for c in term)


def joined_pairs(words: Sequence[str]) -> list[str]:
    """Neighbouring words written as one: "otter bank rowing" gives "otterbank" and "bankrowing"."""
    return [a + b for a, b in pairwise(words)]


def number_terms(number: str) -> list[str]:
    """The terms of an order's number: "OB0042/b" is also called "ob 0042 b" and "42"."""
    pieces = [piece for word in fold(number).split() for piece in _LETTERS_OR_DIGITS.findall(word)]
    return [*pieces, *(piece.lstrip("0") for piece in pieces if piece.startswith("0") and piece.strip("0"))]


def _terms(words: Sequence[str], *, pairs: bool = False, whole: str = "") -> str:
    """The words, the pairs of them, and last the whole as one word: an order's very number is told by it."""
    terms = [*words, *(joined_pairs(words) if pairs else []), whole]
    cut = [term[:LONGEST_TERM] for term in terms if term]
    return " ".join(reversed(dict.fromkeys(reversed(cut))))
