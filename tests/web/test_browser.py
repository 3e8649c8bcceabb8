"""What people do, in a real browser: let in, scan by phone and by scanner, spoil, undo, search, release."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, Page, Route, expect  # noqa: E402 - after the question

from tests.web.browsers import Served, find_chromium, type_scan, wait_for  # noqa: E402
from tests.web.test_drop import thin_art  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]


def watch(page: Page) -> list[str]:
    """What the browser complains of, the policy's refusals among it."""
    said: list[str] = []
    page.on("console", lambda m: said.append(m.text) if m.type == "error" and "409" not in m.text else None)
    page.on("pageerror", lambda e: said.append(str(e)))
    return said


def test_a_device_is_let_in_by_typing_the_code(served: Served, browser: Browser) -> None:
    """A stranger sees only the field for the code; with it, the line; revoked, the field again."""
    page = browser.new_context().new_page()
    page.goto(f"{served.address}/where")
    expect(page.get_by_role("heading")).to_have_text("This device is not let in yet")
    code = served.shop.devices.new_code("station")
    page.get_by_label("Pairing code").fill(f"{code[:4]} {code[4:]}")
    page.get_by_label("Name of this device").fill("press kiosk")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("The line")
    served.shop.devices.revoke(served.shop.devices.devices()[0].id)
    page.goto(served.address)
    expect(page.get_by_role("heading")).to_have_text("This device is not let in yet")


def test_a_phone_scans_with_one_button(served: Served, browser: Browser) -> None:
    """From the QR's address: say once where it is, press 40 printed, fewer and spoiled next, undo."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser, size="phone")
    said = watch(page)
    page.goto(f"{served.address}/t/{code}")
    page.get_by_label("This device is at").select_option("print")
    page.get_by_role("button", name="Remember").click()
    page.get_by_role("link", name="Choose your name").click()
    page.get_by_role("button", name="Ines").click()
    expect(page.locator(".who")).to_contain_text("Used by Ines")
    page.get_by_role("button", name="40 printed").click()
    expect(page.get_by_role("status")).to_contain_text("40 pieces")
    page.get_by_label("This device is at").select_option("powder")
    page.get_by_role("button", name="Remember").click()
    page.get_by_text("Fewer or spoiled…").click()
    page.get_by_label("Good").fill("38")
    page.get_by_label("Spoiled", exact=True).fill("2")
    page.get_by_label("powder or dust").check()
    page.get_by_role("button", name="Book it").click()
    expect(page.get_by_role("status")).to_contain_text("start again at print")
    assert served.shop.waiting("OB-1") == {"print": 2, "powder": 0, "cure": 38, "press": 0, "dispatch": 0}
    page.get_by_role("button", name="Undo the last scan").click()
    expect(page.get_by_role("status")).to_contain_text("taken back")
    assert served.shop.waiting("OB-1")["powder"] == 40
    assert served.shop.scans()[-1].by == "Ines"
    assert said == []


ENDINGS = ["Enter", "Tab"]


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_scanner_types_anywhere(served: Served, browser: Browser, ending: str) -> None:
    """Address, prefix, lower case or bare code, at a scanner's speed, with nothing clicked."""
    codes = [served.shop.take(f"OB-{n}") for n in range(4)]
    page = served.let_in(browser)
    said = watch(page)
    page.goto(f"{served.address}/at/print")
    address = f"{served.address}/t/"
    for text in (codes[0], f"]Q1{codes[1]}", f"{address}{codes[2]}", f"]Q1{address}{codes[3]}".lower()):
        type_scan(page, text, ending)
    wait_for(lambda: all(served.shop.waiting(f"OB-{n}")["powder"] == 40 for n in range(4)))
    expect(page.locator("#answer")).to_contain_text("40 pieces")
    expect(page.locator("#answer")).to_contain_text("Booked")
    expect(page.locator("#done")).to_contain_text("40")
    expect(page.locator("#waiting")).to_contain_text("Nothing waits here.")
    assert said == []


