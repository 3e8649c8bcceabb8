"""The network goes away: scans are kept in the device, sent when it is back, and each is counted once."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, Page, Playwright, expect, sync_playwright  # noqa: E402 - after it
from sqlmodel import col, select  # noqa: E402 - after the question

from tests.web.browsers import ARGUMENTS, Served, find_chromium, start_browser, type_scan, wait_for  # noqa: E402
from tests.web.killing import Killable  # noqa: E402
from tests.web.shops import WebShop  # noqa: E402
from tickets.models import Scan  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]
SCANS_EACH, DEVICES = 50, 4
HOST = "pages.shop.example"


@pytest.fixture(scope="module")
def driver() -> Iterator[Playwright]:
    """What starts browsers."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(driver: Playwright) -> Iterator[Browser]:
    """One browser for all tests of this module on plain http."""
    started = start_browser(driver)
    yield started
    started.close()


@pytest.fixture
def server(web_shop: WebShop) -> Iterator[Killable]:
    """The shop's pages, served by a process that can be killed."""
    there = Killable(web_shop.shop.folder)
    there.start()
    yield there
    there.kill()


def let_in(web_shop: WebShop, server: Killable, browser: Browser, path: str) -> Page:
    """A device of its own, let in, at a page."""
    page = Served(web_shop, f"http://127.0.0.1:{server.port}").let_in(browser)
    page.goto(f"http://127.0.0.1:{server.port}{path}")
    return page


def booked(web_shop: WebShop) -> list[Scan]:
    """Every scan in the books, in the order in which they were booked."""
    with web_shop.shop.store.reading() as session:
        return list(session.exec(select(Scan).where(Scan.kind == "scan").order_by(col(Scan.id))))


def test_every_scan_counts_once_though_the_server_dies(
    web_shop: WebShop, server: Killable, browser: Browser
) -> None:
    """200 scans of one piece each from four devices; the server is killed in the middle and comes back."""
    codes = [web_shop.take(f"OB-{n}", SCANS_EACH) for n in range(DEVICES)]
    pages = [let_in(web_shop, server, browser, "/at/print") for _ in codes]
    for turn in range(SCANS_EACH):
        if turn == SCANS_EACH // 3:
            server.kill()
        if turn == SCANS_EACH * 3 // 4:
            server.start()
        for page, code in zip(pages, codes, strict=True):
            page.keyboard.type(f"1\r{code}\r")
    wait_for(lambda: len(booked(web_shop)) >= SCANS_EACH * DEVICES)
    for n, page in enumerate(pages):
        expect(page.locator("#kept")).to_be_hidden()
        assert web_shop.waiting(f"OB-{n}") == {
            "print": 0, "powder": SCANS_EACH, "cure": 0, "press": 0, "dispatch": 0
        }  # fmt: skip
    scans = booked(web_shop)
    assert len(scans) == SCANS_EACH * DEVICES
    for code in codes:
        own = [scan for scan in scans if scan.code == code]
        counts = [scan.device_sequence for scan in own]
        clocks = [scan.device_at for scan in own]
        assert counts == list(range(1, SCANS_EACH + 1))
        assert clocks == sorted(clocks, key=str)


def test_what_no_longer_fits_comes_back_as_a_question(
    web_shop: WebShop, server: Killable, browser: Browser
) -> None:
    """Pieces that went on meanwhile: nothing is lost, and a person says what becomes of each scan."""
    gone, fewer = web_shop.take("OB-1"), web_shop.take("OB-2")
    unseen, dropped = web_shop.take("OB-3"), web_shop.take("OB-4")
    page = let_in(web_shop, server, browser, "/at/print")
    server.kill()
    for words in (gone, "30", fewer, dropped):
        type_scan(page, words)
    expect(page.locator("#answer")).to_contain_text("Kept here")
    expect(page.locator("#kept")).to_contain_text("3 scans wait to be sent")
    page.goto("about:blank")  # the page may be closed meanwhile
    web_shop.scan(gone, "print")
    web_shop.scan(fewer, "print", good=20)
    web_shop.scan(dropped, "print")
    server.start()
    page.goto(f"http://127.0.0.1:{server.port}/kept")
    questions = page.locator(".kept-question")
    expect(questions).to_have_count(3)
    questions.filter(has_text=fewer).get_by_role("button", name="Book all that wait there").click()
    expect(questions).to_have_count(2)
    assert web_shop.waiting("OB-2")["powder"] == 40
    web_shop.shop.ledger.undo(gone)
    questions.filter(has_text=gone).get_by_role("button", name="Try again").click()
    expect(questions).to_have_count(1)
    assert web_shop.waiting("OB-1")["powder"] == 40
    questions.get_by_role("button", name="Leave it out…").click()
    page.get_by_role("button", name="Yes, leave it out").click()
    expect(page.locator("#kept")).to_be_hidden()
    assert web_shop.waiting("OB-3")["print"] == 40, unseen


def test_a_scan_not_yet_sent_can_be_taken_off(web_shop: WebShop, server: Killable, browser: Browser) -> None:
    """All but the first, which may have arrived; the rest is sent in order."""
    codes = [web_shop.take(f"OB-{n}") for n in range(3)]
    page = let_in(web_shop, server, browser, "/at/print")
    server.kill()
    for code in codes:
        type_scan(page, code)
    rows = page.locator(".kept-waiting li")
    expect(rows).to_have_count(3)
    expect(page.get_by_role("button", name="Take off")).to_have_count(2)
    rows.filter(has_text=codes[1]).get_by_role("button").click()
    expect(rows).to_have_count(2)
    server.start()
    wait_for(lambda: len(booked(web_shop)) == 2)
    assert [scan.code for scan in booked(web_shop)] == [codes[0], codes[2]]
    assert web_shop.waiting("OB-1")["print"] == 40


