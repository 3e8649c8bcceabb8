"""Draws the artworks of the demo, each with the virtue or the fault that its order is there to show."""

from __future__ import annotations

import io
import math

from PIL import Image
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas as Page

from hotfolder_demo.canvas import Canvas, Point, curve, star, wave

NAVY, GOLD, WHITE, CREAM = "#10213f", "#e8b23a", "#ffffff", "#fff4dc"
BROWN, CRUST, INK = "#7a431d", "#d98e3f", "#1d1d22"
TEAL, CORAL, SKY, SUN = "#0f7c80", "#f2684a", "#3f9fd8", "#ffc533"
GREEN, LEAF, PURPLE, RED = "#1f6b3a", "#58a54c", "#8d3f97", "#c1272d"
MM = 72 / 25.4  # points


def crest() -> bytes:
    """The regatta club's badge, 90 mm, 300 ppi: as good as artwork comes."""
    sheet, centre = Canvas(90, 90), (45.0, 45.0)
    sheet.disc(centre, 45, NAVY)
    sheet.ring(centre, 42.4, 1.6, GOLD)
    sheet.disc(centre, 26.5, CREAM)
    sheet.words_round("HERON REACH", centre, 34, 8.2, GOLD)
    sheet.words_round("REGATTA CLUB", centre, -34, 8.2, GOLD)
    for side in (-1, 1):
        _oar(sheet, centre, side)
    for row, colour in ((57, SKY), (61.6, NAVY)):
        half = math.sqrt(24**2 - (row - 45) ** 2) - 2
        sheet.ribbon(wave(45 - half, 45 + half, row, 1.0, 3), 2.3, colour)
    sheet.shape(star((45, 26.5), 4.4, 1.9, 5), RED)
    return png(sheet)


def _oar(sheet: Canvas, centre: Point, side: int) -> None:
    x, y = centre
    top, foot = (x + side * 13, y - 14.5), (x - side * 12, y + 7.5)
    sheet.line([top, foot], 1.7, NAVY)
    along = ((foot[0] - top[0]) / 33.3, (foot[1] - top[1]) / 33.3)
    across = (-along[1] * 2.6, along[0] * 2.6)
    tip = (top[0] - along[0], top[1] - along[1])
    end = (top[0] + along[0] * 9, top[1] + along[1] * 9)
    corners = [(tip[0] + s * across[0], tip[1] + s * across[1]) for s in (-1, 1)]
    sheet.shape(
        [*corners, (end[0] + across[0], end[1] + across[1]), (end[0] - across[0], end[1] - across[1])], RED
    )


def slogan() -> bytes:
    """The regatta club's back print, 240 mm wide: large plain lettering."""
    sheet = Canvas(240, 110)
    sheet.words("ROW GENTLY", (120, 27), 23, CREAM)
    sheet.ribbon(wave(4, 236, 54, 3.2, 6), 4.8, SKY)
    sheet.words("MIND THE HERONS", (120, 80), 15.5, GOLD)
    return png(sheet)


def loaf() -> bytes:
    """The bakery's logo, sent without transparency: it would print with its white box."""
    sheet = Canvas(110, 96)
    body = [*curve((15, 58), (10, 18), (36, 14), (55, 14)), *curve((55, 14), (74, 14), (100, 18), (95, 58))]
    sheet.shape([*body, (88, 62), (22, 62)], BROWN)
    inner = [*curve((19, 55), (16, 22), (38, 18), (55, 18)), *curve((55, 18), (72, 18), (94, 22), (91, 55))]
    sheet.shape([*inner, (86, 58), (24, 58)], CRUST)
    for x in (33, 50, 67):
        sheet.line(curve((x, 46), (x + 4, 38), (x + 6, 32), (x + 12, 26)), 3.4, BROWN)
    sheet.words("CRUMB & KETTLE", (55, 74), 7.4, BROWN)
    sheet.words("BAKED BEFORE YOU WOKE", (55, 87), 4.4, CRUST)
    return png(sheet, "RGB")