def test_what_is_typed_while_the_page_is_coming_is_not_lost(served: Served, browser: Browser) -> None:
    """Scripts that come late find what was typed meanwhile; a scan over a reload is whole."""
    early, parted = served.shop.take("OB-1"), served.shop.take("OB-2")
    page = served.let_in(browser)
    waiting: list[Route] = []
    page.route("**/static/scan.js", lambda route: waiting.append(route))
    page.goto(f"{served.address}/at/print", wait_until="commit")
    page.wait_for_selector("#waiting", state="attached")
    type_scan(page, early)
    page.keyboard.type(parted[:3])
    wait_for(lambda: bool(waiting))
    waiting[0].continue_()
    expect(page.locator("#answer")).to_contain_text(f"40 pieces of {early}")
    expect(page.locator("#typed")).to_have_text(parted[:3])
    page.unroute("**/static/scan.js")
    page.reload()
    type_scan(page, parted[3:])
    expect(page.locator("#answer")).to_contain_text(f"40 pieces of {parted}")
    page.reload()
    expect(page.locator("#typed")).to_have_text("")
    assert served.shop.waiting("OB-1")["powder"] == served.shop.waiting("OB-2")["powder"] == 40


def test_a_number_before_the_scan_is_the_number_of_pieces(served: Served, browser: Browser) -> None:
    """By the keys or by a button; it counts for one scan, and is never read together with the code."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/print")
    type_scan(page, "12")
    expect(page.locator("#next")).to_have_text("12 good")
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("12 pieces")
    page.get_by_role("button", name="5", exact=True).click()
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("5 pieces")
    page.keyboard.type("3")
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("Not booked")
    assert served.shop.waiting("OB-1")["powder"] == 17
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("23 pieces")


def test_spoiled_pieces_are_booked_with_why(served: Served, browser: Browser) -> None:
    """Number, the key Spoiled, a reason, the scan; and its undo from the list."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/print")
    type_scan(page, "2")
    page.get_by_role("button", name="Spoiled").click()
    page.get_by_label("wrong colour").check()
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("2 pieces start again at print")
    assert served.shop.scans()[-1].payload["why"] == "wrong colour"
    page.locator("#done").get_by_role("button", name="Undo").click()
    expect(page.locator("#answer")).to_contain_text("taken back")
    assert served.shop.codes("OB-1") == [code]


def test_a_scan_that_cannot_be_is_told_large(served: Served, browser: Browser) -> None:
    """Where the pieces are, in words and with another shape; nothing is booked."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/press")
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("40 at print")
    expect(page.locator("#answer .shape")).to_have_text("✕")
    assert served.shop.scans() == []


def test_two_scanners_do_not_mix(served: Served, browser: Browser) -> None:
    """Two pages, character by character in turn: each scan is read whole."""
    one, other = served.shop.take("OB-1"), served.shop.take("OB-2")
    pages = [served.let_in(browser), served.let_in(browser)]
    for page in pages:
        page.goto(f"{served.address}/at/print")
    for left, right in zip(one, other, strict=True):
        pages[0].keyboard.type(left)
        pages[1].keyboard.type(right)
    for page in pages:
        page.keyboard.press("Enter")
    for page, number in zip(pages, ("OB-1", "OB-2"), strict=True):
        expect(page.locator("#answer")).to_contain_text("40 pieces")
        assert served.shop.waiting(number)["powder"] == 40


def test_open_pages_follow_what_others_do(served: Served, browser: Browser) -> None:
    """A scan elsewhere shows on the line and at the next station without a reload."""
    code = served.shop.take("OB-1")
    line, station = served.let_in(browser), served.let_in(browser)
    line.goto(served.address)
    station.goto(f"{served.address}/at/powder")
    expect(station.locator("#waiting")).to_contain_text("Nothing waits here.")
    line.evaluate("window.isSamePage = true")
    served.shop.scan(code, "print")
    expect(station.locator("#waiting")).to_contain_text("Otter Bank")
    expect(line.get_by_role("img", name="Print: 0, Powder: 40")).to_be_visible()
    assert line.evaluate("window.isSamePage") is True


def test_answers_come_as_one_types(served: Served, browser: Browser) -> None:
    """No button, a slip forgiven, and from the answer to the order."""
    served.shop.take("OB-1")
    served.shop.take("OB-2", customer_name="Thistle Bakery")
    page = served.let_in(browser, "desk")
    said = watch(page)
    page.goto(f"{served.address}/where")
    page.keyboard.type("thistel", delay=20)
    expect(page.locator("#answers")).to_contain_text("Thistle Bakery")
    expect(page.locator("#answers")).not_to_contain_text("Otter")
    page.get_by_role("link", name="OB-2").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Thistle Bakery")
    assert said == []


def test_a_question_is_answered_on_its_page(served: Served, browser: Browser) -> None:
    """With the marked art in sight: who said so, what they said, and the ticket may be scanned."""
    code = served.shop.take("OB-1", verdict="query")
    page = served.let_in(browser, "desk")
    said = watch(page)
    page.goto(f"{served.address}/queries")
    art = page.get_by_role("img", name="Artwork with the places marked")
    wait_for(lambda: art.evaluate("image => image.complete && image.naturalWidth > 100"))
    page.get_by_label("Who says so").fill("Ines")
    page.get_by_label("What the customer said").fill("thin lines are fine")
    page.get_by_role("button", name="Release as it is").click()
    expect(page.get_by_role("status")).to_contain_text("answered")
    expect(page.get_by_text("No question is open")).to_be_visible()
    served.shop.scan(code, "print")
    assert said == []


def test_the_server_away_is_said_and_the_scan_is_kept(served: Served, browser: Browser) -> None:
    """In words, with a shape of its own; once the server is back it is sent by itself."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/at/print")
    page.context.set_offline(True)
    type_scan(page, code)
    expect(page.locator("#answer")).to_contain_text("Kept here")
    expect(page.locator("#answer .shape")).to_have_text("…")
    assert served.shop.scans() == []
    page.context.set_offline(False)
    expect(page.locator("#kept")).to_be_hidden()
    assert served.shop.waiting("OB-1")["powder"] == 40


