"""From the jobs that wait for film to what lies where: several ways of laying, the cheapest is kept."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from tickets.film.cutting import area_of, boxes_of, cutting_minutes, is_straight
from tickets.film.effort import Effort, never
from tickets.film.lots import Lot, Unlaid, lots_of
from tickets.film.model import Job, Layout, Placement, Rules, Way
from tickets.film.rows import lay_rows
from tickets.film.searching import Laid, Search

__all__ = ["Plan", "Progress", "ignore", "never", "plan_film"]

ALL_WAYS = (Way.ROWS, Way.BOXES, Way.OUTLINES)


@dataclass(frozen=True, slots=True)
class Progress:
    """How far planning is: `share` 0 to 1 of the time; the film of the best plan so far and of plain rows."""

    share: float
    length_mm: float
    rows_mm: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What lies where, in the order of printing. Film in mm, of every kind together, lead waste not counted.

    `layouts`: the new runs only. `rows_mm`: what the same pieces take in plain rows. `unlaid`: the jobs that
    these rules can't lay. `is_whole`: False where planning was stopped before it had tried all it would.
    """

    layouts: tuple[Layout, ...]
    rows_mm: float
    unlaid: tuple[Unlaid, ...] = ()
    is_whole: bool = True

    @property
    def length_mm(self) -> float:
        """Film that the runs take."""
        return sum(layout.length_mm for layout in self.layouts)

    @property
    def metres(self) -> float:
        """Film that the runs take, in metres."""
        return self.length_mm / 1000

    @property
    def minutes(self) -> float:
        """Minutes of cutting."""
        return sum(layout.cutting_minutes for layout in self.layouts)

    @property
    def pieces(self) -> int:
        """Pieces that are laid, spares too."""
        return sum(len(layout.placements) for layout in self.layouts)

    @property
    def inked_share(self) -> float:
        """Area of the pieces' outlines ÷ film."""
        film = sum(layout.length_mm * layout.width_mm for layout in self.layouts)
        inked = sum(layout.inked_share * layout.length_mm * layout.width_mm for layout in self.layouts)
        return inked / film if film else 0.0

    @property
    def saved_share(self) -> float:
        """How much less film than plain rows: 0.2 for a fifth."""
        return 1 - self.length_mm / self.rows_mm if self.rows_mm else 0.0

    def costs(self, rules: Rules) -> float:
        """Film and cutting in the shop's money."""
        return _price(self.layouts, rules)


def ignore(progress: Progress) -> None:
    """Nobody watches."""


@dataclass(slots=True)
class _Desk:
    """What one planning works with."""

    jobs: Mapping[str, Job]
    rules: Rules
    ways: Collection[Way]
    effort: Effort


def plan_film(
    jobs: Sequence[Job],
    rules: Rules,
    *,
    seconds: float = 2.0,
    ways: Collection[Way] = ALL_WAYS,
    stop: Callable[[], bool] = never,
    progress: Callable[[Progress], None] = ignore,
    fixed: Sequence[Layout] = (),
    clock: Callable[[], float] | None = None,
) -> Plan:
    """Lay what these jobs need beside the `fixed` layouts: kinds of film apart, rush first, then by due day.

    Jobs that are pinned to a run lie together, apart from the others. Rows are always tried,
    boxes and outlines for at most `seconds` by the `clock` (time.monotonic, say). Without a clock the seconds
    are counted in tries, so that the same jobs always give the same plan. `stop` is asked often; the best so
    far is kept.
    """
    effort = Effort(seconds, stop, clock)
    lots, unlaid = lots_of(jobs, rules, fixed)
    desk = _Desk({job.code: job for job in jobs}, rules, ways, effort)
    layouts: list[Layout] = []
    groups, in_rows = _groups(lots), []
    for group in groups:
        rows = _layouts([Laid(tuple(run), Way.ROWS) for run in lay_rows(group, rules)], desk)
        in_rows.append(rows)
    rows_mm = sum(_film_mm(rows) for rows in in_rows)
    progress(Progress(effort.share(), rows_mm, rows_mm))
    is_whole = True
    for number, (group, rows) in enumerate(zip(groups, in_rows, strict=True)):
        before_mm = _film_mm(layouts)
        waiting_mm = sum(map(_film_mm, in_rows[number:]))
        chosen, was_whole = _lay_group(group, rows, desk, _film_mm(rows) / waiting_mm)
        layouts += chosen
        is_whole = is_whole and was_whole
        progress(
            Progress(effort.share(), before_mm + _film_mm(chosen) + waiting_mm - _film_mm(rows), rows_mm)
        )
    return Plan(tuple(layouts), rows_mm, tuple(unlaid), is_whole)


def _lay_group(
    group: Sequence[Lot], rows: list[Layout], desk: _Desk, share: float
) -> tuple[list[Layout], bool]:
    """The lots that may share runs, in this share of the time that is left; and whether that was enough."""
    if not {Way.BOXES, Way.OUTLINES} & set(desk.ways):
        return rows, True
    search = Search(
        group, desk.jobs, desk.rules, desk.ways, desk.effort.part(share), lambda _laid, _left: None
    )
    laid, was_whole = search.lay()
    layouts = _layouts(laid, desk)
    is_dearer = _weight(layouts, desk.rules) >= _weight(rows, desk.rules)
    return (rows if is_dearer else layouts), was_whole


def _groups(lots: Sequence[Lot]) -> list[list[Lot]]:
    """Lots that may share a run: of one kind of film, and pinned to the same run or to none."""
    groups: dict[tuple[str, str], list[Lot]] = {}
    for lot in lots:
        groups.setdefault((lot.job.film, lot.job.pinned_run), []).append(lot)
    return list(groups.values())


def _layouts(runs: Sequence[Laid], desk: _Desk) -> list[Layout]:
    return [layout_of(run.placements, run.way, desk.jobs, desk.rules) for run in runs]


def layout_of(placements: Sequence[Placement], way: Way, jobs: Mapping[str, Job], rules: Rules) -> Layout:
    """The layout of one run, with its length, its share of ink and its minutes of cutting."""
    boxes = boxes_of(placements, jobs)
    length_mm = rules.run_mm if rules.is_sheet else float(boxes[:, 3].max()) + rules.edge_mm
    first = jobs[placements[0].code]
    layout = Layout(
        first.film,
        rules.printable_mm,
        length_mm,
        tuple(placements),
        way,
        run=first.pinned_run,
        is_sheet=rules.is_sheet,
    )
    inked = sum(area_of(jobs[code].shape) * count for code, count in layout.counts().items())
    return replace(
        layout,
        inked_share=inked / (length_mm * rules.printable_mm),
        cutting_minutes=cutting_minutes(placements, jobs, rules),
        is_straight_cut=way is Way.ROWS or is_straight(boxes),
    )


def _film_mm(layouts: Sequence[Layout]) -> float:
    return sum(layout.length_mm for layout in layouts)


def _weight(layouts: Sequence[Layout], rules: Rules) -> float:
    """What is compared: money where both film and minutes have a price, else film."""
    return _price(layouts, rules) if rules.metre_costs and rules.minute_costs else _film_mm(layouts)


def _price(layouts: Sequence[Layout], rules: Rules) -> float:
    minutes = sum(layout.cutting_minutes for layout in layouts)
    return _film_mm(layouts) / 1000 * rules.metre_costs + minutes * rules.minute_costs
