"""Messages go out through a real SMTP server once, whether it refuses, puts off, hangs up or falls silent."""

from __future__ import annotations

import email
import email.policy
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, Session

from config.settings_messages import smtp_password
from intake.letters.sending import send_written, wait_after
from intake.letters.writing import write_due_messages
from intake.shop import Shop
from tests.intake.shops import Bench
from tests.intake.test_papers import taken
from tickets.ledger import Ledger
from tickets.lookup.telling import TellingAnswer, list_tellings


class Office:
    """What a mail server does with what it is given; tests tell it to misbehave."""

    def __init__(self) -> None:
        self.mail: list[bytes] = []
        self.answers: list[str] = []  # to the next messages, instead of taking them
        self.rcpt_answer = ""
        self.hangs_up = False  # once it has a whole message, without a word

    async def handle_RCPT(self, _s: SMTP, _n: Session, envelope: Envelope, address: str, _o: Any) -> str:
        """Take a recipient, or not."""
        if self.rcpt_answer:
            return self.rcpt_answer
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, _session: Session, envelope: Envelope) -> str:
        """Take a message, or not."""
        if self.answers:
            return self.answers.pop(0)
        assert isinstance(envelope.content, bytes)
        self.mail.append(envelope.content)
        if self.hangs_up and server.transport:
            server.transport.abort()  # type: ignore[attr-defined]
        return "250 OK"


class DropsInTheMiddle(SMTP):
    """Hangs up as soon as a message begins."""

    async def smtp_DATA(self, _arg: str) -> None:
        """No word, no more line."""
        assert self.transport is not None
        self.transport.abort()  # type: ignore[attr-defined]


class DroppingController(Controller):
    """A server that hangs up in the middle."""

    def factory(self) -> SMTP:
        """The protocol of one connection."""
        return DropsInTheMiddle(self.handler, **self.SMTP_kwargs)


@contextmanager
def open_office(office: Office, kind: type[Controller] = Controller, **how: Any) -> Iterator[int]:
    """A real server on this machine; its port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    controller = kind(office, hostname="127.0.0.1", port=port, **how)
    controller.start()
    try:
        yield port
    finally:
        controller.stop()


def with_server(bench: Bench, port: int, **changes: Any) -> Shop:
    """The bench's shop, with a mail server of this port; its message is written."""
    known = {"host": "127.0.0.1", "port": port, "security": "none", "timeout_seconds": 5.0}
    smtp = bench.shop.settings.smtp.model_copy(update={**known, **changes})
    settings = bench.shop.settings.model_copy(update={"smtp": smtp})
    shop = Shop(bench.folder, settings, bench.shop.store, bench.shop.clock)
    write_due_messages(shop)
    return shop


def told(bench: Bench) -> TellingAnswer:
    """The one message of the bench."""
    [answer] = list_tellings(bench.shop.store)
    return answer


@pytest.fixture
def received(bench: Bench) -> Bench:
    """A shop with one message that is due."""
    taken(bench, "clear")
    return bench


def test_a_message_is_sent_once(received: Bench) -> None:
    """As it lies in the outbox, but no longer as unsent; then never again."""
    office = Office()
    with open_office(office) as port:
        shop = with_server(received, port)
        assert (send_written(shop), send_written(shop)) == (1, 0)
    [content] = office.mail
    mail = email.message_from_bytes(content, policy=email.policy.default)
    assert mail["X-Unsent"] is None
    assert (mail["To"].addresses[0].addr_spec, mail["Auto-Submitted"]) == (
        "kit@otterbank.example",
        "auto-generated",
    )
    assert "Thank you for your order OB-1" in mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert told(received).standing == "sent"


def test_without_a_server_or_for_kinds_left_out_nothing_is_sent(received: Bench) -> None:
    """The outbox holds it all the same."""
    assert send_written(received.shop) == 0
    office = Office()
    with open_office(office) as port:
        shop = with_server(received, port)
        quiet = shop.settings.messages.model_copy(update={"send": ("ready",)})
        settings = shop.settings.model_copy(update={"messages": quiet})
        assert send_written(Shop(shop.folder, settings, shop.store, shop.clock)) == 0
    assert told(received).standing == "written"


def test_a_server_that_is_set_up_later_sends_nothing_old(received: Bench) -> None:
    """What was written before has been sent by hand."""
    write_due_messages(received.shop)
    office = Office()
    with open_office(office) as port:
        assert send_written(with_server(received, port)) == 0
    assert (told(received).standing, office.mail) == ("written", [])


def test_what_is_put_off_is_tried_again_later_and_sent_once(received: Bench) -> None:
    """4xx: not before its time, then with success."""
    office = Office()
    office.answers = ["451 later, please"]
    with open_office(office) as port:
        shop = with_server(received, port)
        assert send_written(shop) == 0
        assert told(received).says == "The mail server refuses it: 451 later, please."
        assert (send_written(shop), told(received).tries) == (0, 1)  # its time has not come
        received.wall += timedelta(minutes=2)
        assert send_written(shop) == 1
    assert len(office.mail) == 1


