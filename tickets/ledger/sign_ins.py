"""Who is signed in at which device: by name or with a PIN, one at a time, until signed out or long idle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete
from sqlmodel import Session, col, select

from config.settings_pages import People
from tickets import wording_people as wording
from tickets.folding import fold
from tickets.ledger.inserting import insert_unless_there
from tickets.ledger.people import PeopleBook, PersonAnswer, find_person
from tickets.models import Device
from tickets.models_people import SignIn, WrongPin
from tickets.pins import FORGOTTEN_AFTER, is_pin, read_pin, wait_after
from tickets.problems import ShopProblem
from tickets.store import Store

_SEEN_EVERY = timedelta(seconds=20)  # a write for every scan would be a waste


class PinRefused(ShopProblem):
    """A wrong PIN, or one that is missing; `wait` until the next may be tried."""

    http_status = 403

    def __init__(self, slug: str, says: str, do: str, wait: timedelta = timedelta()) -> None:
        super().__init__(slug, says, do)
        self.wait = wait


class PinLocked(PinRefused):
    """Nobody may try at the moment."""

    http_status = 429


@dataclass(frozen=True, slots=True)
class AtDevice:
    """Who is signed in; `left` until signed out for want of anything done, None where that never happens."""

    name: str
    left: timedelta | None = None


class SignInBook:
    """Signs people in and out at devices, as the settings of people want it."""

    def __init__(
        self, store: Store, settings: People, people: PeopleBook, clock: Callable[[], datetime]
    ) -> None:
        self._store = store
        self._settings = settings
        self._people = people
        self._clock = clock

    def needs_pin(self, person: PersonAnswer) -> bool:
        """Whether somebody must type a PIN in this shop."""
        return self._settings.pin == "always" or (self._settings.pin == "own" and person.has_pin)

    def sign_in(self, device_id: int, name: str, pin: str = "") -> PersonAnswer:
        """Somebody is at a device from now on, in place of whoever was.

        Raises NotFound `person-not-known`, BadInput `pin-not-read`, PinRefused `pin-wanted`, `pin-not-set`,
        `pin-wrong`, PinLocked `pin-locked`.
        """
        person = self._people.find(name)
        if self.needs_pin(person):
            self._require_pin(device_id, person, pin)
        now, key = self._clock(), fold(person.name)
        with self._store.writing() as session:
            session.exec(select(Device.id).where(Device.id == device_id).with_for_update()).one()
            self._end(session, device_id)
            session.add(SignIn(device_id=device_id, name=person.name, name_key=key, at=now, seen_at=now))
        return person

    def sign_out(self, device_id: int) -> None:
        """Nobody is at a device any more."""
        with self._store.writing() as session:
            self._end(session, device_id)

    def at_device(self, device_id: int, *, is_doing: bool = False) -> AtDevice:
        """Who is at a device now; `is_doing`: something is being done there at this moment."""
        now = self._clock()
        with self._store.reading() as session:
            row = _open_row(session, device_id)
            if row is None or self._is_idle(row, now):
                return AtDevice("", self._idle)
            name, seen_at = row.name, row.seen_at
        if is_doing and now - seen_at > min(_SEEN_EVERY, (self._idle or _SEEN_EVERY) / 4):
            seen_at = now
            with self._store.writing() as session:
                row = _open_row(session, device_id)
                if row is not None and row.name == name:
                    row.seen_at = now
        return AtDevice(name, seen_at + self._idle - now if self._idle else None)

    def require_vouched(self, device_id: int, name: str) -> None:
        """A device may name whom it likes, save those who need a PIN and never signed in on it.

        Somebody who is signed out by now counts: scans that were kept arrive later, with the name of then.
        Raises ShopProblem `sign-in-needed`.
        """
        if self._settings.pin == "never":
            return
        key = fold(name)
        with self._store.reading() as session:
            row = find_person(session, key)
            if self._settings.pin == "own" and (row is None or not row.pin_hash):
                return
            was_here = select(SignIn.id).where(SignIn.device_id == device_id, SignIn.name_key == key)
            if session.exec(was_here).first() is None:
                raise sign_in_needed(name)

    @property
    def _idle(self) -> timedelta | None:
        minutes = self._settings.idle_minutes
        return timedelta(minutes=minutes) if minutes else None

    def _is_idle(self, row: SignIn, now: datetime) -> bool:
        return self._idle is not None and now - row.seen_at >= self._idle

    def _end(self, session: Session, device_id: int) -> None:
        row = _open_row(session, device_id)
        if row is not None:
            row.ended_at = self._clock()
            session.add(row)
            session.flush()  # before another one of the device comes in

    def _require_pin(self, device_id: int, person: PersonAnswer, typed: str) -> None:
        if not person.has_pin:
            raise PinRefused("pin-not-set", wording.pin_not_set(person.name), wording.set_one(person.name))
        if not typed:
            raise PinRefused("pin-wanted", wording.pin_wanted(person.name), wording.TYPE_IT)
        pin = read_pin(typed)
        person_id, kept, tries = self._count_try(device_id, person)
        if not is_pin(kept, pin):
            wait = wait_after(tries)
            raise PinRefused("pin-wrong", wording.pin_wrong(person.name), wording.try_after(wait), wait)
        with self._store.writing() as session:
            session.execute(delete(WrongPin).where(_tries_of(person_id, device_id)))

    def _count_try(self, device_id: int, person: PersonAnswer) -> tuple[int, str, int]:
        """Count a try before it is judged, so that many at once are not judged for the price of one."""
        now = self._clock()
        with self._store.writing() as session:
            row = find_person(session, fold(person.name))
            if row is None or row.id is None:
                raise PinRefused("pin-wrong", wording.pin_wrong(person.name), wording.try_after(timedelta()))
            first = WrongPin(person_id=row.id, device_id=device_id, tries=1, last_at=now)
            if insert_unless_there(session, first, ("person_id", "device_id")):
                return row.id, row.pin_hash, 1
            asked = select(WrongPin).where(_tries_of(row.id, device_id)).with_for_update()
            counted = session.exec(asked).one()
            left = counted.last_at + wait_after(counted.tries) - now
            if left > timedelta():
                raise PinLocked("pin-locked", wording.pin_locked(row.name), wording.try_after(left), left)
            counted.tries = 1 if now - counted.last_at > FORGOTTEN_AFTER else counted.tries + 1
            counted.last_at = now
            return row.id, row.pin_hash, counted.tries


def sign_in_needed(name: str) -> ShopProblem:
    """A scan that names nobody, or somebody who did not sign in."""
    return ShopProblem("sign-in-needed", wording.not_signed_in(name), wording.SIGN_IN_FIRST)


def _open_row(session: Session, device_id: int) -> SignIn | None:
    asked = select(SignIn).where(SignIn.device_id == device_id, col(SignIn.ended_at).is_(None))
    return session.exec(asked).first()


def _tries_of(person_id: int, device_id: int) -> ColumnElement[bool]:
    return (col(WrongPin.person_id) == person_id) & (col(WrongPin.device_id) == device_id)
