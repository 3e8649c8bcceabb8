"""An artwork with findings, and what stands at the head of its report."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from intake.facts import Finding, Level, Place, Preflight, Verdict, worst
from intake.report import ItemReport, Message, ReportFacts, Writer
from tests.tickets.paper.samples import art

WRITER = Writer("Our print shop", "prints@shop.example", "+44 1632 960100")
PRINT_MM = (90.0, 67.5)
FINDINGS = (
    Finding(
        "line-width",
        Level.QUERY,
        "The thinnest line is 0.21 mm; under 0.30 mm it does not hold.",
        "Make these lines at least 0.30 mm thick.",
        0.21,
        0.3,
        "mm",
        (Place(28.0, 28.0, 3.0, 0.4), Place(62.0, 32.0, 0.4, 3.0)),
    ),
    Finding(
        "resolution",
        Level.QUERY,
        "At the ordered size the artwork has 152 pixels an inch.",
        "Send it with more pixels.",
        152.0,
        200.0,
        "ppi",
    ),
    Finding("soft", Level.NOTE, "0.8% of the ink is half transparent.", "Nothing.", 0.008, 0.01, "share"),
)
REFUSED = Finding("file", Level.REFUSE, "The PDF needs a password.", "Send it without one.")
FACTS = ReportFacts(
    writer=WRITER,
    order="OB-1042",
    customer="Otter Bank Rowing Club",
    artwork="crest.png",
    quantity=40,
    item=1,
    items=3,
    placement="left chest",
    garment="navy hoodie",
    garment_colour="#10213f",
)


def preflight(findings: tuple[Finding, ...] = FINDINGS, picture: bytes | None = None) -> Preflight:
    """What the check said of crest.png."""
    shown = art() if picture is None else picture
    return Preflight("crest.png", worst(findings), PRINT_MM, {}, findings, shown)


def message(**changes: object) -> Message:
    """A message about one item with questions and one that is refused, changed as asked."""
    plain = Message(
        writer=WRITER,
        order="OB-1042",
        customer="Otter Bank Rowing Club",
        customer_email="kit@otterbank.example",
        at=datetime(2026, 11, 25, 10, 0, tzinfo=UTC),
        items=(
            ItemReport(
                1, "crest.png", 40, Verdict.QUERY, FINDINGS, PRINT_MM, "left chest", "7K3Q9XZ", "1.pdf"
            ),
            ItemReport(3, "back.pdf", 4, Verdict.REFUSE, (REFUSED,)),
        ),
        others_go_on=1,
        purchase_order="REGATTA-7",
        attachments=(("1.pdf", b"%PDF-1.4 one"),),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]