@pytest.mark.parametrize("answer", ["rcpt", "data"])
def test_what_is_refused_for_good_has_failed(received: Bench, answer: str) -> None:
    """A recipient that is not there, a message that is not wanted: told, and not tried again."""
    office = Office()
    office.rcpt_answer = "550 no such user" if answer == "rcpt" else ""
    office.answers = ["554 not wanted"]
    with open_office(office) as port:
        shop = with_server(received, port)
        assert send_written(shop) == 0
        received.wall += timedelta(days=1)
        assert send_written(shop) == 0
    assert (told(received).standing, office.mail) == ("failed", [])
    assert told(received).says.startswith("The mail server refuses it: 55")


def test_a_connection_dropped_in_the_middle_is_tried_again(received: Bench) -> None:
    """The server cannot have taken what it did not have whole."""
    office = Office()
    with open_office(office, DroppingController) as port:
        assert send_written(with_server(received, port)) == 0
    assert told(received).standing == "written"
    received.wall += timedelta(minutes=2)
    with open_office(office) as port:
        assert send_written(with_server(received, port)) == 1
    assert len(office.mail) == 1


def test_a_server_that_falls_silent_behind_the_last_byte_gets_it_no_second_time(received: Bench) -> None:
    """It may have arrived: a person looks, the program does not guess."""
    office = Office()
    office.hangs_up = True
    with open_office(office) as port:
        shop = with_server(received, port)
        assert send_written(shop) == 0
        received.wall += timedelta(days=1)
        assert send_written(shop) == 0
    assert len(office.mail) == 1
    assert told(received).standing == "unsure"
    assert "it may have arrived" in told(received).says


def test_a_death_before_the_last_byte_sends_once_in_all(
    received: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed between the message and its end, the server has taken nothing."""
    office = Office()
    with open_office(office) as port:
        shop = with_server(received, port)
        with monkeypatch.context() as dying:
            dying.setattr(Ledger, "hand_over", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
            with pytest.raises(KeyboardInterrupt):
                send_written(shop)
        assert office.mail == []
        assert send_written(shop) == 1
    assert len(office.mail) == 1


def test_two_senders_send_once(received: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both have offered it; only the one that the books let goes on to the end."""
    office = Office()
    with open_office(office) as port:
        shop = with_server(received, port)
        first = Ledger.hand_over

        def other_was_faster(ledger: Ledger, telling_id: int) -> bool:
            assert first(ledger, telling_id)
            return first(ledger, telling_id)

        monkeypatch.setattr(Ledger, "hand_over", other_was_faster)
        assert send_written(shop) == 0
    assert office.mail == []


def test_login_and_encryption_are_as_the_settings_say(
    received: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong password is waited out and told without it; an unknown certificate is not trusted."""
    authority = trustme.CA()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("127.0.0.1").configure_cert(context)
    authority.cert_pem.write_to_path(tmp_path / "ca.pem")
    (tmp_path / "word").write_text("open-sesame\n", "utf-8")
    monkeypatch.delenv("FILMDOCKET_SMTP_PASSWORD", raising=False)

    def let_in(_server: Any, _session: Any, _envelope: Any, _mechanism: str, data: Any) -> AuthResult:
        return AuthResult(success=data.password == b"open-sesame", handled=False)

    how: dict[str, Any] = {
        "tls_context": context,
        "require_starttls": True,
        "authenticator": let_in,
        "auth_required": True,
    }
    office = Office()
    safe = {"security": "starttls", "user": "shop", "ca_file": str(tmp_path / "ca.pem")}
    with open_office(office, **how) as port:
        send_written(with_server(received, port, **{**safe, "ca_file": ""}))
        assert "no encrypted way" in told(received).says
        monkeypatch.setenv("FILMDOCKET_SMTP_PASSWORD", "hunter2")
        received.wall += timedelta(hours=1)
        send_written(with_server(received, port, **safe))
        assert told(received).says.startswith("The mail server refuses smtp.user")
        assert "hunter2" not in told(received).says
        monkeypatch.delenv("FILMDOCKET_SMTP_PASSWORD")
        received.wall += timedelta(hours=1)
        shop = with_server(received, port, **safe, password_file=str(tmp_path / "word"))
        assert send_written(shop) == 1
    with open_office(office) as port:
        assert smtp_password(shop.settings.smtp, {}) == "open-sesame"


def test_a_server_that_is_away_is_given_up_after_days(received: Bench) -> None:
    """The waits grow to an hour; after `smtp.give_up_days` the message has failed."""
    office = Office()
    with open_office(office) as port:
        pass
    shop = with_server(received, port)
    send_written(shop)
    assert told(received).says.startswith("The mail server cannot be reached")
    assert [wait_after(n) // timedelta(minutes=1) for n in (0, 1, 2, 6, 50)] == [1, 2, 4, 60, 60]
    received.wall += timedelta(days=5)
    send_written(shop)
    assert told(received).standing == "failed"
