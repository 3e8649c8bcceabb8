"""The shop as one strip through its stations: its height the pieces that wait, its shade their age."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup, escape

from tickets.lookup.line import StationLoad

STEP, GAP, TALL, LEAST = 200, 36, 150.0, 4.0
BASE = 190.0  # the strip's lower edge, in the drawing's units


def draw_line(stations: Sequence[StationLoad]) -> Markup:
    """The strip of the whole shop as SVG; each station's stretch is layered by age, the oldest lowest."""
    most = max([station.pieces for station in stations] + [1])
    width = STEP * len(stations)
    parts = [_opening(width, 250, ", ".join(f"{s.label}: {s.pieces}" for s in stations)), _patterns()]
    heights = [_height(station.pieces, most) for station in stations]
    for at, (station, height) in enumerate(zip(stations, heights, strict=True)):
        x = STEP * at + GAP // 2
        parts.append(_stretch(x, height, station))
        if at + 1 < len(stations):
            parts.append(_slope(x + STEP - GAP, height, heights[at + 1]))
        parts.append(_label(x, height, station.label, station.pieces))
    parts.append(f'<line class="base" x1="0" x2="{width}" y1="{BASE}" y2="{BASE}"/></svg>')
    return Markup("".join(parts))


def draw_strip(waiting: Mapping[str, int], labels: Mapping[str, str], here: str = "") -> Markup:
    """The strip of one ticket: the pieces at each station, the station `here` named by a mark."""
    most = max([*waiting.values(), 1])
    width = STEP * len(waiting)
    told = ", ".join(f"{labels.get(place, place)}: {count}" for place, count in waiting.items())
    parts = [_opening(width, 250, told), _patterns()]
    heights = [_height(count, most) for count in waiting.values()]
    for at, (place, count) in enumerate(waiting.items()):
        x = STEP * at + GAP // 2
        parts.append(_rectangle(x, BASE - heights[at], heights[at], "band1"))
        if at + 1 < len(waiting):
            parts.append(_slope(x + STEP - GAP, heights[at], heights[at + 1]))
        name = labels.get(place, place)
        parts.append(_label(x, heights[at], f"▸ {name}" if place == here else name, count))
    parts.append(f'<line class="base" x1="0" x2="{width}" y1="{BASE}" y2="{BASE}"/></svg>')
    return Markup("".join(parts))


def _opening(width: int, height: int, told: str) -> str:
    return (
        f'<svg class="strip" viewBox="0 -14 {width} {height}" role="img" '
        f'aria-label="{escape(told)}" preserveAspectRatio="xMidYMid meet">'
    )


def _patterns() -> str:
    """Shades by density, so that they are told without colour: the longer it waits, the denser the ink."""
    made = []
    for at, (pitch, stroke) in enumerate(((12, 1.2), (9, 2.4), (7, 3.6)), 1):
        made.append(
            f'<pattern id="band{at}" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><rect class="paper" width="{pitch}" height="{pitch}"/>'
            f'<rect class="ink" width="{stroke}" height="{pitch}"/></pattern>'
        )
    return f"<defs>{''.join(made)}</defs>"


def _height(pieces: int, most: int) -> float:
    return LEAST if not pieces else LEAST + 8 + (TALL - 8) * pieces / most


def _stretch(x: int, height: float, station: StationLoad) -> str:
    if not station.pieces:
        return _rectangle(x, BASE - height, height, "band1")
    drawn, y = [], BASE
    for at, count in reversed(list(enumerate(station.bands, 1))):
        part = height * count / station.pieces
        y -= part
        if part:
            drawn.append(_rectangle(x, y, part, f"band{at}"))
    return "".join(drawn)


def _rectangle(x: float, y: float, height: float, band: str) -> str:
    # The oldest is solid ink: there is no pattern of its name, so the style sheet's plain fill shows.
    fill = "" if band == "band4" else f' fill="url(#{band})"'
    edge = "solid" if band == "band4" else "layer"
    return f'<rect class="{edge}" x="{x}" y="{y:.1f}" width="{STEP - GAP}" height="{height:.1f}"{fill}/>'


def _slope(x: int, height: float, onward: float) -> str:
    """The stretch between two stations: the film runs on."""
    points = f"{x},{BASE} {x},{BASE - height:.1f} {x + GAP},{BASE - onward:.1f} {x + GAP},{BASE}"
    return f'<polygon class="slope" points="{points}"/>'


def _label(x: int, height: float, name: str, pieces: int) -> str:
    middle = x + (STEP - GAP) / 2
    return (
        f'<text class="count" x="{middle}" y="{BASE - height - 8:.1f}">{pieces}</text>'
        f'<text class="station" x="{middle}" y="{BASE + 32}">{escape(name)}</text>'
    )


def draw_key(names: Sequence[str]) -> Markup:
    """What the shades mean, the youngest first."""
    parts = []
    for at, name in enumerate(names, 1):
        fill = "" if at == len(names) else f' fill="url(#band{at})"'
        kind = "solid" if at == len(names) else "layer"
        parts.append(
            f'<li><svg class="swatch" viewBox="0 0 40 24" aria-hidden="true">'
            f'<rect class="{kind}" x="1" y="1" width="38" height="22"{fill}/></svg>{escape(name)}</li>'
        )
    return Markup(f'<ul class="key">{"".join(parts)}</ul>')
