"""The message to a customer whose artwork has questions: plain words, ready to send."""

from __future__ import annotations

import hashlib
import re
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from intake.facts import Level, Verdict
from intake.report.facts import ItemReport, Message
from tickets import wording

# A plain address (RFC 5322, 3.4.1 with a dot-atom): quoted and commented ones are left to a person.
_ADDRESS = re.compile(r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~.-]+@[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?")


def compose_message(message: Message) -> bytes:
    """The message as an `.eml` file (RFC 5322) that mail programs open ready to send (`X-Unsent: 1`).

    Names and subjects are encoded (RFC 2047), line breaks in them become spaces, so that nothing that a
    customer wrote can become a header. The same facts give the same bytes.
    """
    mail = EmailMessage(policy=SMTP.clone(cte_type="7bit"))
    mail["X-Unsent"] = "1"
    mail["Date"] = format_datetime(message.at)
    mail["From"] = _address(message.writer.name, message.writer.email)
    recipient = _address(message.customer, message.customer_email)
    if recipient is not None:
        mail["To"] = recipient
    mail["Subject"] = _one_line(
        wording.message_subject(message.order, _worst(message), message.purchase_order)
    )
    body = _body(message)
    mark = hashlib.sha256("\0".join([message.order, message.at.isoformat(), body]).encode("utf-8", "replace"))
    mail["Message-ID"] = f"<{mark.hexdigest()[:32]}@{_domain(message.writer.email)}>"
    mail.set_content(body, charset="utf-8")
    for name, content in message.attachments:
        mail.add_attachment(content, maintype="application", subtype="pdf", filename=_one_line(name))
    if mail.is_multipart():
        mail.set_boundary(f"part-{mark.hexdigest()[:24]}")
    return mail.as_bytes()


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


def _body(message: Message) -> str:
    paragraphs = [wording.greeting(_one_line(message.customer))]
    opening = wording.message_opening(message.order, len(message.items), message.purchase_order)
    paragraphs.append(_one_line(opening))
    paragraphs += [_about_item(item) for item in message.items]
    verdicts = {item.verdict for item in message.items}
    paragraphs.append(wording.what_happens_next(Verdict.QUERY in verdicts, Verdict.REFUSE in verdicts))
    if message.others_go_on:
        paragraphs.append(wording.others_go_on(message.others_go_on))
    if message.attachments:
        paragraphs.append(wording.reports_attached(len(message.attachments)))
    signed = [message.writer.name, message.writer.email, message.writer.phone]
    paragraphs.append("\n".join(_one_line(part) for part in signed if part))
    return "\n\n".join(paragraphs) + "\n"


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
