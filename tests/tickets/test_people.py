"""People sign in at devices by name or PIN; nobody tries PINs through, and no scan carries a wrong name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as some
from sqlmodel import select

from config.settings_pages import People
from tests.stores import Home
from tests.tickets.test_concurrency import at_once
from tickets import pins
from tickets.ledger.devices import DeviceBook
from tickets.ledger.people import PeopleBook
from tickets.ledger.sign_ins import PinLocked, PinRefused, SignInBook
from tickets.models_people import Person, SignIn
from tickets.problems import BadInput, NotFound, ShopProblem
from tickets.store import Store
from tickets.wording_people import say_wait

PIN, OTHER = "4071", "9926"


@dataclass
class House:
    """Books with two devices, and a clock that the test moves."""

    store: Store
    now: datetime = datetime(2026, 12, 1, 12, tzinfo=UTC)
    pin: str = "own"
    idle_minutes: float = 0.0
    devices: list[int] = field(default_factory=list)

    @property
    def people(self) -> PeopleBook:
        """Who may be named."""
        return PeopleBook(self.store, ("Tomek",), lambda: self.now)

    @property
    def sign_ins(self) -> SignInBook:
        """Who is signed in."""
        settings = People(pin=self.pin, name_needed=False, idle_minutes=self.idle_minutes)  # type: ignore[arg-type]
        return SignInBook(self.store, settings, self.people, lambda: self.now)

    def wrong(self, device: int = 0, times: int = 1) -> list[float]:
        """Type a wrong PIN of Ines; how many seconds each time makes her wait."""
        waits = []
        for _ in range(times):
            with pytest.raises(PinRefused) as refused:
                self.sign_ins.sign_in(self.devices[device], "Ines", OTHER)
            waits.append(refused.value.wait.total_seconds())
        return waits

    def at(self, device: int = 0) -> str:
        """Who is at a device."""
        return self.sign_ins.at_device(self.devices[device]).name


@pytest.fixture
def house(home: Home, monkeypatch: pytest.MonkeyPatch) -> Iterator[House]:
    """Ines with a PIN in the books, Tomek in the settings; hashes are made fast for the test."""
    from argon2 import PasswordHasher

    monkeypatch.setattr(pins, "_hasher", lambda: PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    opened = home.open()
    made = House(opened)
    book = DeviceBook(opened, lambda: made.now)
    made.devices = [book.let_in(book.new_code("station"))[1].id for _ in range(2)]
    made.people.add("Ines", PIN)
    yield made
    opened.close()


def test_who_has_a_pin_types_it(house: House) -> None:
    """Ines does, by any way of writing her name; Tomek is let in by his; one at a time at each device."""
    with pytest.raises(PinRefused, match="PIN") as missing:
        house.sign_ins.sign_in(house.devices[0], "Ines")
    assert missing.value.slug == "pin-wanted"
    assert house.sign_ins.sign_in(house.devices[0], " ínes", PIN).name == "Ines"
    house.sign_ins.sign_in(house.devices[1], "Tomek")
    assert (house.at(0), house.at(1)) == ("Ines", "Tomek")
    house.sign_ins.sign_in(house.devices[0], "tomek")
    assert house.at(0) == "Tomek"
    house.sign_ins.sign_out(house.devices[0])
    assert (house.at(0), house.at(1)) == ("", "Tomek")
    with pytest.raises(NotFound):
        house.sign_ins.sign_in(house.devices[0], "Nadia")


def test_wrong_pins_make_that_person_wait_at_that_device_ever_longer(house: House) -> None:
    """Two are forgiven; then 15 s, 30 s … an hour; meanwhile the right one is refused too, there only."""
    assert house.wrong(times=3) == [0, 0, 15]
    with pytest.raises(PinLocked, match="Wait 15 seconds") as locked:
        house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    assert locked.value.http_status == 429
    house.sign_ins.sign_in(house.devices[1], "Ines", PIN)
    house.sign_ins.sign_in(house.devices[0], "Tomek")
    waits: list[float] = []
    for _ in range(9):
        house.now += timedelta(seconds=(waits or [15])[-1])
        waits += house.wrong()
    assert waits == [30, 60, 120, 240, 480, 960, 1920, 3600, 3600]
    house.now += timedelta(seconds=3599)
    with pytest.raises(PinLocked, match="Wait 1 second,"):
        house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    house.now += timedelta(seconds=1)
    house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    assert house.wrong() == [0]


def test_what_is_no_pin_is_not_counted(house: House) -> None:
    """A scan that went into the field locks nobody out."""
    for typed in ("7K3Q9XZ", "http://shop.example/t/7K3Q9XZ", "123", "123456789", "١٢٣٤") * 3:
        with pytest.raises(BadInput):
            house.sign_ins.sign_in(house.devices[0], "Ines", typed)
    house.sign_ins.sign_in(house.devices[0], "Ines", f" {PIN[:2]} {PIN[2:]}\r")


def test_many_wrong_pins_at_once_are_not_judged_for_the_price_of_one(house: House) -> None:
    """Of twelve that are sent at the same moment three are looked at; the rest has to wait."""
    tries = [partial(house.sign_ins.sign_in, house.devices[0], "Ines", OTHER) for _ in range(12)]
    said = [str(getattr(answer, "slug", answer)) for answer in at_once(*tries)]
    assert sorted(said) == ["pin-locked"] * 9 + ["pin-wrong"] * 3


def test_a_new_pin_ends_the_wait_and_every_sign_in(house: House) -> None:
    """The owner helps who forgot theirs; whoever was in by the old one is out."""
    house.sign_ins.sign_in(house.devices[1], "Ines", PIN)
    house.wrong(times=3)
    house.people.set_pin("Ines", OTHER)
    assert house.at(1) == ""
    with pytest.raises(PinRefused):
        house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    house.sign_ins.sign_in(house.devices[0], "Ines", OTHER)
    house.people.set_pin("Ines", "")
    house.sign_ins.sign_in(house.devices[0], "Ines")


def test_who_does_nothing_for_long_is_signed_out(house: House) -> None:
    """Looking is not doing; each thing done begins the time anew; once out, doing brings nobody back."""
    house.idle_minutes = 10
    house.sign_ins.sign_in(house.devices[0], "Tomek")
    for _ in range(3):
        house.now += timedelta(minutes=9)
        assert house.sign_ins.at_device(house.devices[0], is_doing=True).name == "Tomek"
    house.now += timedelta(minutes=6)
    seen = house.sign_ins.at_device(house.devices[0])
    assert (seen.name, seen.left) == ("Tomek", timedelta(minutes=4))
    house.now += timedelta(minutes=4)
    assert house.sign_ins.at_device(house.devices[0], is_doing=True).name == ""
    assert house.at(0) == ""


def test_a_shop_may_want_a_pin_of_everybody_or_of_nobody(house: House) -> None:
    """`always`: who has none is told to get one; `never`: the name is enough."""
    house.pin = "always"
    with pytest.raises(PinRefused, match="has no PIN yet"):
        house.sign_ins.sign_in(house.devices[0], "Tomek", PIN)
    house.people.set_pin("Tomek", OTHER)
    house.sign_ins.sign_in(house.devices[0], "Tomek", OTHER)
    house.pin = "never"
    house.sign_ins.sign_in(house.devices[0], "Ines")
    assert house.at(0) == "Ines"


def test_a_device_names_nobody_with_a_pin_who_never_signed_in_there(house: House) -> None:
    """Who did may be named later too: a kept scan arrives when somebody else is at the device."""
    house.sign_ins.require_vouched(house.devices[0], "Tomek")
    with pytest.raises(ShopProblem, match="never did so on this device") as refused:
        house.sign_ins.require_vouched(house.devices[0], "INES")
    assert refused.value.slug == "sign-in-needed"
    assert refused.value.http_status == 409  # so that a kept scan becomes a question
    house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    house.sign_ins.sign_in(house.devices[0], "Tomek")
    house.sign_ins.require_vouched(house.devices[0], "Ines")
    with pytest.raises(ShopProblem):
        house.sign_ins.require_vouched(house.devices[1], "Ines")


def test_people_come_and_go_and_come_back(house: House) -> None:
    """No two of one name; who is removed is out at once; a name of the settings is taken out there."""
    with pytest.raises(ShopProblem, match="named already"):
        house.people.add("INÉS")
    assert [(p.name, p.has_pin) for p in house.people.people()] == [("Ines", True), ("Tomek", False)]
    house.sign_ins.sign_in(house.devices[0], "Ines", PIN)
    house.people.remove("ines")
    assert house.at(0) == ""
    assert [p.name for p in house.people.people()] == ["Tomek"]
    assert house.people.add("Ines").has_pin is False
    with pytest.raises(ShopProblem, match=r"shop\.toml"):
        house.people.remove("Tomek")
    with pytest.raises(NotFound):
        house.people.remove("Nadia")


@pytest.mark.parametrize("name", ["", "   ", "\x00", "!!!", "x" * 41])
def test_what_is_no_name_is_refused(house: House, name: str) -> None:
    """Nothing that nobody could be called by."""
    with pytest.raises(BadInput):
        house.people.add(name)


def test_two_who_sign_in_at_once_leave_one_at_the_device(house: House) -> None:
    """Whose name a scan carries is never in doubt."""
    for _ in range(3):
        came = at_once(*(partial(house.sign_ins.sign_in, house.devices[0], "Tomek") for _ in range(4)))
        assert [getattr(person, "name", person) for person in came] == ["Tomek"] * 4
    with house.store.reading() as session:
        rows = session.exec(select(SignIn)).all()
    assert len(rows) == 12
    assert len([row for row in rows if row.ended_at is None]) == 1


def test_no_pin_lies_in_the_books(home: Home) -> None:
    """Only argon2id's slow hash, another one for each person."""
    store = home.open()
    people = PeopleBook(store, (), lambda: datetime(2026, 12, 1, tzinfo=UTC))
    people.add("Ines", PIN)
    people.add("Tomek", PIN)
    with store.reading() as session:
        kept = [row.pin_hash for row in session.exec(select(Person))]
    store.close()
    assert len(set(kept)) == 2
    assert all(
        one.startswith("$argon2id$v=19$m=65536,t=3,p=4$") and PIN not in one.split("$")[0] for one in kept
    )
    assert pins.is_pin(kept[0], PIN)
    assert not pins.is_pin(kept[0], OTHER)
    assert not pins.is_pin("", PIN)


@pytest.mark.parametrize("pin", ["0000", "7777", "1234", "123456", "8765", "9012", "0987"])
def test_pins_that_everybody_tries_first_are_refused(pin: str) -> None:
    """One digit throughout, or digits in a row."""
    with pytest.raises(BadInput):
        pins.require_good(pin)


@given(some.integers(0, 60))
def test_the_wait_never_grows_shorter_and_ends_at_an_hour(tries: int) -> None:
    """More wrong PINs, no less waiting."""
    assert pins.wait_after(tries) <= pins.wait_after(tries + 1) <= timedelta(hours=1)


@given(some.floats(0.001, 3600))
def test_the_wait_that_is_said_is_never_too_short(seconds: float) -> None:
    """Who waits as long as told is let try."""
    count, unit = say_wait(timedelta(seconds=seconds)).split()
    told = int(count) * {"s": 1, "m": 60, "h": 3600}[unit[0]]
    assert seconds <= told < seconds + 61
