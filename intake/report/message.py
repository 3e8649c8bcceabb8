"""The message to a customer whose artwork has questions: plain words, ready to send."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from typing import Any

from intake.facts import Level, Verdict
from intake.report.facts import ItemReport, Message
from tickets import wording

# From the parts of a message to its subject and its text.
Words = Callable[[Mapping[str, Any]], tuple[str, str]]
# A plain address (RFC 5322, 3.4.1 with a dot-atom): quoted and commented ones are left to a person.
_ADDRESS = re.compile(r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~.-]+@[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?")


@dataclass(frozen=True, slots=True)
class Envelope:
    """From whom, to whom, about which order and when: what every message has. `at` is aware."""

    shop: str
    shop_email: str
    customer: str
    customer_email: str
    order: str
    at: datetime


def compose_mail(
    envelope: Envelope, subject: str, body: str, attachments: Sequence[tuple[str, bytes]] = ()
) -> bytes:
    """A message as an `.eml` file (RFC 5322) that mail programs open ready to send (`X-Unsent: 1`).

    Names and subjects are encoded (RFC 2047), line breaks in them become spaces, so that nothing that a
    customer wrote can become a header. The same facts give the same bytes. Attachments: PDF files by name.
    """
    mail = EmailMessage(policy=SMTP.clone(cte_type="7bit"))
    mail["X-Unsent"] = "1"
    mail["Date"] = format_datetime(envelope.at)
    mail["From"] = _address(envelope.shop, envelope.shop_email)
    recipient = _address(envelope.customer, envelope.customer_email)
    if recipient is not None:
        mail["To"] = recipient
    mail["Subject"] = _one_line(subject)
    told = [envelope.order, envelope.at.isoformat(), body]
    mark = hashlib.sha256("\0".join(told).encode("utf-8", "replace"))
    mail["Message-ID"] = f"<{mark.hexdigest()[:32]}@{_domain(envelope.shop_email)}>"
    mail.set_content(body, charset="utf-8")
    for name, content in attachments:
        mail.add_attachment(content, maintype="application", subtype="pdf", filename=_one_line(name))
    if mail.is_multipart():
        mail.set_boundary(f"part-{mark.hexdigest()[:24]}")
    return mail.as_bytes()


def recipient_of(customer: str, email: str) -> str:
    """The address that a message to a customer goes to; "" when the order names none that could be used."""
    address = _address(customer, email)
    return address.addr_spec if address else ""


def compose_message(message: Message, template: Words | None = None) -> bytes:
    """The message about artwork as an `.eml` file; `template` puts its parts into the shop's own words."""
    verdicts = {item.verdict for item in message.items}
    signed = [message.writer.name, message.writer.email, message.writer.phone]
    parts = {
        "shop": message.writer.name,
        "order": message.order,
        "customer": _one_line(message.customer),
        "purchase_order": _one_line(message.purchase_order),
        "signature": "\n".join(_one_line(part) for part in signed if part),
        "opening": _one_line(
            wording.message_opening(message.order, len(message.items), message.purchase_order)
        ),
        "questions": "\n\n".join(_about_item(item) for item in message.items),
        "what_happens_next": wording.what_happens_next(Verdict.QUERY in verdicts, Verdict.REFUSE in verdicts),
        "others": wording.others_go_on(message.others_go_on) if message.others_go_on else "",
        "attached": wording.reports_attached(len(message.attachments)) if message.attachments else "",
        "asks": _worst(message) is Verdict.QUERY,
    }
    subject, body = (template or _shipped_words)(parts)
    writer = message.writer
    envelope = Envelope(
        writer.name, writer.email, message.customer, message.customer_email, message.order, message.at
    )
    return compose_mail(envelope, subject, body, message.attachments)


def _shipped_words(parts: Mapping[str, Any]) -> tuple[str, str]:
    verdict = Verdict.QUERY if parts["asks"] else Verdict.REFUSE
    subject = wording.message_subject(parts["order"], verdict, parts["purchase_order"])
    named = ("opening", "questions", "what_happens_next", "others", "attached", "signature")
    said = [wording.greeting(parts["customer"]), *(parts[name] for name in named)]
    return subject, "\n\n".join(part for part in said if part) + "\n"


def _worst(message: Message) -> Verdict:
    verdicts = {item.verdict for item in message.items}
    return Verdict.REFUSE if verdicts == {Verdict.REFUSE} else Verdict.QUERY


def _one_line(text: str) -> str:
    """One line without controls or half characters, of a length that a header takes."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(shown.split())[:300]


def _address(name: str, email: str) -> Address | None:
    """An address with its name; None when the e-mail address is none that a mail program could take."""
    if not _ADDRESS.fullmatch(email.strip()):
        return None
    local, _, domain = email.strip().rpartition("@")
    try:
        return Address(_one_line(name), local, domain)
    except (ValueError, IndexError):
        return None


def _domain(email: str) -> str:
    domain = email.strip().rpartition("@")[2].lower()
    is_plain = domain and all(c.isascii() and (c.isalnum() or c in ".-") for c in domain)
    return domain if is_plain else "shop.invalid"


def _about_item(item: ItemReport) -> str:
    size = wording.size_mm(*item.print_mm) if item.print_mm else ""
    told = [wording.pieces(item.quantity), size, item.placement]
    head = f"{item.item}. {_one_line(item.artwork)} – {', '.join(_one_line(t) for t in told if t)}"
    questions = sum(finding.level is Level.QUERY for finding in item.findings)
    lines = [head, wording.verdict(item.verdict, questions)]
    for finding in item.findings:
        if finding.level is not Level.NOTE:
            lines.append(f"  – {_one_line(finding.says)}")
            lines += [f"    {wording.WHAT_TO_DO} {_one_line(finding.do)}"] if finding.do else []
    notes = [finding for finding in item.findings if finding.level is Level.NOTE]
    lines += [
        f"  – {wording.BY_THE_WAY} {_one_line(finding.says)} {_one_line(finding.do)}" for finding in notes
    ]
    if item.report_name:
        lines.append(f"    {wording.see_report(_one_line(item.report_name))}")
    return "\n".join(lines)