def lantern() -> bytes:
    """The folk band's lantern: a fine drawing with rays of 0.15 mm, too thin to hold white and powder."""
    sheet, middle = Canvas(120, 150), (60.0, 62.0)
    for ray in range(36):
        turn = math.pi * ray / 18
        reach = [
            (middle[0] + r * math.sin(turn), middle[1] - r * math.cos(turn)) for r in (36, 46 + ray % 2 * 7)
        ]
        if abs(middle[0] - reach[0][0]) > 9 and reach[0][1] < 83:  # clear of the handle and the foot
            sheet.line(reach, 0.15, SUN, round_ends=False)
    sheet.disc(middle, 29, SUN)
    sheet.bar(42, 40, 36, 46, INK)
    sheet.shape([(38, 41), (82, 41), (70, 29), (50, 29)], INK)
    sheet.ring((60, 25.5), 5, 1.8, INK)
    sheet.bar(37, 85, 46, 7, INK)
    for left in (46, 62):
        sheet.bar(left, 45, 12, 36, CREAM)
    sheet.shape(
        [*curve((60, 52), (72, 64), (66, 76), (60, 77)), *curve((60, 77), (54, 76), (48, 64), (60, 52))],
        CORAL,
    )
    sheet.words("THE SALT", (60, 106), 9.5, CREAM)
    sheet.words("LANTERNS", (60, 123), 13, CREAM)
    return png(sheet)


def leavers() -> bytes:
    """The school's leavers' print, saved small off a web page: 60 pixels an inch at the size ordered."""
    sheet = Canvas(260, 150, ppi=60)
    sheet.shape([(130, 8), (205, 38), (130, 68), (55, 38)], NAVY)
    sheet.shape([(85, 56), (130, 74), (175, 56), (175, 78), (130, 94), (85, 78)], NAVY)
    sheet.line([(198, 41), (198, 84)], 4, GOLD)
    sheet.disc((198, 88), 6, GOLD)
    sheet.words("LEAVERS", (82, 124), 22, RED, 0.06)
    sheet.words("2026", (212, 124), 22, NAVY, 0.06)
    return png(sheet)


def bicycle() -> bytes:
    """The cycling club's bicycle with a soft shadow under it, which would print as a milky patch."""
    sheet = Canvas(150, 110)
    sheet.disc((75, 93), 60, (30, 30, 40, 150), squash=0.13)
    sheet.soften(3.0)
    for x in (36, 114):
        sheet.ring((x, 62), 27, 4.0, INK)
        sheet.disc((x, 62), 3.2, CORAL)
    frame = [(36.0, 62.0), (58.0, 28.0), (98.0, 28.0), (72.0, 64.0), (36.0, 62.0)]
    sheet.line(frame, 4.2, CORAL)
    sheet.line([(72, 64), (53, 18)], 4.2, CORAL)
    sheet.line([(114, 62), (95, 16), (106, 12)], 4.2, CORAL)
    sheet.line([(44, 17), (62, 17)], 5, INK)
    sheet.disc((72, 64), 6, INK)
    return png(sheet)


def surf() -> bytes:
    """The surf school's wave, a large good file that takes a while to copy."""
    sheet, centre = Canvas(160, 160), (80.0, 80.0)
    sheet.disc(centre, 78, SUN)
    sheet.disc(centre, 66, CREAM)
    sheet.disc((80, 66), 34, CORAL)
    for row, colour in ((78, SKY), (95, TEAL), (112, NAVY)):
        crestline = wave(4, 156, row, 5.5, 3)
        inside = [(x, y) for x, y in crestline if math.hypot(x - 80, y - 80) < 66]
        foot = [
            (80 + 66 * math.sin(a), 80 - 66 * math.cos(a)) for a in _angles(inside[-1], inside[0], centre)
        ]
        sheet.shape([*inside, *foot], colour)
    sheet.words("TIDEWATER", (80, 130), 7.6, CREAM)
    return png(sheet)


def _angles(start: Point, end: Point, centre: Point) -> list[float]:
    """Angles, clockwise from the top, from one point of a circle round its bottom to another."""
    first, last = (math.atan2(p[0] - centre[0], centre[1] - p[1]) % (2 * math.pi) for p in (start, end))
    return [first + (last - first) * i / 60 for i in range(61)]


def mountain() -> bytes:
    """The climbing wall's mountain, good; its order comes some seconds before it."""
    sheet = Canvas(100, 88)
    sheet.shape([(4, 60), (36, 10), (52, 34), (64, 20), (96, 60)], GREEN)
    sheet.shape([(25, 27.2), (36, 10), (46.6, 26), (40, 30), (35, 24), (30, 31)], CREAM)
    sheet.line([(20, 57), (34, 47), (28, 38), (42, 37)], 1.8, SUN)
    sheet.disc((43.5, 35.5), 2.6, SUN)
    sheet.words("LANTERN STREET", (50, 69), 6, GREEN)
    sheet.words("CLIMBING WALL", (50, 81), 6.4, GREEN)
    return png(sheet)


