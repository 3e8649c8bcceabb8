"""The questions' page in a real browser: repairs looked at and released, and new artwork sent in."""

from __future__ import annotations

from functools import partial

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from pathlib import Path  # noqa: E402 - after the question

from playwright.sync_api import Browser, expect  # noqa: E402 - likewise

from intake.sandbox import Sandbox  # noqa: E402
from tests.intake.repairs.pictures import drawn  # noqa: E402
from tests.web.browsers import find_chromium, serve, wait_for  # noqa: E402
from tests.web.shops import WebShop  # noqa: E402
from tests.web.test_browser import LOOKS, watch  # noqa: E402
from tests.web.test_mends import Desk, png, sandbox  # noqa: E402
from tickets.lookup.items import items_of  # noqa: E402

__all__ = ["sandbox"]
pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]

WATCH_SENDING = """(form, largest) => {
  form.dataset.largest = largest;
  const told = form.querySelector("[role=status]");
  window.toldOfSending = [];
  new MutationObserver(() => window.toldOfSending.push(told.textContent)).observe(told, { childList: true });
}"""


def test_a_question_is_repaired_and_another_gets_new_artwork(
    web_shop: WebShop, sandbox: Sandbox, browser: Browser, tmp_path: Path
) -> None:
    """Before and after on the very page, narrow and in the dark too; what is done is in the books."""
    desk = Desk.hasty(web_shop, sandbox)
    desk.set_remembering()
    with serve(web_shop) as served:
        page = served.let_in(browser, "desk", "phone")
        said = watch(page)
        page.goto(f"{served.address}/queries")
        page.get_by_text("Repair it here: Remove specks").click()
        for view in ("Before", "After", "Before, close"):
            picture = page.get_by_role("img", name=f"{view}: Remove specks", exact=True)
            wait_for(partial(picture.evaluate, "image => image.complete && image.naturalWidth > 100"))
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert page.evaluate("document.documentElement.scrollWidth") <= 320
            assert page.evaluate(f"({LOOKS}).tooSmall()") == []
            assert page.evaluate(f"({LOOKS}).tooFaint()") == []
        page.get_by_role("checkbox", name="Do this: Trim the margins").uncheck()
        page.get_by_role("button", name="See the chosen ones together").click()
        expect(page.get_by_text("something is still asked")).to_be_visible()
        page.get_by_role("checkbox", name="Do this: Trim the margins").check()
        page.get_by_label("Who says so").fill("Ines")
        page.get_by_label("Do not ask again").uncheck()
        page.get_by_role("button", name="Release repaired").click()
        expect(page.get_by_role("status").first).to_contain_text("was repaired (specks and trim)")
        assert items_of(web_shop.shop.store, "OB-1")[0].revision == 2
        desk.drop("OB-2", "Otter Bank")
        (tmp_path / "final.png").write_bytes(png(drawn(250, 250, [(0, 0, 250, 250)])))
        page.goto(f"{served.address}/queries")
        page.get_by_label("The corrected file").set_input_files(tmp_path / "final.png")
        form = page.locator("form[data-sending]")
        largest = form.get_attribute("data-largest")
        form.evaluate("form => { form.dataset.largest = 1; }")
        page.get_by_role("button", name="Send it in").click()
        expect(form.get_by_role("status")).to_contain_text("larger than the shop takes")
        form.evaluate(WATCH_SENDING, largest)
        page.get_by_role("button", name="Send it in").click()
        expect(page.get_by_role("status").first).to_contain_text("The new crest.png for OB-2 is on its way")
        expect(page.get_by_role("status").first).to_be_focused()
        assert page.evaluate("window.toldOfSending").pop() == "On its way: 100 %"
        desk.take_in()
        assert desk.standing("OB-2") == "in work"
        page.goto(f"{served.address}/queries")
        expect(page.get_by_text("No question is open")).to_be_visible()
        assert said == []