def test_artwork_is_dropped_seen_and_sent(served: Served, browser: Browser) -> None:
    """Dragged onto the page it is checked at once; the size is mended, and it goes off by keyboard alone."""
    page = served.let_in(browser, "desk", "phone")
    said = watch(page)
    page.goto(f"{served.address}/drop")
    art = base64.b64encode(thin_art()).decode()
    page.evaluate(f"({DROPPED})", art)
    page.wait_for_url(lambda url: "/drop/" in url)
    expect(page.get_by_text("line-width")).to_be_visible()
    picture = page.get_by_role("img", name="Artwork with the places marked: crest.png")
    wait_for(lambda: picture.evaluate("image => image.complete && image.naturalWidth > 100"))
    page.get_by_label("Width of the print in mm").fill("120")
    page.keyboard.press("Tab")
    expect(page.get_by_text("120.0 × 85.7 mm")).to_be_visible()
    for label, words in (("Pieces", "4"), ("Customer", "Otter Bank"), ("Order number", "D-1")):
        page.get_by_label(label, exact=True).fill(words)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert page.evaluate(f"({LOOKS}).tooSmall()") == []
    page.get_by_role("button", name="Send the order").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("D-1: The order is on its way")
    assert len(list((served.shop.shop.inbox / "Otter Bank").glob("D-1-*.zip"))) == 1
    assert said == []


def test_a_large_file_shows_its_way_and_one_too_large_is_not_sent(
    served: Served, browser: Browser, tmp_path: Path
) -> None:
    """Chosen instead of dragged; what the shop does not take is said before a byte goes off."""
    page = served.let_in(browser, "desk")
    page.goto(f"{served.address}/drop")
    page.evaluate("document.getElementById('drop').dataset.largest = '1000'")
    (tmp_path / "poster.tiff").write_bytes(b"II*\0" + b"\0" * 2000)
    page.get_by_label("Choose files").set_input_files(tmp_path / "poster.tiff")
    expect(page.get_by_role("status")).to_contain_text("larger than the shop takes")
    page.evaluate("document.getElementById('drop').dataset.largest = '100000000'")
    (tmp_path / "crest.png").write_bytes(thin_art())
    page.get_by_label("Choose files").set_input_files(tmp_path / "crest.png")
    page.wait_for_url(lambda url: "/drop/" in url)
    expect(page.get_by_role("heading", name="crest.png")).to_be_visible()


DROPPED = """(text) => {
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const carried = new DataTransfer();
  carried.items.add(new File([bytes], "crest.png", { type: "image/png" }));
  const told = { dataTransfer: carried, bubbles: true, cancelable: true };
  document.body.dispatchEvent(new DragEvent("drop", told));
}"""
LOOKS = (Path(__file__).parent / "looks.js").read_text("utf-8")


def test_a_ticket_is_scanned_by_keyboard_alone(served: Served, browser: Browser) -> None:
    """Tab to the big button and Enter; what has the focus can be seen."""
    code = served.shop.take("OB-1")
    page = served.let_in(browser)
    page.goto(f"{served.address}/t/{code}")
    page.get_by_label("This device is at").select_option("print")
    page.get_by_role("button", name="Remember").click()
    page.goto(f"{served.address}/t/{code}")
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == "40 printed":
            break
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("40 pieces")
