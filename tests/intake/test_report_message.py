"""The message to the customer: right by RFC 5322, plain to read, and with no header but its own."""

from __future__ import annotations

from email import message_from_bytes, policy
from email.message import EmailMessage

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.facts import Verdict
from intake.report import ItemReport, Message, Writer, compose_message
from tests.intake.report_samples import FINDINGS, PRINT_MM, REFUSED, message


def opened(mail: bytes) -> EmailMessage:
    """The message as a mail program reads it."""
    return message_from_bytes(mail, policy=policy.default)


def body_of(mail: bytes) -> str:
    """Its text."""
    part = opened(mail).get_body(("plain",))
    assert part is not None
    return str(part.get_content())


def test_it_opens_ready_to_send() -> None:
    """From the shop, to the customer, with subject, date and its mark; not yet sent."""
    mail = opened(compose_message(message()))
    assert mail["X-Unsent"] == "1"
    assert mail["From"] == "Our print shop <prints@shop.example>"
    assert mail["To"] == "Otter Bank Rowing Club <kit@otterbank.example>"
    assert mail["Subject"] == "Order OB-1042 (your REGATTA-7): a question about your artwork"
    assert mail["Date"] == "Wed, 25 Nov 2026 10:00:00 +0000"
    assert mail["Message-ID"].endswith("@shop.example>")
    assert mail.defects == []


def test_the_text_says_what_was_found_and_what_happens_next() -> None:
    """Every finding with what to do, which items go on, and how to answer."""
    said = body_of(compose_message(message()))
    for finding in (*FINDINGS, REFUSED):
        assert finding.says in said
        assert finding.do in said
    for words in (
        *(
            "Hello Otter Bank Rowing Club,",
            "1. crest.png",
            "40 pieces, 90 × 67.5 mm, left chest",
            "3. back.pdf",
        ),
        *("What happens next:", "nothing is printed until you answer", "waits for a new file", "1.pdf"),
        *("The other artwork of your order is fine", "Our print shop", "+44 1632 960100"),
    ):
        assert words in said, words


def test_a_refused_order_says_so_in_its_subject() -> None:
    """When nothing of it can be printed, the customer sees it at a glance."""
    refused = ItemReport(1, "back.pdf", 4, Verdict.REFUSE, (REFUSED,))
    mail = compose_message(message(items=(refused,), others_go_on=0, attachments=()))
    assert "cannot print" in opened(mail)["Subject"]
    assert "until you answer" not in body_of(mail)


def test_attachments_come_out_as_they_went_in() -> None:
    """Reports are attached as PDF, under their names, byte by byte."""
    files = (("Zoë 1.pdf", b"%PDF-1.4\r\n\x00\xff one"), ("2.pdf", b"%PDF-1.4 two"))
    mail = opened(compose_message(message(attachments=files)))
    found = list(mail.iter_attachments())
    assert [(part.get_filename(), part.get_content()) for part in found] == list(files)
    assert {part.get_content_type() for part in found} == {"application/pdf"}


def test_the_same_message_gives_the_same_bytes() -> None:
    """Its mark and its seams follow from what it says; another order has another mark."""
    assert compose_message(message()) == compose_message(message())
    other = opened(compose_message(message(order="OB-1043")))
    assert other["Message-ID"] != opened(compose_message(message()))["Message-ID"]


@pytest.mark.parametrize(
    "name", ["نادي التجديف", "Zoë Ångström", "川岸ボート部", 'A "B" <C>, D; E', "a@b.example"]
)
def test_names_of_any_script_arrive_whole(name: str) -> None:
    """Encoded as RFC 2047 asks; the wire itself carries ASCII alone."""
    mail = compose_message(message(customer=name, writer=Writer(name, "prints@shop.example")))
    assert mail.isascii()
    assert opened(mail)["To"].addresses[0].display_name == name
    assert opened(mail)["From"].addresses[0].addr_spec == "prints@shop.example"
    assert f"Hello {name}," in body_of(mail)


def test_a_line_break_in_a_name_never_becomes_a_header() -> None:
    """Neither order, customer, file nor shop can smuggle in a recipient."""
    evil = "x\r\nBcc: all@elsewhere.example\r\n\r\nHello"
    item = ItemReport(1, evil, 1, Verdict.QUERY, FINDINGS, PRINT_MM, evil, "", evil)
    mail = compose_message(
        message(
            customer=evil,
            order=evil,
            purchase_order=evil,
            items=(item,),
            writer=Writer(evil, "a@b.example"),
            attachments=((evil, b"%PDF"),),
        )
    )
    assert opened(mail)["Bcc"] is None
    assert b"\nBcc:" not in mail.split(b"\r\n\r\n")[0].replace(b"\r", b"")
    assert [a.addr_spec for a in opened(mail)["To"].addresses] == ["kit@otterbank.example"]


@pytest.mark.parametrize(
    "address",
    [
        *("", "nobody", "a@", "@b.example", "a b@c.example", "a@b.example\r\nBcc: c@d.example"),
        *("ä@b.example", "a@b.example, c@d.example", "<a@b.example>"),
    ],
)
def test_an_address_that_is_none_leaves_the_recipient_open(address: str) -> None:
    """The shop fills it in; the message is written all the same and has no other recipient."""
    mail = opened(compose_message(message(customer_email=address)))
    assert mail["To"] is None
    assert mail["Bcc"] is None


@settings(max_examples=60, deadline=None)
@given(
    st.builds(
        Message,
        st.builds(Writer, st.text(max_size=40), st.text(max_size=40), st.text(max_size=20)),
        st.text(max_size=40),
        st.text(max_size=60),
        st.text(max_size=40) | st.emails(),
        st.datetimes(timezones=st.timezones()),
        st.lists(
            st.builds(
                ItemReport,
                st.integers(1, 99),
                st.text(max_size=80),
                st.integers(1, 10**6),
                st.sampled_from([Verdict.QUERY, Verdict.REFUSE]),
                st.just(FINDINGS),
                st.none() | st.just(PRINT_MM),
                st.text(max_size=40),
                st.just(""),
                st.text(max_size=40),
            ),
            max_size=3,
        ).map(tuple),
        st.integers(0, 5),
        st.text(max_size=40),
        st.lists(st.tuples(st.text(max_size=40), st.binary(max_size=40)), max_size=2).map(tuple),
    )
)
def test_any_names_make_a_message_that_reads_back(written: Message) -> None:
    """Every header is one of ours, lines are short and ASCII, and attachments survive."""
    mail = compose_message(written)
    assert mail.isascii()
    assert all(len(line) <= 998 for line in mail.split(b"\r\n"))  # RFC 5322, 2.1.1
    parsed = opened(mail)
    known = {"X-Unsent", "Date", "From", "To", "Subject", "Message-ID", "MIME-Version", "Content-Type",
             "Content-Transfer-Encoding"}  # fmt: skip
    assert set(parsed.keys()) <= known
    assert [part.get_content() for part in parsed.iter_attachments()] == [c for _, c in written.attachments]
    assert "What happens next:" in body_of(mail)
