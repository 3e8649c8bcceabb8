"""Every page in a real browser: on a narrow phone, by keyboard, without motion, on paper, in German."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")

from playwright.sync_api import Browser, Error, Page  # noqa: E402 - after the question

from tests.tickets.test_languages import WORDING, german_of  # noqa: E402
from tests.web.browsers import SIZES, Served, find_chromium, serve  # noqa: E402
from tests.web.every_page import furnish, page_routes  # noqa: E402
from tests.web.shops import open_web_shop  # noqa: E402
from tickets.languages import speak_in_house  # noqa: E402

pytestmark = [
    pytest.mark.skipif(find_chromium() is None, reason="no chromium on this machine"),
    pytest.mark.slow,
]
LOOKS = Path(__file__).with_name("looks.js").read_text("utf-8")
MOST_TABS = 150
FOCUSABLE = """() => {
  const can = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']";
  const found = [...document.querySelectorAll(can)].filter((e) => e.checkVisibility() && !e.disabled);
  const groups = new Set();
  window.wanted = found.filter((e) => {
    if (e.type !== "radio") return true;
    const is_new = !groups.has(e.name);
    groups.add(e.name);
    return is_new;
  });
  window.reached = new Set();
  window.unseen = [];
  document.addEventListener("focusin", (event) => {
    const e = event.target, style = getComputedStyle(e.type === "radio" ? e.nextElementSibling ?? e : e);
    reached.add(e.type === "radio" ? e.name : e);
    if (style.outlineStyle === "none" || style.outlineWidth === "0px") unseen.push(e.outerHTML.slice(0, 120));
  });
}"""
MISSED = """() => wanted.filter((e) => !reached.has(e.type === "radio" ? e.name : e))
  .map((e) => e.outerHTML.slice(0, 120))"""
MOVING = """() => [...document.querySelectorAll("*")].filter((e) => {
  const { animationName, transitionDuration, scrollBehavior } = getComputedStyle(e);
  return animationName !== "none" || transitionDuration !== "0s" || scrollBehavior === "smooth";
}).map((e) => e.outerHTML.slice(0, 120))"""
ON_PAPER = """() => [...document.querySelectorAll("nav, form, button, .button, .skip, .foot")]
  .filter((e) => e.checkVisibility()).map((e) => e.outerHTML.slice(0, 120))"""
GROUND = "getComputedStyle(document.documentElement).backgroundColor"
# All that is read: the page's words, those of drop-downs and details, what screen readers and scripts say.
READ = """() => {
  const said = [document.title, document.documentElement.lang];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) if (!walk.currentNode.parentElement.closest("script, style, textarea, noscript")) {
    said.push(walk.currentNode.data);
  }
  for (const e of document.querySelectorAll("*")) {
    for (const { name, value } of e.attributes) {
      const is_told = /^(alt|title|placeholder|aria-label)$/.test(name);
      if (is_told || name.startsWith("data-") && value.includes(" ")) said.push(value);
    }
  }
  return said.join("\\n");
}"""
# What customers, people and files are called, and what findings of this shop say: no words of the pages.
NAMES = (
    "artwork report back jan feb mar apr may jun jul aug sep oct nov dec mon tue wed thu fri sat sun "
    "otter bank rowing club kit example mid moorland long distance walkers crest png navy hoodie left "
    "chest some lines are only wide make them least mm ines tomek heron lane prints office computer press "
    "kiosk front desk the hoodies late english subject hot peel warm cold order customer purchase number "
    "item items artwork placement pieces signature follows for endfor endif elif else consignments "
    "collected only numbers join length filmdocket device add watch people role shop toml host print "
    "command messages text old smtp send pdf eml unguessable orders where line "
)


@pytest.fixture(scope="module")
def every(
    tmp_path_factory: pytest.TempPathFactory, template: Path
) -> Iterator[tuple[Served, dict[str, list[str]]]]:
    """A shop that has something on each page, served; and the addresses of all pages."""
    for shop in open_web_shop(template, tmp_path_factory.mktemp("every") / "shop"):
        pages = furnish(shop)
        with serve(shop) as served:
            yield served, pages


@pytest.fixture(scope="module")
def page(every: tuple[Served, dict[str, list[str]]], browser: Browser) -> Page:
    """An owner's browser."""
    return every[0].let_in(browser, "owner")


@pytest.fixture
def one_each(every: tuple[Served, dict[str, list[str]]]) -> list[str]:
    """An address of each page."""
    served, pages = every
    return [served.address + paths[0] for paths in pages.values()]


@pytest.fixture
def addresses(every: tuple[Served, dict[str, list[str]]]) -> list[str]:
    """Every address to be looked at."""
    served, pages = every
    return [served.address + path for paths in pages.values() for path in paths]


def see(page: Page, address: str) -> None:
    """Open a page; where the one before goes on by itself just then, once more."""
    try:
        page.goto(address)
    except Error:
        page.goto(address)


