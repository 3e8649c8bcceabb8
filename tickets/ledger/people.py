"""Who works here and may be named on scans: added, given a PIN, removed; of PINs only hashes are kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, update
from sqlmodel import Session, col, select

from tickets import wording_people as wording
from tickets.folding import fold
from tickets.ledger.books import plain_words
from tickets.lookup.answers import utc_text
from tickets.models_people import Person, SignIn, WrongPin
from tickets.pins import hash_pin, read_pin, require_good
from tickets.problems import BadInput, NotFound, ShopProblem
from tickets.store import Store

LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class PersonAnswer:
    """Somebody who may be named; `added_at` None: a name of the settings alone."""

    name: str
    has_pin: bool
    added_at: datetime | None = None

    def as_json(self) -> dict[str, Any]:
        """Plain values for `people list --json`."""
        return {"name": self.name, "pin": self.has_pin, "added": utc_text(self.added_at)}


class PeopleBook:
    """Everybody who may be named: those of the books, and the names in the settings (`shop.people`)."""

    def __init__(self, store: Store, named: Sequence[str], clock: Callable[[], datetime]) -> None:
        self._store = store
        self._named = {fold(name): name for name in named}
        self._clock = clock

    def people(self) -> list[PersonAnswer]:
        """All of them, by name."""
        with self._store.reading() as session:
            rows = session.exec(select(Person).where(col(Person.removed_at).is_(None))).all()
            found = {row.name_key: _answer(row) for row in rows}
        others = {key: PersonAnswer(name, has_pin=False) for key, name in self._named.items()}
        return [answer for _, answer in sorted({**others, **found}.items())]

    def find(self, name: str) -> PersonAnswer:
        """Somebody by name, however it is written. Raises NotFound `person-not-known`."""
        with self._store.reading() as session:
            row = find_person(session, fold(name))
            if row is not None:
                return _answer(row)
        if fold(name) in self._named:
            return PersonAnswer(self._named[fold(name)], has_pin=False)
        raise NotFound(
            "person-not-known", wording.person_not_known(name[:LONGEST_NAME]), "See: filmdocket people list"
        )

    def knows(self, name: str) -> bool:
        """Whether somebody of that name may be named, however it is written."""
        with self._store.reading() as session:
            return fold(name) in self._named or find_person(session, fold(name)) is not None

    def add(self, name: str, pin: str = "") -> PersonAnswer:
        """Name somebody new; "" is no PIN.

        Raises BadInput `name-not-usable`, `pin-not-read`, `pin-too-plain`, ShopProblem `person-known`.
        """
        name = " ".join(plain_words(name).split())
        if not fold(name) or len(name) > LONGEST_NAME:
            raise BadInput("name-not-usable", wording.name_not_usable(name), "Name the person as all do.")
        kept = _kept_of(pin)
        with self._store.writing() as session:
            if find_person(session, fold(name)) is not None:
                raise ShopProblem("person-known", wording.person_known(name), "Add a letter of the surname.")
            row = Person(name=name, name_key=fold(name), pin_hash=kept, added_at=self._clock())
            session.add(row)
            return _answer(row)

    def set_pin(self, name: str, pin: str) -> PersonAnswer:
        """Give somebody another PIN, or none (""), and end all waiting for wrong ones.

        A name of the settings comes into the books with it. Raises NotFound `person-not-known`, and BadInput
        as `add` does.
        """
        known = self.find(name)
        kept = _kept_of(pin)
        with self._store.writing() as session:
            row = find_person(session, fold(known.name))
            if row is None:
                row = Person(name=known.name, name_key=fold(known.name), added_at=self._clock())
            row.pin_hash = kept
            session.add(row)
            self._sign_out(session, row)
            return _answer(row)

    def remove(self, name: str) -> PersonAnswer:
        """Nobody signs in by that name any more; the history keeps it.

        Raises NotFound `person-not-known`, ShopProblem `person-in-settings`.
        """
        known = self.find(name)
        if fold(known.name) in self._named:
            raise ShopProblem(
                "person-in-settings", wording.in_settings(known.name), "Take the name out there."
            )
        with self._store.writing() as session:
            row = find_person(session, fold(known.name))
            if row is not None:
                row.removed_at = self._clock()
                self._sign_out(session, row)
        return known

    def _sign_out(self, session: Session, person: Person) -> None:
        """Out everywhere, and no wrong PIN counts any more."""
        is_open = (col(SignIn.name_key) == person.name_key) & col(SignIn.ended_at).is_(None)
        session.execute(update(SignIn).where(is_open).values(ended_at=self._clock()))
        session.execute(delete(WrongPin).where(col(WrongPin.person_id) == person.id))


def find_person(session: Session, name_key: str) -> Person | None:
    """The row of somebody who is still here."""
    asked = select(Person).where(Person.name_key == name_key, col(Person.removed_at).is_(None))
    return session.exec(asked).first()


def _kept_of(pin: str) -> str:
    if not pin:
        return ""
    read = read_pin(pin)
    require_good(read)
    return hash_pin(read)


def _answer(row: Person) -> PersonAnswer:
    return PersonAnswer(row.name, bool(row.pin_hash), row.added_at)
