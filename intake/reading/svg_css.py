"""Style sheets inside an SVG: matched as renderers do, and written into the elements' own attributes."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

_IMPORT = re.compile(r"@import\s+(?:url\()?\s*['\"]?([^'\")\s;]*)", re.IGNORECASE)
_MARKS = re.compile(r"[{};]")
_PART = re.compile(r"\*|[#.]?[\w-]+|\[[^\]]*\]|:[:\w()-]+")
_ATTRIBUTE = re.compile(r"\[\s*([\w:-]+)\s*(?:=\s*['\"]?([^'\"\]]*)['\"]?\s*)?\]")
_MOST_RULES = 5_000
_MOST_MATCHES = 2_000_000
_MOST_CHARACTERS = 1 << 20
_LONGEST_SELECTOR = 500


@dataclass(frozen=True, slots=True)
class Compound:
    """One element of a selector: `tag` "*" for any; `is_child`: directly inside the one before."""

    tag: str
    ids: tuple[str, ...]
    classes: tuple[str, ...]
    attributes: tuple[tuple[str, str | None], ...]
    is_child: bool

    def fits(self, element: Element, classes: set[str]) -> bool:
        """Whether the element by itself is meant."""
        return (
            self.tag in ("*", element.tag)
            and all(element.get("id") == one for one in self.ids)
            and classes.issuperset(self.classes)
            and all(
                element.get(name) is not None if value is None else element.get(name) == value
                for name, value in self.attributes
            )
        )


@dataclass(frozen=True, slots=True)
class Rule:
    """A selector with its declarations; the greater `weight` wins (CSS Cascade, specificity and order)."""

    selector: tuple[Compound, ...]
    weight: tuple[int, int, int, int]
    declarations: tuple[tuple[str, str, bool], ...]


class StyleSheet:
    """All rules of a drawing; `imports` are outside sheets that were not read."""

    def __init__(self, texts: list[str]) -> None:
        joined = _without_comments("\n".join(texts)[:_MOST_CHARACTERS])
        self.imports = {found for found in _IMPORT.findall(joined) if found}
        self._by_key: dict[str, list[Rule]] = {}
        for rule in itertools.islice(_read_rules(joined), _MOST_RULES):
            self._by_key.setdefault(_key_of(rule.selector[-1]), []).append(rule)
        self._left = _MOST_MATCHES

    def declarations(self, element: Element, ancestors: list[Element]) -> dict[str, str]:
        """Properties of an element by the style sheet and its own `style`, strongest last."""
        plain: dict[str, str] = {}
        important: dict[str, str] = {}
        for rule in self._matching(element, ancestors) if self._by_key else ():
            for name, value, is_important in rule.declarations:
                (important if is_important else plain)[name] = value
        for name, value, is_important in read_declarations(element.get("style", "")):
            (important if is_important else plain)[name] = value
        return plain | important

    def _matching(self, element: Element, ancestors: list[Element]) -> list[Rule]:
        classes = set(element.get("class", "").split())
        keys = ("*", element.tag, f"#{element.get('id')}", *(f".{name}" for name in classes))
        near = [rule for key in keys for rule in self._by_key.get(key, ())]
        met = [rule for rule in near if self._matches(rule.selector, element, classes, ancestors)]
        return sorted(met, key=lambda rule: rule.weight)

    def _matches(
        self, selector: tuple[Compound, ...], element: Element, classes: set[str], ancestors: list[Element]
    ) -> bool:
        self._left -= 1
        if self._left < 0 or not selector[-1].fits(element, classes):
            return False
        at = len(ancestors) - 1
        child = selector[-1]
        for wanted in reversed(selector[:-1]):
            while at >= 0 and not wanted.fits(ancestors[at], set(ancestors[at].get("class", "").split())):
                if child.is_child:
                    return False
                at -= 1
                self._left -= 1
            if at < 0:
                return False
            at -= 1
            child = wanted
        return True


def _without_comments(text: str) -> str:
    """The text without `/* … */`; one that is never closed takes the rest with it."""
    kept, at = [], 0
    while (begin := text.find("/*", at)) >= 0:
        kept.append(text[at:begin])
        end = text.find("*/", begin + 2)
        if end < 0:
            return " ".join(kept)
        at = end + 2
    return " ".join([*kept, text[at:]]).replace("<!--", " ").replace("-->", " ")


def _read_rules(text: str) -> Iterator[Rule]:
    """The rules at the top level; what stands in `@media` and the like is not applied, as renderers do."""
    for order, (selectors, block) in enumerate(_blocks(text)):
        declarations = tuple(read_declarations(block))
        for selector in selectors.split(","):
            compounds = _read_selector(selector) if len(selector) <= _LONGEST_SELECTOR else ()
            if compounds and declarations:
                yield Rule(compounds, _weight(compounds, order), declarations)


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """(what stands before, what stands within) each pair of braces that is no at-rule."""
    depth, begins, opened = 0, 0, 0
    for mark in _MARKS.finditer(text):
        if mark[0] == "{":
            depth += 1
            opened = mark.end() if depth == 1 else opened
        elif mark[0] == "}":
            before = text[begins : max(begins, opened - 1)].strip()
            if depth == 1 and not before.startswith("@"):
                yield before, text[opened : mark.start()]
            depth = max(0, depth - 1)
        if depth == 0:
            begins = mark.end()


def _key_of(compound: Compound) -> str:
    """Under what an element that may be meant is found."""
    if compound.ids:
        return f"#{compound.ids[0]}"
    return f".{compound.classes[0]}" if compound.classes else compound.tag


def read_declarations(block: str) -> Iterator[tuple[str, str, bool]]:
    """(property, value, is important) of a block or a `style` attribute."""
    for declaration in block.split(";"):
        name, colon, value = declaration.partition(":")
        if not colon:
            continue
        value, bang, word = value.partition("!")
        yield name.strip().lower(), value.strip(), bang != "" and word.strip().lower() == "important"


def _read_selector(text: str) -> tuple[Compound, ...]:
    """The compounds of a selector; () for one that is not understood, which then matches nothing."""
    compounds: list[Compound] = []
    is_child = False
    for word in text.replace(">", " > ").split():
        if word == ">":
            is_child = True
            continue
        compound = _read_compound(word, is_child)
        if compound is None:
            return ()
        compounds.append(compound)
        is_child = False
    return tuple(compounds)


def _read_compound(word: str, is_child: bool) -> Compound | None:
    parts = _PART.findall(word)
    if "".join(parts) != word:
        return None
    tag, ids, classes, attributes = "*", [], [], []
    for part in parts:
        if part.startswith("#"):
            ids.append(part[1:])
        elif part.startswith("."):
            classes.append(part[1:])
        elif part.startswith("["):
            found = _ATTRIBUTE.fullmatch(part)
            if found is None:
                return None
            attributes.append((found[1], found[2]))
        elif part.startswith(":"):
            return None
        else:
            tag = part
    return Compound(tag, tuple(ids), tuple(classes), tuple(attributes), is_child)


def _weight(compounds: tuple[Compound, ...], order: int) -> tuple[int, int, int, int]:
    ids = sum(len(one.ids) for one in compounds)
    classes = sum(len(one.classes) + len(one.attributes) for one in compounds)
    tags = sum(one.tag != "*" for one in compounds)
    return ids, classes, tags, order


def bake_styles(root: Element) -> set[str]:
    """Write what style sheets and `style` attributes say into plain attributes; returns sheets not read.

    Everything after this, the renderer too, sees attributes only and so the same widths and colours.
    """
    sheets = [style for style in root.iter("style") if style.get("type", "text/css") in ("text/css", "")]
    sheet = StyleSheet(["".join(style.itertext()) for style in sheets])
    for element, ancestors in with_ancestors(root):
        for name, value in sheet.declarations(element, ancestors).items():
            for plain, its in _long_forms(name, value):
                element.set(plain, its)
        element.attrib.pop("style", None)
    for parent in list(root.iter()):
        for child in [child for child in parent if child.tag == "style"]:
            parent.remove(child)
    return sheet.imports


def with_ancestors(root: Element) -> Iterator[tuple[Element, list[Element]]]:
    """Every element with those that hold it, outermost first; the list is the walk's own."""
    ancestors: list[Element] = []
    stack: list[Element | None] = [root]
    while stack:
        element = stack.pop()
        if element is None:
            ancestors.pop()
            continue
        yield element, ancestors
        ancestors.append(element)
        stack.append(None)
        stack.extend(reversed(element))


