"""Reports and messages that are due: written whole into `outbox/<order>/`, and only then noted."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from config.settings import Settings
from intake.durable import write_whole
from intake.facts import Preflight, Verdict
from intake.faults import reach
from intake.naming import in_log, safe_name
from intake.pictures import picture_of
from intake.shop import Shop
from tickets.languages import as_the_house_speaks
from tickets.lookup import DueItem, ReportDue, due_reports
from tickets.standing import ACCEPTED, REFUSED

if TYPE_CHECKING:
    from intake.facts import Finding
    from intake.report import ItemReport, Message, Writer

_log = logging.getLogger(__name__)
_MOST_NAMED = 6  # items in the name of a later message; beyond that only how many


@as_the_house_speaks()
def write_due_reports(shop: Shop) -> list[Path]:
    """Write the artwork reports (PDF) and the message (`.eml`) of every order whose customer must be asked.

    May be done twice. An order whose report cannot be rendered is told in the log, stays due, and keeps no
    other one waiting. Returns the messages that were written.
    """
    written = []
    for due in due_reports(shop.store):
        try:
            written.append(_write_reports(shop, due))
        except Exception:
            _log.exception("event=report-failed order=%s", in_log(due.order.number))
    return written


def _write_reports(shop: Shop, due: ReportDue) -> Path:
    from intake.letters.writing import query_words
    from intake.report import compose_message
    from intake.report.message import recipient_of

    folder = shop.outbox / safe_name(due.order.number)
    told = [item for item in due.items if item.item_id in due.told]
    reports = {report_name(item): _report(shop, due, item) for item in told}
    for name, content in reports.items():
        write_whole(folder / name, content)
    path = folder / message_name(told)
    message = _message(shop, due, told, reports)
    write_whole(path, compose_message(message, query_words(shop.folder, due.order.number)))
    reach("report-written")
    address = recipient_of(due.order.customer_name, due.order.customer_email)
    shop.ledger.note_reported(due.order.order_id, due.revisions, path.name, address)
    _log.info("event=report-written order=%s items=%d", in_log(due.order.number), len(told))
    return path


def report_name(item: DueItem) -> str:
    """The file name of an item's report; a corrected artwork has one of its own."""
    again = f"-revision-{item.revision}" if item.revision > 1 else ""
    return f"artwork-report-{item.number}{again}.pdf"


def message_name(told: list[DueItem]) -> str:
    """The file name of a message: the first of an order is plain, later ones name what they are about."""
    if all(item.revision == 1 for item in told):
        return "message.eml"
    about = "-".join(f"{item.number}r{item.revision}" for item in told[:_MOST_NAMED])
    return f"message-{about}{f'-and-{len(told) - _MOST_NAMED}-more' if len(told) > _MOST_NAMED else ''}.eml"


def _report(shop: Shop, due: ReportDue, item: DueItem) -> bytes:
    from intake.report import ReportFacts, render_report
    from tickets.paper.fonts import load_fonts

    facts = ReportFacts(
        writer=_writer(shop.settings),
        order=due.order.number,
        customer=due.order.customer_name,
        artwork=item.artwork,
        quantity=item.quantity,
        item=item.number,
        items=len(due.items),
        page=item.page,
        revision=item.revision,
        placement=item.placement,
        garment=item.garment,
        garment_colour=item.garment_colour,
        service=item.service,
        code=due.codes.get(item.item_id, ""),
    )
    preflight = Preflight(
        file=item.artwork,
        verdict=_verdict(item),
        print_mm=_print_mm(item),
        measures=dict(item.measures),
        findings=_findings(item),
        picture_png=picture_of(shop, item.artwork_sha256, item.page),
        slug=item.refused_slug,
    )
    return render_report(facts, preflight, load_fonts(shop.settings.papers.font_files))


def _message(shop: Shop, due: ReportDue, told: list[DueItem], reports: dict[str, bytes]) -> Message:
    from intake.report import Message

    return Message(
        writer=_writer(shop.settings),
        order=due.order.number,
        customer=due.order.customer_name,
        customer_email=due.order.customer_email,
        at=shop.clock().astimezone(shop.settings.shop.zone),
        items=tuple(_about(due, item) for item in told),
        others_go_on=sum(item.standing == ACCEPTED for item in due.items),
        purchase_order=due.order.purchase_order,
        attachments=tuple(reports.items()),
    )


def _about(due: ReportDue, item: DueItem) -> ItemReport:
    from intake.report import ItemReport

    return ItemReport(
        item=item.number,
        artwork=item.artwork,
        quantity=item.quantity,
        verdict=_verdict(item),
        findings=_findings(item),
        print_mm=_print_mm(item),
        placement=item.placement,
        code=due.codes.get(item.item_id, ""),
        report_name=report_name(item),
    )


def _findings(item: DueItem) -> tuple[Finding, ...]:
    from intake.report import finding_from_json

    return tuple(finding_from_json(found) for found in (*item.order_queries, *item.findings))


def _verdict(item: DueItem) -> Verdict:
    return Verdict.REFUSE if item.standing == REFUSED else Verdict.QUERY


def _print_mm(item: DueItem) -> tuple[float, float] | None:
    if item.print_width_mm is None or item.print_height_mm is None:
        return None
    return (item.print_width_mm, item.print_height_mm)


def _writer(settings: Settings) -> Writer:
    from intake.report import Writer

    return Writer(settings.shop.name, settings.shop.email, settings.shop.phone)
