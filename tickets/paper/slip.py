"""The packing slip: what lies in a dispatch, what follows, what went before; on as many pages as needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from tickets import wording_packing as words
from tickets.packing import Packed, PackLine
from tickets.paper.fitting import Box, Setting
from tickets.paper.fonts import BOLD, PLAIN, Fonts, Style
from tickets.paper.parts import NARROW, NARROW_BOLD, Field, draw_caption, draw_field, last_lines
from tickets.paper.qr import draw_qr
from tickets.paper.sheet import BLACK, FAINT, GREY, INK, PALE, WHITE, Sheet

SlipForm = Literal["a5", "a4"]
SIZES_MM: dict[SlipForm, tuple[float, float]] = {"a5": (148.0, 210.0), "a4": (210.0, 297.0)}  # ISO 216
QR_SIDE = 26.0
DOTS_AN_INCH = 300
LOUD_HEAD = 7.8  # height of the head of a line of this dispatch
PALE_RED = (0.88, 0.86, 0.86)  # large letters under what stands on a page
FOOT = 10.0  # height of the foot of every page
MOST_PRINTS = 12  # named in one line; further ones are counted


@dataclass(frozen=True, slots=True)
class SlipParcel:
    """One parcel as the slip names it."""

    number: int
    weight_kg: float | None = None
    consignment: str = ""
    sscc: str = ""


@dataclass(frozen=True, slots=True)
class SlipPaper:
    """Everything that stands on a packing slip. Times in the shop's own zone; `voided`: what it is no more.

    contact: how the shop is reached. qr_text: what the code says that leads back to the order.
    """

    number: int
    order: str
    customer: str
    packed: Packed
    at: datetime
    qr_text: str
    shop: str = ""
    contact: tuple[str, ...] = ()
    purchase_order: str = ""
    ship_to: tuple[str, ...] = ()
    collected_by: str = ""
    is_void: bool = False
    parcels: tuple[SlipParcel, ...] = ()


def render_slip(slip: SlipPaper, form: SlipForm, fonts: Fonts) -> bytes:
    """The packing slip as PDF; the same slip, form and fonts give the same bytes.

    Raises SetupProblem `qr-too-long`.
    """
    pages = _Pages(slip, form, fonts, total=0)
    pages.draw()
    # Drawn again, now that the number of its pages is known.
    whole = _Pages(slip, form, fonts, total=pages.page)
    whole.draw()
    return whole.sheet.finish()


class _Pages:
    """One drawing of a slip, from the top of its first page to the foot of the last."""

    def __init__(self, slip: SlipPaper, form: SlipForm, fonts: Fonts, total: int) -> None:
        width, height = SIZES_MM[form]
        self.slip = slip
        self.left = 8.0 if form == "a5" else 15.0
        self.across = width - 2 * self.left
        self.bottom = height - 7.0 - FOOT
        self.total = total
        self.page = 1
        title = f"{words.slip(slip.number)} {slip.order}"
        self.sheet = Sheet(width, height, fonts, title=title, author=slip.shop)
        self.y = 0.0

    def draw(self) -> None:
        self._head()
        self._names()
        packed = self.slip.packed
        self._section(words.IN_THIS_DISPATCH, packed.here, is_loud=True)
        self._total()
        if self.slip.parcels:
            self._parcels()
        for title, lines in ((words.STILL_TO_FOLLOW, packed.follows), (words.SENT_BEFORE, packed.before)):
            if lines:
                self._section(title, lines)
        if not packed.follows:
            self._need(7.0)
            self.sheet.write(self.left, self.y + 4.0, words.NOTHING_FOLLOWS, 9, PLAIN, GREY)
        self._foot()

    def _head(self) -> None:
        sheet, top = self.sheet, 7.0
        name = Box(self.left, top - 1.2, self.across * 0.55, 4.6)
        sheet.write_in(name, self.slip.shop, Setting(9.5, 5, BOLD, 1), valign="bottom")
        said = words.slip(self.slip.number)
        if self.total > 1:
            said = f"{said}  ·  {words.page_of(self.page, self.total)}"
        width = sheet.width_of(said, 8, NARROW)
        sheet.write(self.left + self.across - width, top + 2.6, said, 8, NARROW)
        sheet.rule(self.left, top + 5.4, self.left + self.across, top + 5.4, 1.1, INK)
        if self.slip.is_void:
            self._void()
        self.y = top + 8.5

    def _void(self) -> None:
        """Across every page, under what stands on it: nobody must pack by it."""
        size = self.across * 1.05
        width = self.sheet.width_of(words.VOID, size, BOLD)
        base = self.sheet.height / 2 + size * 0.12
        self.sheet.write(self.left + (self.across - width) / 2, base, words.VOID, size, BOLD, PALE_RED)

    def _names(self) -> None:
        """Beside the code: the order, whose it is, when it left, and where it goes."""
        slip, sheet, top = self.slip, self.sheet, self.y
        x = self.left + QR_SIDE + 3.0
        width = self.left + self.across - x
        half = width * 0.46
        order = f"{slip.order}\n{slip.purchase_order}" if slip.purchase_order else slip.order
        caption = f"{words.ORDER} · {words.YOUR_REFERENCE}" if slip.purchase_order else words.ORDER
        draw_field(sheet, Box(x, top, half - 2, 15.0), Field(caption, order, size=14, least=5))
        sheet.rule(x + half, top + 0.5, x + half, top + 28.0, 0.15, FAINT)
        right = x + half + 2.5
        room = width - half - 2.5
        if slip.ship_to:
            draw_field(
                sheet,
                Box(right, top, room, 28.0),
                Field(words.SHIP_TO, "\n".join(slip.ship_to), size=10, least=4.5, style=PLAIN),
            )
            draw_field(
                sheet, Box(x, top + 15.5, half - 2, 12.5), Field(words.CUSTOMER, slip.customer, 10, 4.5)
            )
        else:
            draw_field(sheet, Box(right, top, room, 28.0), Field(words.CUSTOMER, slip.customer, 14, 5))
        draw_qr(sheet, Box(self.left, top, QR_SIDE, QR_SIDE), slip.qr_text, DOTS_AN_INCH)
        self.y = top + 30.0
        self._flags()

    def _flags(self) -> None:
        """When it left, and what sort of dispatch it is."""
        sheet, slip = self.sheet, self.slip
        sheet.rule(self.left, self.y, self.left + self.across, self.y, 0.5, INK)
        kind = words.kind_of(is_part=bool(slip.packed.follows), is_rest=bool(slip.packed.before))
        flag = words.VOID if slip.is_void else kind
        width = sheet.width_of(flag, 9, NARROW_BOLD) + 5.0
        box = Box(self.left, self.y + 1.6, width, 5.6)
        if slip.is_void or slip.packed.follows:
            sheet.fill(box, BLACK)
        else:
            sheet.outline(box.inset(0.15), 0.3, INK)
        colour = WHITE if slip.is_void or slip.packed.follows else INK
        sheet.write(self.left + 2.5, self.y + 5.5, flag, 9, NARROW_BOLD, colour)
        said = words.left_on(slip.at, slip.collected_by)
        rest = Box(self.left + width + 3, self.y + 1.6, self.across - width - 3, 5.6)
        sheet.write_in(rest, said, Setting(9.5, 5, PLAIN, 2), valign="middle")
        self.y += 9.0
        sheet.rule(self.left, self.y, self.left + self.across, self.y, 0.5, INK)
        self.y += 2.0

    def _section(self, title: str, lines: Sequence[PackLine], *, is_loud: bool = False) -> None:
        self._need(4.0 + min(_height_of(line, is_loud) for line in lines) if lines else 12.0)
        self._caption(title)
        if not lines:
            self.sheet.write(self.left, self.y + 4.0, words.NOTHING_IN_IT, 9, PLAIN, GREY)
            self.y += 7.0
        for line in lines:
            if self._need(_height_of(line, is_loud)):
                self._caption(f"{title} {words.CONTINUED}")
            self._line(line, is_loud)
        self.y += 1.5

    def _caption(self, title: str) -> None:
        draw_caption(self.sheet, self.left, self.y, title, INK)
        self.y += 3.2
        self.sheet.rule(self.left, self.y, self.left + self.across, self.y, 0.15, INK)

    def _line(self, line: PackLine, is_loud: bool) -> None:
        """How many, of what; each print of it; and the sizes where they are known."""
        sheet, height = self.sheet, _height_of(line, is_loud)
        count_width = 19.0 if is_loud else 14.0
        number = f"{line.count:,}".replace(",", "\u2009")
        size = 17 if is_loud else 11
        head = LOUD_HEAD if is_loud else 5.0
        sheet.write_in(
            Box(self.left, self.y + 0.9, count_width - 2, head - 0.8), number, Setting(size, 6, BOLD, 1), INK,
            "right", "middle",
        )  # fmt: skip
        x, width = self.left + count_width, self.across - count_width - 8.0
        name = words.line_name(line)
        sheet.write_in(
            Box(x, self.y + 0.9, width, head - 0.8), name, Setting(11 if is_loud else 9, 5, BOLD, 1), INK,
            valign="middle",
        )  # fmt: skip
        if is_loud:
            tick = Box(self.left + self.across - 5.2, self.y + 2.2, 4.2, 4.2)
            sheet.outline(tick, 0.25, INK)
        y = self.y + head
        for text, style in _details(line):
            sheet.write_in(Box(x, y, width, 3.6), text, Setting(8, 4.5, style, 1), INK, valign="middle")
            y += 3.9
        self.y += height
        sheet.rule(self.left, self.y, self.left + self.across, self.y, 0.15, FAINT)

    def _total(self) -> None:
        self._need(9.0)
        said = words.total(self.slip.packed, len(self.slip.parcels))
        self.sheet.fill(Box(self.left, self.y, self.across, 6.4), PALE)
        inner = Box(self.left + 2, self.y + 0.4, self.across - 4, 5.6)
        self.sheet.write_in(inner, said, Setting(10.5, 5, BOLD, 1), valign="middle")
        self.y += 9.0

    def _parcels(self) -> None:
        self._need(9.0)
        self._caption(words.PARCELS)
        for parcel in self.slip.parcels:
            if self._need(4.6):
                self._caption(f"{words.PARCELS} {words.CONTINUED}")
            said = words.parcel_line(parcel.number, parcel.weight_kg, parcel.consignment, parcel.sscc)
            box = Box(self.left, self.y + 0.5, self.across, 3.8)
            self.sheet.write_in(box, said, Setting(8.5, 4.5, PLAIN, 1), valign="middle")
            self.y += 4.4
        self.y += 3.0

    def _need(self, height: float) -> bool:
        """Room for so many mm; on a fresh page where this one has no more. Whether it is fresh."""
        if self.y + height <= self.bottom:
            return False
        self._foot()
        self.sheet.next_page()
        self.page += 1
        self._head()
        again = f"{self.slip.order}  ·  {self.slip.customer}"
        self.sheet.write_in(
            Box(self.left, self.y - 1.5, self.across, 5.0), again, Setting(9, 5, BOLD, 1), valign="middle"
        )
        self.y += 5.5
        return True

    def _foot(self) -> None:
        sheet, top = self.sheet, self.bottom + 2.0
        sheet.rule(self.left, top, self.left + self.across, top, 0.5, INK)
        said = words.if_something_is_wrong(self.slip.contact)
        box = Box(self.left, top + 1.0, self.across, 3.4)
        sheet.write_in(box, said, Setting(7, 4.5, NARROW, 1), valign="middle")
        own = last_lines(sheet)
        if own:
            sheet.write_in(
                Box(self.left, top + 4.6, self.across, 2.6),
                own,
                Setting(6, 4, NARROW_BOLD, 1),
                valign="middle",
            )


def _details(line: PackLine) -> list[tuple[str, Style]]:
    """The lines under a line's name."""
    prints = [(words.print_line(p, line), PLAIN) for p in line.prints[:MOST_PRINTS]]
    if len(line.prints) > MOST_PRINTS:
        prints.append((words.more_prints(len(line.prints) - MOST_PRINTS), PLAIN))
    sizes = [(words.sizes(line.sizes), BOLD)] if line.sizes else []
    uneven = [(words.UNEVEN, NARROW_BOLD)] if line.is_uneven else []
    return [*sizes, *prints, *uneven]


def _height_of(line: PackLine, is_loud: bool) -> float:
    return (LOUD_HEAD if is_loud else 5.0) + 3.9 * len(_details(line)) + 1.0