def _long_forms(name: str, value: str) -> Iterator[tuple[str, str]]:
    """A declaration as attributes: names that are none are dropped, `marker` and `font` taken apart."""
    if name == "marker":
        yield from ((f"marker-{place}", value) for place in ("start", "mid", "end"))
    elif name == "font":
        found = _FONT.search(value)
        if found:
            yield "font-size", found[1]
            yield "font-family", found[2].strip()
    elif name in _PRESENTATION:
        yield name, value


_FONT = re.compile(r"(\d[\d.]*(?:px|pt|mm|em|%))(?:/\S+)?\s+([^;]+)$")
_PRESENTATION = frozenset(
    """
    clip-path clip-rule color color-interpolation-filters direction display dominant-baseline alignment-
    baseline baseline-shift fill fill-opacity fill-rule filter flood-color flood-opacity font-family
    font-size font-stretch font-style font-variant font-weight image-rendering isolation letter-spacing
    lighting-color marker-end marker-mid marker-start mask mask-type mix-blend-mode opacity overflow
    paint-order shape-rendering stop-color stop-opacity stroke stroke-dasharray stroke-dashoffset
    stroke-linecap stroke-linejoin stroke-miterlimit stroke-opacity stroke-width text-anchor text-
    decoration text-rendering transform transform-origin unicode-bidi vector-effect visibility word-
    spacing writing-mode x y cx cy r rx ry width height d
    """.split()  # noqa: SIM905 - a list of words
)
