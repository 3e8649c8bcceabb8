"""Run after run: each is laid in several ways from what is left; what gives most for its price stays."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tickets.film.beams import Beam, Leaning
from tickets.film.cutting import cutting_minutes
from tickets.film.effort import Effort
from tickets.film.items import Catalogue, Item
from tickets.film.laying import Draft, Runner, Taste
from tickets.film.lots import Lot
from tickets.film.model import Job, Placement, Rules, Way
from tickets.film.piling import Piler
from tickets.film.profiles import COLUMN_MM, STEP_MM
from tickets.film.rows import best_stance, lay_rows, rows_mm
from tickets.film.shortening import shorten

# What tries prefer (low, large): found on days of an invented shop (`tests/bench/film_days.py`).
TASTES = ((4.0, 0.0), (1.0, 0.0), (12.0, 0.1), (4.0, 0.1))
LEANINGS = (
    Leaning(large=0.05, is_share=True, is_fixed=True),
    Leaning(is_share=True, is_fixed=True),
    Leaning(corners=0.05, large=0.05, is_share=True, is_fixed=True),
    Leaning(is_share=True),
)
OUTLINE_LEANINGS = (
    Leaning(corners=0.1, large=0.05, is_share=True, is_fixed=True),
    Leaning(corners=0.3, large=0.1, is_share=True, is_fixed=True),
    Leaning(large=0.05, is_share=True, is_fixed=True),
)
KEPT = (2, 16, 64)  # strips that a beam search keeps at each step, a round each
A_TRY_NEEDS = 0.2  # seconds for one run with many lots open, about


@dataclass(frozen=True, slots=True)
class Laid:
    """One run that was chosen, and how it was laid."""

    placements: tuple[Placement, ...]
    way: Way


@dataclass(frozen=True, slots=True)
class _Arm:
    """One way of trying: piece after piece of a catalogue with a taste, or so many strips `kept`."""

    way: Way
    taste: Taste
    catalogue: str = "boxes"
    kept: int = 0
    leaning: Leaning | None = None


@dataclass(slots=True)
class _Try:
    """What came of one arm: the run, what is left after it, and what it gives for its price."""

    placements: tuple[Placement, ...]
    left: list[int]
    way: Way
    worth: float


class _Locking(Catalogue):
    """Outlines for lots whose pieces lock into each other, boxes for all others."""

    def __init__(self, boxes: Catalogue, outlines: Catalogue) -> None:
        super().__init__(boxes.lots, boxes.rules, by_outline=True)
        self._boxes, self._outlines = boxes, outlines

    def items(self, lot: int) -> list[Item]:
        """The outline's items where a pair of them saves film."""
        items = self._outlines.items(lot)
        return items if any(part.y_mm for item in items for part in item.parts) else self._boxes.items(lot)


