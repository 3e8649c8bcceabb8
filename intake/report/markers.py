"""Where the numbers stand that point at places on the art: beside it, in order, none over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from intake.facts import Finding, Level, Place

MOST_MARKERS = 14
MOST_OF_ONE = 4  # numbers a finding; its other places are framed only
LEAST_SHOWN = 2.2  # mm on the page: a smaller place is framed so large, or nobody would see it
_TOUCHING = 1.0  # mm on the page: frames no further apart may become one
_LARGER = 1.25  # by no more than this may their common frame be larger than both
_ALIKE = 5.0  # mm on the page: places of one finding closer than this share a marker


@dataclass(frozen=True, slots=True)
class Frame:
    """A place as it is framed on the page, in mm of the page."""

    number: int  # of its finding, from 1
    level: Level
    x: float
    y: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return self.x + self.width / 2, self.y + self.height / 2


@dataclass(frozen=True, slots=True)
class Marker:
    """A number in the margin beside the art, and the frame that it points at."""

    frame: Frame
    is_left: bool
    y: float


@dataclass(frozen=True, slots=True)
class ArtBox:
    """Where the art lies on the page, and how large it is in print; all in mm."""

    x: float
    y: float
    width: float
    height: float
    print_width: float
    print_height: float

    def frame(self, place: Place, number: int, level: Level) -> Frame:
        """A place of the print on the page: within the art, and never too small to be seen."""
        across, down = self.width / self.print_width, self.height / self.print_height
        width = max(LEAST_SHOWN, place.width_mm * across + 0.8)
        height = max(LEAST_SHOWN, place.height_mm * down + 0.8)
        x = self.x + (place.x_mm + place.width_mm / 2) * across - width / 2
        y = self.y + (place.y_mm + place.height_mm / 2) * down - height / 2
        left, wide = _inside(x, width, self.x, self.width)
        top, tall = _inside(y, height, self.y, self.height)
        return Frame(number, level, left, top, wide, tall)


def _inside(start: float, length: float, edge: float, room: float) -> tuple[float, float]:
    """Where a stretch begins within another, and how long it is there; never quite nothing."""
    least = min(LEAST_SHOWN, room)
    begin = min(max(start, edge), edge + room - least)
    end = max(min(start + length, edge + room), begin + least)
    return begin, end - begin


def frames_of(findings: Sequence[Finding], art: ArtBox) -> list[Frame]:
    """Every place of every finding, framed, rows of places as one; findings are numbered from 1."""
    frames: list[Frame] = []
    for number, finding in enumerate(findings, 1):
        frames += _joined([art.frame(place, number, finding.level) for place in finding.places])
    return frames


def _joined(frames: Sequence[Frame]) -> list[Frame]:
    """Frames that lie side by side as one, in the place of the worse of them; those within others stay."""
    kept = list(frames)
    pair = _side_by_side(kept)
    while pair is not None:
        kept[pair[0]] = _around(kept[pair[0]], kept.pop(pair[1]))
        pair = _side_by_side(kept)
    return kept


def _side_by_side(frames: Sequence[Frame]) -> tuple[int, int] | None:
    """The first two that touch, or nearly, and that a common frame would hardly make larger."""
    for second, one in enumerate(frames):
        for first, other in enumerate(frames[:second]):
            across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
            down = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
            areas = one.width * one.height, other.width * other.height
            common = _around(other, one)
            is_near = min(across, down) >= -_TOUCHING
            is_within = max(across, 0) * max(down, 0) > 0.5 * min(areas)
            if is_near and not is_within and common.width * common.height <= _LARGER * sum(areas):
                return first, second
    return None


def _around(one: Frame, other: Frame) -> Frame:
    """A frame round both, in the name of the first."""
    x, y = min(one.x, other.x), min(one.y, other.y)
    width = max(one.x + one.width, other.x + other.width) - x
    height = max(one.y + one.height, other.y + other.height) - y
    return replace(one, x=x, y=y, width=width, height=height)


def choose_marked(frames: Sequence[Frame]) -> list[Frame]:
    """The frames that get a number: the worst of every finding first, none beside another of its kind."""
    of_finding: dict[int, list[Frame]] = {}
    for frame in frames:
        kept = of_finding.setdefault(frame.number, [])
        if all(_apart(frame, other) > _ALIKE for other in kept):
            kept.append(frame)
    chosen: list[Frame] = []
    for rank in range(MOST_OF_ONE):
        chosen += [kept[rank] for kept in of_finding.values() if len(kept) > rank]
    return chosen[:MOST_MARKERS]


def _apart(one: Frame, other: Frame) -> float:
    (x1, y1), (x2, y2) = one.middle, other.middle
    return max(abs(x1 - x2), abs(y1 - y2))


def place_markers(
    frames: Sequence[Frame], art: ArtBox, top: float, bottom: float, gap: float
) -> list[Marker]:
    """A marker for each frame, on the side that it is nearer to, at least `gap` mm from the next one.

    Sides are evened out when one is too full; within a side they stand in the order of their frames, so that
    no two lines cross.
    """
    most = max(1, int((bottom - top) / gap))
    middle = art.x + art.width / 2
    by_x = sorted(frames, key=lambda frame: frame.middle[0])
    left = [frame for frame in by_x if frame.middle[0] <= middle]
    right = [frame for frame in by_x if frame.middle[0] > middle]
    while len(left) > most and len(right) < most:
        right.insert(0, left.pop())
    while len(right) > most and len(left) < most:
        left.append(right.pop(0))
    return _spread(left, True, top, bottom, gap) + _spread(right, False, top, bottom, gap)


def _spread(frames: Sequence[Frame], is_left: bool, top: float, bottom: float, gap: float) -> list[Marker]:
    ordered = sorted(frames, key=lambda frame: frame.middle[1])
    if len(ordered) > 1:
        gap = min(gap, (bottom - top) / (len(ordered) - 1))
    markers: list[Marker] = []
    at = top
    for frame in ordered:
        at = max(at, frame.middle[1])
        markers.append(Marker(frame, is_left, at))
        at += gap
    limit = bottom
    for number in range(len(markers) - 1, -1, -1):
        markers[number] = replace(markers[number], y=min(markers[number].y, limit))
        limit = markers[number].y - gap
    return markers