def test_no_page_is_left_out(every: tuple[Served, dict[str, list[str]]]) -> None:
    """A new page has an address here, or is none: so that all that follows is asked of it too."""
    served, pages = every
    assert page_routes(served.shop.app) - set(pages) == set()


@pytest.mark.parametrize(("scheme", "size"), [("light", "phone"), ("dark", "desktop")])
def test_every_page_is_fit_for_everybody(
    page: Page, addresses: list[str], one_each: list[str], scheme: str, size: str
) -> None:
    """axe-core finds nothing; nothing runs over the side; what is pressed is 44 px tall; words stand out."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed").Axe()
    page.set_viewport_size({"width": SIZES[size][0], "height": SIZES[size][1]})
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]
    for address in addresses if scheme == "light" else one_each:
        see(page, address)
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0], address
        assert page.evaluate(f"({LOOKS}).tooSmall()") == [], address
        assert page.evaluate(f"({LOOKS}).tooFaint()") == [], address
        if address in one_each:
            found = axe.run(page).response["violations"]
            told = [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found]
            assert told == [], address
    page.emulate_media(color_scheme="light", reduced_motion="no-preference")
    page.set_viewport_size({"width": SIZES["desktop"][0], "height": SIZES["desktop"][1]})


def test_everything_is_reached_by_tab_and_seen_when_it_is(page: Page, one_each: list[str]) -> None:
    """No page keeps anything from those who have no mouse, and the focus is outlined wherever it is."""
    for address in one_each:
        see(page, address)
        page.evaluate(FOCUSABLE)
        rounds = 0  # some pages put the focus into a field in their middle
        for _ in range(MOST_TABS):
            page.keyboard.press("Tab")
            rounds += page.evaluate("document.activeElement === document.body")
            if rounds == 2:
                break
        assert page.evaluate(MISSED) == [], address
        assert page.evaluate("unseen") == [], address


def test_nothing_moves_where_that_is_wished_and_paper_is_white(page: Page, one_each: list[str]) -> None:
    """No animation, no transition; printed, also from a dark screen, it is black on white without buttons."""
    page.set_viewport_size({"width": SIZES["phone"][0], "height": SIZES["phone"][1]})
    for address in one_each:
        page.emulate_media(media="screen", color_scheme="dark", reduced_motion="reduce")
        see(page, address)
        assert page.evaluate(MOVING) == [], address
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0], address
        assert page.evaluate(f"({LOOKS}).tooFaint()") == [], address
        page.emulate_media(media="print", color_scheme="dark")
        assert page.evaluate(ON_PAPER) == [], address
        assert page.evaluate(GROUND) == "rgb(255, 255, 255)", address
    page.emulate_media(media="screen", color_scheme="light", reduced_motion="no-preference")
    page.set_viewport_size({"width": SIZES["desktop"][0], "height": SIZES["desktop"][1]})


@pytest.fixture
def _house_speaks_english_again() -> Iterator[None]:
    yield
    speak_in_house("en")


@pytest.mark.usefixtures("_house_speaks_english_again")
def test_in_a_german_shop_no_english_word_is_left(tmp_path: Path, template: Path, browser: Browser) -> None:
    """Of all that is read on any page, messages and findings too, nothing is a word that only English has."""
    foreign = words_of("english") - words_of("german") - set(NAMES.split())
    assert {"waits", "questions", "nothing", "undo"} <= foreign  # so that the test can fail
    german = tmp_path / "template"
    shutil.copytree(template, german)
    settings = (german / "shop.toml").read_text("utf-8")
    (german / "shop.toml").write_text(settings.replace("[shop]", '[shop]\nlanguage = "de"'), "utf-8")
    for shop in open_web_shop(german, tmp_path / "shop"):
        with serve(shop) as served:
            page = served.let_in(browser, "owner")
            for path in [path for paths in furnish(shop).values() for path in paths]:
                see(page, served.address + path)
                assert page.locator("html").get_attribute("lang") == "de", path
                read = page.evaluate(READ)
                left = {word for word in tokens(read) if word in foreign}
                assert left == set(), (path, [line for line in read.split("\n") if left & set(tokens(line))])


def tokens(text: str) -> list[str]:
    """Its words, in small letters."""
    return re.findall(r"[a-zäöüß]{3,}", text.lower())


def words_of(which: str) -> set[str]:
    """All words that the wording modules of a language have, and those of the other sentences."""
    found: set[str] = set()
    for name in WORDING:
        module = importlib.import_module(name) if which == "english" else german_of(name)
        tree = ast.parse(Path(inspect.getsourcefile(module) or "").read_text("utf-8"))
        notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in notes:
                found.update(tokens(node.value))
    for name in ("tickets.german.sentences", "intake.german.sentences"):
        said = importlib.import_module(name).SENTENCES
        for sentence in said if which == "english" else said.values():
            found.update(tokens(sentence))
    return found