@dataclass(slots=True)
class Search:
    """Lays all lots of one kind of film, run after run, within an effort."""

    lots: Sequence[Lot]
    jobs: Mapping[str, Job]
    rules: Rules
    ways: Collection[Way]
    effort: Effort
    report: Callable[[list[Laid], Sequence[int]], None]
    _catalogues: dict[str, Catalogue] = field(init=False)
    _shares: list[float] = field(init=False)
    _pilers: dict[str, Piler] = field(init=False)
    _wins: dict[_Arm, int] = field(init=False)

    def __post_init__(self) -> None:
        boxes = Catalogue(self.lots, self.rules, by_outline=False)
        outlines = Catalogue(self.lots, self.rules, by_outline=True)
        self._catalogues = {"boxes": boxes, "outlines": outlines, "locking": _Locking(boxes, outlines)}
        self._shares = [self._share(lot) for lot in self.lots]
        self._pilers = {"boxes": Piler(boxes, self._shares), "outlines": Piler(outlines, self._shares)}
        self._wins = dict.fromkeys(self._arms(), 0)

    def _share(self, lot: Lot) -> float:
        """What one piece is worth in mm of film: halfway between its share of rows and its own area."""
        in_rows = rows_mm(lot.copies, best_stance(lot, self.rules), self.rules) / lot.copies
        shape, gap = lot.job.shape, self.rules.gap_mm
        alone = (shape.width_mm + gap) * (shape.height_mm + gap) / (self.rules.printable_mm + gap)
        return (in_rows + alone) / 2

    def _arms(self) -> list[_Arm]:
        kinds = []
        if Way.OUTLINES in self.ways and any(lot.job.shape.rings for lot in self.lots):
            kinds += [("locking", Way.OUTLINES), ("outlines", Way.OUTLINES)]
        if Way.BOXES in self.ways or kinds:
            kinds.insert(1, ("boxes", Way.BOXES))
        window = max(1, self.rules.window)
        arms = [_Arm(w, Taste(window, *taste), name) for taste in TASTES for name, w in kinds]
        piled = [way for way in (("boxes", Way.BOXES), ("outlines", Way.OUTLINES)) if way in kinds]
        piles = [
            _Arm(way, Taste(window), name, kept, leaning)
            for kept in KEPT
            for name, way in piled
            for leaning in (LEANINGS if way is Way.BOXES else OUTLINE_LEANINGS)
        ]
        first = len(piles) // len(KEPT)
        return [*piles[:first], *arms, *piles[first:]]

    def lay(self) -> tuple[list[Laid], bool]:
        """The runs, and whether there was time to think about all of them; the rest then lies in rows."""
        left = [lot.copies for lot in self.lots]
        laid: list[Laid] = []
        while any(left) and not self.effort.is_over():
            best = self._best_run(left)
            if best is None:
                break
            laid.append(Laid(best.placements, best.way))
            left = best.left
            self.report(laid, left)
        rest = lay_rows(self._rest(left), self.rules)
        laid += [Laid(tuple(run), Way.ROWS) for run in rest if run]
        return self._shortened(laid), not rest

    def _shortened(self, laid: Sequence[Laid]) -> list[Laid]:
        """What time is left goes to the runs of boxes, each its part."""
        shorter = []
        for number, run in enumerate(laid):
            if run.way is Way.BOXES and not self.effort.is_over() and not self.rules.is_sheet:
                part = self.effort.part(1 / (len(laid) - number))
                run = replace(run, placements=tuple(shorten(run.placements, self._pilers["boxes"], part)))
            shorter.append(run)
        return shorter

    def _rest(self, left: Sequence[int]) -> list[Lot]:
        return [replace(lot, copies=n) for lot, n in zip(self.lots, left, strict=True) if n]

    def _best_run(self, left: list[int]) -> _Try | None:
        """The best run from here in this run's share of the time: the arms that won before go first."""
        waiting_mm = sum(n * share for n, share in zip(left, self._shares, strict=True))
        runs = max(1.0, waiting_mm / self.rules.run_mm)
        until = self.effort.share() + (1 - self.effort.share()) / runs
        is_short = self.effort.seconds * (1 - self.effort.share()) / runs < A_TRY_NEEDS
        arms = sorted(self._wins, key=lambda arm: (is_short and not arm.kept, -self._wins[arm]))
        best, best_arm = self._in_rows(left), None
        for number, arm in enumerate(arms):
            if number and (self.effort.share() >= until or self.effort.stop()):
                break
            tried = self._try(arm, left)
            if tried and (best is None or tried.worth > best.worth):
                best, best_arm = tried, arm
        if best_arm:
            self._wins[best_arm] += 1
        return best

    def _try(self, arm: _Arm, left: list[int]) -> _Try | None:
        banned: set[int] = set()
        while True:
            draft, after = self._piled(arm, left, banned) if arm.leaning else self._laid(arm, left, banned)
            if draft is None or self.effort.is_over() or not draft.placements:
                return None
            torn = self._torn(draft, after) if self.rules.whole_jobs else set()
            if not torn:
                return self._weigh(draft, after, arm.way)
            banned |= torn

    def _laid(self, arm: _Arm, left: Sequence[int], banned: set[int]) -> tuple[Draft, list[int]]:
        """The next run, piece after piece."""
        runner = Runner(self._catalogues[arm.catalogue], list(left), arm.taste, banned)
        draft = runner.lay_run(self.effort.is_over)
        self.effort.spend(len(draft.placements))
        return draft, runner.left

    def _piled(self, arm: _Arm, left: Sequence[int], banned: set[int]) -> tuple[Draft | None, list[int]]:
        """The next run, by beam search."""
        piler = self._pilers[arm.catalogue]
        offer = piler.offer(left, max(1, self.rules.window), banned)
        if offer is None:
            return None, []
        beam = Beam(offer.supply, lead=int((2 * self.rules.edge_mm - self.rules.gap_mm) / STEP_MM))
        pile = beam.search(arm.kept, arm.leaning or LEANINGS[0], self.effort.is_over)
        self.effort.spend(beam.cost)
        return piler.draft(pile, offer, left) if pile else (None, [])

    def _torn(self, draft: Draft, left: Sequence[int]) -> set[int]:
        """The lots that this run would part although they fit one run whole."""
        return {lot for lot in draft.counts if left[lot] and not self._is_long(lot)}

    def _is_long(self, lot: int) -> bool:
        whole = self.lots[lot]
        needs_mm = rows_mm(whole.copies, best_stance(whole, self.rules), self.rules)
        return needs_mm - self.rules.gap_mm > self.rules.room_mm

    def _weigh(self, draft: Draft, left: list[int], way: Way) -> _Try:
        worth = sum(self._shares[lot] * copies for lot, copies in draft.counts.items())
        length_mm = draft.end * STEP_MM - self.rules.gap_mm + 2 * self.rules.edge_mm
        return _Try(tuple(draft.placements), left, way, worth / self._price_mm(length_mm, draft.placements))

    def _price_mm(self, length_mm: float, placements: Sequence[Placement]) -> float:
        """What a run costs, film and cutting, in mm of film."""
        film_mm = self.rules.run_mm if self.rules.is_sheet else length_mm + COLUMN_MM
        if not (self.rules.minute_costs and self.rules.metre_costs):
            return film_mm
        minutes = cutting_minutes(placements, self.jobs, self.rules)
        return film_mm + minutes * self.rules.minute_costs / self.rules.metre_costs * 1000

    def _in_rows(self, left: Sequence[int]) -> _Try | None:
        """The next run in plain rows."""
        rest = self._rest(left)
        few, waiting_mm = 0, 0.0
        while few < len(rest) and waiting_mm < 1.5 * self.rules.run_mm:
            waiting_mm += rows_mm(rest[few].copies, best_stance(rest[few], self.rules), self.rules)
            few += 1
        runs = lay_rows(rest[:few], self.rules)
        if not runs:
            return None
        after, worth, ends = list(left), 0.0, 0.0
        numbers = {lot.job.code: number for number, lot in enumerate(self.lots)}
        for placement in runs[0]:
            number = numbers[placement.code]
            after[number] -= 1
            worth += self._shares[number]
            shape = self.lots[number].job.shape
            along = shape.width_mm if placement.turned else shape.height_mm
            ends = max(ends, placement.y_mm + along)
        price_mm = self._price_mm(ends + self.rules.edge_mm, runs[0])
        return _Try(tuple(runs[0]), after, Way.ROWS, worth / price_mm)
