"""Which devices may see and change the shop's pages: let in once by a code, and turned away when revoked."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlmodel import col, select

from tickets.codes import ALPHABET
from tickets.ledger.books import plain_words
from tickets.lookup.answers import utc_text
from tickets.models import DEVICE_ROLES, Device, Pairing
from tickets.problems import BadInput, NotFound
from tickets.store import Store

STATION, DESK, OWNER = DEVICE_ROLES
CODE_LENGTH = 8  # characters of 32: 40 bits, for a code that lives minutes and may be tried some times only
CODE_MINUTES = 10
OWNER_LINK_HOURS = 24
LONGEST_NAME = 60
_SEEN_EVERY = timedelta(minutes=5)  # a write a page view would be a waste


@dataclass(frozen=True, slots=True)
class DeviceAnswer:
    """One device that was let in; `role` is station, desk or owner."""

    id: int
    name: str
    role: str
    paired_at: datetime
    seen_at: datetime
    revoked_at: datetime | None = None

    def as_json(self) -> dict[str, Any]:
        """Plain values for `device list --json`."""
        return {
            "id": self.id,
            "name": self.name,
            "role": self.role,
            "paired": utc_text(self.paired_at),
            "seen": utc_text(self.seen_at),
            "revoked": utc_text(self.revoked_at),
        }


class DeviceBook:
    """Lets devices in, knows them again, and turns them away. Of codes and cookies only hashes are kept."""

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock

    def new_code(self, role: str, name: str = "") -> str:
        """A code that lets one device in within ten minutes. Raises BadInput `no-such-role`."""
        code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
        self._keep_code(code, role, name, timedelta(minutes=CODE_MINUTES))
        return code

    def owner_code(self) -> str | None:
        """A long code for the owner's first device; None when there is an owner's device already.

        Owner's codes that were never used end here: only the link that was printed last counts.
        """
        with self._store.writing() as session:
            owners = select(Device).where(Device.role == OWNER, col(Device.revoked_at).is_(None))
            if session.exec(owners).first() is not None:
                return None
            for left in session.exec(
                select(Pairing).where(Pairing.role == OWNER, col(Pairing.used_at).is_(None))
            ):
                session.delete(left)
        code = secrets.token_urlsafe(32)
        self._keep_code(code, OWNER, "", timedelta(hours=OWNER_LINK_HOURS))
        return code

    def _keep_code(self, code: str, role: str, name: str, lives: timedelta) -> None:
        if role not in DEVICE_ROLES:
            raise BadInput(
                "no-such-role", f"There is no role {role!r}.", f"Roles: {', '.join(DEVICE_ROLES)}."
            )
        with self._store.writing() as session:
            expires_at = self._clock() + lives
            name = plain_words(name)[:LONGEST_NAME]
            session.add(Pairing(code_sha256=_hash(code), role=role, name=name, expires_at=expires_at))

    def let_in(self, code: str, name: str = "") -> tuple[str, DeviceAnswer]:
        """Use up a code: the cookie's value for the new device, and the device.

        Raises NotFound `pairing-code-not-known` for a code that is wrong, used or too old.
        """
        now = self._clock()
        with self._store.writing() as session:
            pairing = session.exec(
                select(Pairing).where(Pairing.code_sha256 == _hash(_typed(code))).with_for_update()
            ).first()
            if pairing is None or pairing.used_at is not None or pairing.expires_at < now:
                raise NotFound(
                    "pairing-code-not-known",
                    "This pairing code is wrong, was used already, or is too old.",
                    "Show a new one: filmdocket device add",
                )
            pairing.used_at = now
            token = secrets.token_urlsafe(32)
            named = plain_words(name)[:LONGEST_NAME].strip() or pairing.name or pairing.role
            device = Device(
                name=named, role=pairing.role, token_sha256=_hash(token), paired_at=now, seen_at=now
            )
            session.add(device)
            session.flush()
            return token, _answer(device)

    def recognise(self, token: str) -> DeviceAnswer | None:
        """The device that carries this cookie; None when none does or it was revoked."""
        if not token:
            return None
        asked = select(Device).where(Device.token_sha256 == _hash(token), col(Device.revoked_at).is_(None))
        with self._store.reading() as session:
            device = session.exec(asked).first()
            if device is None:
                return None
            answer = _answer(device)
        now = self._clock()
        if now - answer.seen_at > _SEEN_EVERY:
            with self._store.writing() as session:
                session.exec(select(Device).where(Device.id == answer.id)).one().seen_at = now
        return answer

    def devices(self) -> list[DeviceAnswer]:
        """Every device that was ever let in, the newest first."""
        with self._store.reading() as session:
            return [_answer(d) for d in session.exec(select(Device).order_by(col(Device.id).desc()))]

    def revoke(self, device_id: int) -> DeviceAnswer:
        """Turn a device away from now on. Raises NotFound `device-not-known`."""
        with self._store.writing() as session:
            device = session.get(Device, device_id)
            if device is None:
                raise NotFound(
                    "device-not-known",
                    f"There is no device {device_id}.",
                    "See the numbers with: filmdocket device list",
                )
            device.revoked_at = device.revoked_at or self._clock()
            return _answer(device)


def form_token(cookie: str) -> str:
    """What this device's own pages carry in their forms, so that no other site can post for it."""
    return hashlib.sha256(b"form token\0" + cookie.encode()).hexdigest()


def _typed(code: str) -> str:
    """A code as it was made: blanks and hyphens left out; a short one in capitals, look-alikes put right."""
    bare = "".join(code.split())
    if len(bare.replace("-", "")) == CODE_LENGTH:
        return bare.replace("-", "").upper().translate(str.maketrans("OIL", "011"))
    return bare


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _answer(device: Device) -> DeviceAnswer:
    assert device.id is not None  # read from the books, or flushed
    return DeviceAnswer(
        device.id, device.name, device.role, device.paired_at, device.seen_at, device.revoked_at
    )
