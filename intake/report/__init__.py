"""What a customer gets about artwork: the report with its places marked, the picture, and the message."""

from intake.report.facts import ItemReport, Message, ReportFacts, Writer, finding_from_json
from intake.report.message import compose_message
from intake.report.page import render_report
from intake.report.picture import draw_findings

__all__ = [
    "ItemReport",
    "Message",
    "ReportFacts",
    "Writer",
    "compose_message",
    "draw_findings",
    "finding_from_json",
    "render_report",
]