def test_a_kept_scan_carries_the_name_of_then(web_shop: WebShop, server: Killable, browser: Browser) -> None:
    """Whoever is there when it is sent; and pages of the device's own store name who is there now."""
    code, other = web_shop.take("OB-1"), web_shop.take("OB-2")
    page = let_in(web_shop, server, browser, "/at/print")
    device = web_shop.devices.devices()[0].id
    page.evaluate("navigator.serviceWorker.ready")
    web_shop.web.sign_ins.sign_in(device, "Ines")
    page.goto(f"http://127.0.0.1:{server.port}/t/{other}")
    page.goto(f"http://127.0.0.1:{server.port}/at/print")
    expect(page.locator(".who")).to_contain_text("Used by Ines")
    expect(page.locator("#next")).to_be_visible()
    server.kill()
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("Kept here")
    web_shop.web.sign_ins.sign_in(device, "Tomek")
    server.start()
    wait_for(lambda: len(web_shop.scans()) == 1)
    page.reload()
    expect(page.locator(".who")).to_contain_text("Used by Tomek")
    server.kill()
    page.goto(f"http://127.0.0.1:{server.port}/t/{other}")
    expect(page.locator(".who")).to_contain_text("Used by Tomek")
    server.start()
    page.goto(f"http://127.0.0.1:{server.port}/at/print")
    expect(page.locator("#next")).to_be_visible()
    type_scan(page, other)
    wait_for(lambda: len(web_shop.scans()) == 2)
    assert [event.by for event in web_shop.scans()] == ["Ines", "Tomek"]


def test_a_device_revoked_meanwhile_keeps_its_scans(
    web_shop: WebShop, server: Killable, browser: Browser
) -> None:
    """It is told so; let in again it sends them, though its cookie is another one now."""
    code = web_shop.take("OB-1")
    page = let_in(web_shop, server, browser, "/at/print")
    web_shop.devices.revoke(web_shop.devices.devices()[0].id)
    type_scan(page, code)
    expect(page.locator("#kept")).to_contain_text("not let in any more")
    other = page.context.new_page()
    other.goto(f"http://127.0.0.1:{server.port}/pair/{web_shop.devices.new_code('station')}")
    other.get_by_role("button", name="Let this device in").click()
    wait_for(lambda: web_shop.waiting("OB-1")["powder"] == 40)
    expect(page.locator("#kept")).to_be_hidden()


def issue(folder: Path) -> tuple[Path, str]:
    """A certificate for the shop's name, and the hash of its key as the browser's switch wants it."""
    trustme = pytest.importorskip("trustme", reason="the package trustme is not installed")
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
    from cryptography.x509 import load_pem_x509_certificate

    issued = trustme.CA().issue_cert(HOST)
    pem = folder / "shop.pem"
    issued.private_key_and_cert_chain_pem.write_to_path(str(pem))
    key = load_pem_x509_certificate(issued.cert_chain_pems[0].bytes()).public_key()
    told = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return pem, base64.b64encode(hashlib.sha256(told).digest()).decode()


def test_over_https_it_survives_a_reload_and_opens_pages_never_seen(
    web_shop: WebShop, driver: Playwright, tmp_path: Path
) -> None:
    """Another host name, a certificate of the shop's own: reloaded and scanned while the server is dead."""
    pem, key_hash = issue(tmp_path)
    server = Killable(web_shop.shop.folder, ("--certificate", str(pem)))
    switches = [
        f"--host-resolver-rules=MAP {HOST} 127.0.0.1",
        f"--ignore-certificate-errors-spki-list={key_hash}",
    ]
    browser = driver.chromium.launch(executable_path=find_chromium(), args=[*ARGUMENTS, *switches])
    address = f"https://{HOST}:{server.port}"
    codes = [web_shop.take(f"OB-{n}") for n in range(4)]
    try:
        server.start()
        page = Served(web_shop, address).let_in(browser)
        page.goto(f"{address}/at/print")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.goto(f"{address}/t/{codes[0]}")
        page.get_by_label("This device is at").select_option("print")
        page.get_by_role("button", name="Remember").click()
        page.goto(f"{address}/at/print")
        server.kill()
        type_scan(page, codes[1])
        expect(page.locator("#answer")).to_contain_text("Kept here")
        page.reload()
        expect(page.locator("#kept")).to_contain_text("1 scan waits to be sent")
        type_scan(page, codes[2])
        page.goto(f"{address}/t/{codes[0]}")
        page.get_by_role("button", name="40 printed").click()
        expect(page.get_by_role("status")).to_contain_text("Kept on this device")
        page.goto(f"{address}/t/{codes[3]}")
        expect(page.get_by_label("Ticket code")).to_have_value(codes[3])
        expect(page.get_by_label("Station")).to_have_value("print")
        page.get_by_role("button", name="Book it").click()
        expect(page.locator("#kept")).to_contain_text("4 scans wait to be sent")
        server.start()
        expect(page.locator("#kept")).to_be_hidden()
    finally:
        server.kill()
        browser.close()
    assert [scan.code for scan in booked(web_shop)] == [codes[1], codes[2], codes[0], codes[3]]
    assert [scan.device_sequence for scan in booked(web_shop)] == [1, 2, 3, 4]