STITCHES = (
    "...#...#...",
    "..###.###..",
    ".##.###.##.",
    "###.#o#.###",
    ".##ooooo##.",
    "..#oo#oo#..",
)


def embroidery() -> bytes:
    """The dance ensemble's cross-stitch star, good, in a zip with its order."""
    sheet, cell = Canvas(99, 118), 9.0
    rows = [*STITCHES, *reversed(STITCHES[:-1])]
    for y, row in enumerate(rows):
        for x, stitch in enumerate(row):
            if stitch != ".":
                sheet.bar(x * cell, y * cell, cell - 0.9, cell - 0.9, RED if stitch == "#" else GOLD)
    sheet.words("ЗОРЯ", (49, 110), 14, RED)
    return png(sheet)


def foxglove() -> bytes:
    """The allotment society's foxglove as a PDF: lines and areas, sharp at any size."""
    into = io.BytesIO()
    page = Page(into, pagesize=(72 * MM, 142 * MM), invariant=True)
    page.scale(MM, MM)
    page.translate(-4, -3)  # the page ends where the ink ends
    page.setStrokeColor(HexColor(GREEN))
    page.setLineCap(1)
    page.setLineWidth(2.2)
    stem = page.beginPath()
    stem.moveTo(40, 4)
    stem.curveTo(43, 50, 38, 90, 41, 144)
    page.drawPath(stem)
    for side, foot in ((-1, 8), (1, 16)):
        _petal(
            page,
            [
                (40, foot),
                (40 + side * 14, foot + 2),
                (40 + side * 34, foot + 14),
                (40 + side * 36, foot + 34),
            ],
            LEAF,
        )
    for row in range(8):
        side = -1 if row % 2 else 1
        _bell(page, (40.0, 62.0 + row * 10), side, 1 - row * 0.075)
    page.showPage()
    page.save()
    return into.getvalue()


def _petal(page: Page, along: list[Point], colour: str) -> None:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = along
    outline = page.beginPath()
    outline.moveTo(x0, y0)
    outline.curveTo(x1, y1 - 3, x2, y2 - 6, x3, y3)
    outline.curveTo(x2 - (x2 - x0) * 0.5, y2 + 9, x1 - (x1 - x0) * 0.5, y1 + 10, x0, y0)
    page.setFillColor(HexColor(colour))
    page.drawPath(outline, stroke=0, fill=1)


def _bell(page: Page, at: Point, side: int, size: float) -> None:
    page.saveState()
    page.translate(*at)
    page.scale(side * size, size)
    bell = page.beginPath()
    bell.moveTo(0, 4)
    bell.curveTo(8, 8, 16, 2, 22, -8)
    bell.curveTo(24, -13, 14, -17, 10, -13)
    bell.curveTo(6, -8, 2, -4, 0, 4)
    page.setFillColor(HexColor(PURPLE))
    page.drawPath(bell, stroke=0, fill=1)
    page.setFillColor(HexColor("#f3d9f5"))
    page.circle(16.6, -10.6, 2.4, stroke=0, fill=1)
    page.restoreState()


def png(sheet: Canvas, mode: str = "RGBA") -> bytes:
    """The finished drawing, cut to its ink, as a PNG that says its own resolution; RGB: on a white box."""
    picture = sheet.finish()
    picture = picture.crop(picture.getbbox())
    if mode == "RGB":
        ground = Image.new("RGBA", picture.size, WHITE)
        picture = Image.alpha_composite(ground, picture).convert(mode)
    into = io.BytesIO()
    picture.save(into, "PNG", dpi=(sheet.ppi, sheet.ppi))
    return into.getvalue()


ARTWORKS = {
    "crest.png": crest,
    "back.png": slogan,
    "loaf.png": loaf,
    "lantern.png": lantern,
    "leavers.png": leavers,
    "bicycle.png": bicycle,
    "wave.png": surf,
    "mountain.png": mountain,
    "star.png": embroidery,
    "foxglove.pdf": foxglove,
}
