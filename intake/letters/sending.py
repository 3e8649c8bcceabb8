"""Sending written messages by SMTP: again with longer and longer waits, and never twice.

The books are told just before the last byte goes out, which alone makes the server take a message: whoever
dies before that has sent nothing, and what dies behind it stays `unsure` and is not sent again by itself.
"""

from __future__ import annotations

import email
import email.policy
import logging
import smtplib
import ssl
import threading
from datetime import timedelta
from typing import TYPE_CHECKING

from config.settings_messages import Smtp, smtp_password
from intake.naming import in_log, safe_name
from intake.shop import Shop
from tickets import wording_telling as wording
from tickets.lookup.telling import TellingAnswer, unsent_tellings

if TYPE_CHECKING:
    from email.message import EmailMessage

_log = logging.getLogger(__name__)
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)  # RFC 5321, 4.5.4.1: at least half an hour, but sooner at first


class Refusal(Exception):
    """Why a message was not sent. `is_final`: it never will be. `is_for_all`: nor any other one just now."""

    def __init__(self, says: str, *, is_final: bool = False, is_for_all: bool = False) -> None:
        super().__init__(says)
        self.says = says
        self.is_final = is_final
        self.is_for_all = is_for_all


def send_written(shop: Shop) -> int:
    """Send what is written and due to be sent; how many the server took. No host: nothing is done.

    What does not work is noted with the message and tried again later; after `smtp.give_up_days`, or when the
    server refuses for good, it has failed. Nothing here raises for a server's or a network's fault.
    """
    smtp, kinds = shop.settings.smtp, shop.settings.messages.send
    if not smtp.host or not kinds:
        return 0
    sent = 0
    waiting = unsent_tellings(shop.store, kinds, shop.clock())
    for at, told in enumerate(waiting):
        try:
            sent += _send(shop, smtp, told)
        except Refusal as refusal:
            for other in waiting[at:] if refusal.is_for_all else [told]:
                _note_refusal(shop, other, refusal)
            if refusal.is_for_all:
                break
    return sent


def _send(shop: Shop, smtp: Smtp, told: TellingAnswer) -> bool:
    """Whether the server took it. Raises Refusal when it surely did not."""
    mail = _as_sent(shop, told)
    handed_over = False
    try:
        with _connected(smtp) as server:
            _offer(server, shop.settings.shop.email, told.address, mail)
            if not _hand_over(shop, told, server):
                return False
            handed_over = True
            server.send(b".\r\n")
            code, words = server.getreply()
            if code != 250:
                raise Refusal(wording.server_says(code, words), is_final=code >= 500)
            shop.ledger.note_sent(told.telling_id)
    except (smtplib.SMTPException, OSError) as error:
        if handed_over:
            return False  # it stays unsure, or the server went away after it had taken it
        raise _refusal_of(error) from error
    _log.info("event=message-sent order=%s kind=%s", in_log(told.order), told.kind)
    return True


def _hand_over(shop: Shop, told: TellingAnswer, server: smtplib.SMTP) -> bool:
    """Whether the message's end may go out; if not, the server drops it for want of one."""
    is_ours = False
    try:
        is_ours = shop.ledger.hand_over(told.telling_id)
    finally:
        if not is_ours:
            server.close()
    return is_ours


def _connected(smtp: Smtp) -> smtplib.SMTP:
    """A session with the server, encrypted as the settings say, and logged in."""
    context = ssl.create_default_context(cafile=smtp.ca_file or None)
    if smtp.security == "tls":
        server: smtplib.SMTP = smtplib.SMTP_SSL(
            smtp.host, smtp.port, timeout=smtp.timeout_seconds, context=context
        )
    else:
        server = smtplib.SMTP(smtp.host, smtp.port, timeout=smtp.timeout_seconds)
    try:
        if smtp.security == "starttls":
            server.starttls(context=context)
        if smtp.user:
            server.login(smtp.user, _password(smtp))
    except BaseException:
        server.close()
        raise
    return server


def try_server(smtp: Smtp, seconds: float) -> str:
    """What is wrong with the way to the mail server, "" when it lets the shop in; nothing is sent.

    Given up after so many seconds in all, a name that is never answered for included.
    """
    said: list[str] = []
    trying = threading.Thread(target=lambda: said.append(_try(smtp, seconds)), daemon=True)
    trying.start()
    trying.join(seconds)
    return said[0] if said else wording.server_away(f"no answer for {seconds:g} seconds")


def _try(smtp: Smtp, seconds: float) -> str:
    hurried = smtp.model_copy(update={"timeout_seconds": min(smtp.timeout_seconds, seconds)})
    try:
        with _connected(hurried) as server:
            server.noop()
    except Refusal as refusal:
        return refusal.says
    except (smtplib.SMTPException, OSError) as error:
        return _refusal_of(error).says
    return ""


def _password(smtp: Smtp) -> str:
    try:
        return smtp_password(smtp)
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(wording.password_away(), is_for_all=True) from error


def _offer(server: smtplib.SMTP, sender: str, address: str, mail: bytes) -> None:
    """Everything up to the end of the message, without that end. Raises Refusal, SMTPException, OSError."""
    server.ehlo_or_helo_if_needed()
    for code, words in (server.mail(sender), server.rcpt(address), server.docmd("DATA")):
        if code not in (250, 251, 354):
            raise Refusal(wording.server_says(code, words), is_final=code >= 500)
    server.send(mail)


def _as_sent(shop: Shop, told: TellingAnswer) -> bytes:
    """The message as it goes over the wire: no longer unsent, lines that begin with a dot doubled."""
    path = shop.outbox / safe_name(told.order) / told.file
    try:
        content = path.read_bytes()
    except OSError as error:
        raise Refusal(wording.file_is_away(told.file)) from error
    mail: EmailMessage = email.message_from_bytes(content, policy=email.policy.SMTP.clone(cte_type="7bit"))
    del mail["X-Unsent"]
    mail["Auto-Submitted"] = "auto-generated"  # RFC 3834: no automatic answers, please
    lines = mail.as_bytes().replace(b"\r\n", b"\n").removesuffix(b"\n").split(b"\n")
    return b"".join((b"." if line.startswith(b".") else b"") + line + b"\r\n" for line in lines)


def _refusal_of(error: Exception) -> Refusal:
    """What a person can do about it; nothing of it is the message's own fault, so none is final."""
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return Refusal(wording.login_refused(), is_for_all=True)
    if isinstance(error, ssl.SSLError | smtplib.SMTPNotSupportedError):
        return Refusal(wording.not_secure(str(error)), is_for_all=True)
    if isinstance(error, smtplib.SMTPResponseException):
        return Refusal(wording.server_says(error.smtp_code, error.smtp_error))
    is_away = isinstance(error, ConnectionRefusedError | TimeoutError)
    return Refusal(wording.server_away(str(error)), is_for_all=is_away)


def _note_refusal(shop: Shop, told: TellingAnswer, refusal: Refusal) -> None:
    now = shop.clock()
    since = told.written_at or now
    is_over = refusal.is_final or now - since > timedelta(days=shop.settings.smtp.give_up_days)
    next_try_at = None if is_over else now + wait_after(told.tries)
    shop.ledger.note_not_sent(told.telling_id, refusal.says, next_try_at)
    _log.warning("event=message-not-sent order=%s why=%s", in_log(told.order), in_log(refusal.says))


def wait_after(tries: int) -> timedelta:
    """How long to wait after so many tries before: one minute, two, four … an hour."""
    return min(LONGEST_WAIT, FIRST_WAIT * int(2 ** min(tries, 10)))
