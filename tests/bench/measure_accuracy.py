"""How right the measuring is on shapes of known width: tables in Markdown, by family and resolution."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from tests.bench.measure_words import say
from tests.intake.measure.truth import drawn, lettering, shapes, silent
from tests.intake.measure.truth.renderers import RENDERERS
from tests.intake.measure.truth.scoring import Score, score
from tests.intake.measure.truth.shapes import Case, Rng

Draw = Callable[[Rng], Case]
STROKES: tuple[Draw, ...] = (
    shapes.bar,
    shapes.slot,
    shapes.arc,
    shapes.ring,
    shapes.ring_gap,
    shapes.taper,
    shapes.taper_gap,
    shapes.neck,
    shapes.v_neck,
    shapes.v_gap,
    shapes.grid,
    shapes.hatch,
    shapes.whisker,
    shapes.dots,
)
SILENT: tuple[Draw, ...] = (
    silent.solid,
    silent.star,
    silent.star_hole,
    silent.blob,
    silent.wedge,
    silent.wedge_notch,
    silent.needle,
    silent.whisker_corner,
    silent.soft_shadow,
)
STRAIGHT = ("bar", "slot", "arc", "ring", "ring gap", "taper", "taper gap", "whisker")
JUST_OVER = 0.9  # a limit a tenth under the width: nothing may be reported


@dataclass(frozen=True)
class Plan:
    """One table: the resolution, whether anti-aliased, how many cases a family."""

    ppi: int
    is_smooth: bool
    count: int
    silent_count: int


def cases(draw: Draw, seed: int, count: int, salt: int) -> Iterator[tuple[Case, str]]:
    """Random cases with the renderer that draws each."""
    rng = np.random.default_rng([seed, salt, *map(ord, draw.__name__)])
    for k in range(count):
        yield draw(rng), RENDERERS[k % len(RENDERERS)]


def spread(values: list[float]) -> str:
    """Bias, 99th percentile and worst of the errors, in mm."""
    e = np.array([v for v in values if not np.isnan(v)])
    if not len(e):
        return "– | – | –"
    return f"{e.mean():+.4f} | {np.percentile(np.abs(e), 99):.4f} | {np.abs(e).max():.4f}"


@dataclass
class Tally:
    """What was to be found and what was found."""

    true_found: int = 0
    missed: int = 0
    false_found: int = 0
    rightly_silent: int = 0

    def line(self) -> str:
        """Precision and recall in words."""
        precision = self.true_found / max(self.true_found + self.false_found, 1)
        recall = self.true_found / max(self.true_found + self.missed, 1)
        total = self.true_found + self.missed + self.false_found + self.rightly_silent
        return f"{total} decisions: precision {precision:.4f}, recall {recall:.4f}"


def is_found(found: Score) -> bool:
    """Whether the thinnest of the case is reported below a limit a tenth over it."""
    lines, gaps = found.measures.thin_lines, found.measures.thin_gaps
    return bool((not found.case.line_mm or lines) and (not found.case.gap_mm or gaps))


def report(plan: Plan, seed: int) -> list[Score]:
    """Print the tables of one plan and give all scores."""
    drawn = "anti-aliased" if plan.is_smooth else "not anti-aliased"
    say(f"\n### {plan.ppi} ppi, {drawn}\n")
    say("| family | n | missed | line: bias | p99 | worst | gap: bias | p99 | worst | place p95 |")
    say("|---|---|---|---|---|---|---|---|---|---|")
    tally, everything = Tally(), []
    for draw in STROKES:
        scores = [score(c, r, plan.ppi, plan.is_smooth) for c, r in cases(draw, seed, plan.count, plan.ppi)]
        everything += scores
        place = [s.place_error for s in scores if not np.isnan(s.place_error)]
        where = f"{np.percentile(place, 95):.2f}" if place else "–"
        lines, gaps = [s.line_error for s in scores], [s.gap_error for s in scores]
        if draw is shapes.dots:
            lines = [m.value_mm - (s.case.island_mm or 0) for s in scores for m in s.measures.islands]
        missed = sum(s.missed for s in scores)
        counts = f"{scores[0].case.family} | {len(scores)} | {missed}"
        say(f"| {counts} | {spread(lines)} | {spread(gaps)} | {where} |")
        for s in scores:
            if s.case.family in STRAIGHT:
                tally.true_found += is_found(s)
                tally.missed += not is_found(s)
    _just_over(plan, seed, tally)
    _silent(plan, seed, tally)
    say(f"\nLines and gaps a tenth under and a tenth over the limit, and silent shapes: {tally.line()}.")
    return everything


def _just_over(plan: Plan, seed: int, tally: Tally) -> None:
    """The same shapes with a limit a tenth under their width: reporting one is a false alarm."""
    for draw in (shapes.bar, shapes.slot, shapes.arc, shapes.ring, shapes.ring_gap):
        for case, renderer in cases(draw, seed, max(plan.count // 2, 1), plan.ppi):
            asked = replace(case, limit_mm=JUST_OVER * (case.line_mm or case.gap_mm or 1.0))
            found = score(asked, renderer, plan.ppi, plan.is_smooth).measures
            wrong = bool(found.thin_lines if case.line_mm else found.thin_gaps)
            tally.false_found += wrong
            tally.rightly_silent += not wrong


def _silent(plan: Plan, seed: int, tally: Tally) -> None:
    counts = []
    for draw in SILENT:
        scores = [
            score(c, r, plan.ppi, plan.is_smooth) for c, r in cases(draw, seed, plan.silent_count, plan.ppi)
        ]
        alarms = sum(s.alarms > 0 for s in scores)
        counts.append(f"{scores[0].case.family} {alarms} / {len(scores)}")
        tally.false_found += alarms
        tally.rightly_silent += len(scores) - alarms
    say("\nFalse alarms up to a limit of 1 mm: " + ", ".join(counts) + ".")


def report_drawn(seed: int, count: int) -> None:
    """Things that people draw; the generator of the other tables knows none of them."""
    say("\n### Things that people draw, 300 ppi, anti-aliased\n")
    say("| family | n | missed | line or dot: bias | p99 | worst | gap: bias | p99 | worst | alarms |")
    say("|---|---|---|---|---|---|---|---|---|---|")
    for draw in drawn.DRAWN:
        scores = [score(c, r, 300) for c, r in cases(draw, seed, count, 300)]
        lines, gaps = [s.line_error for s in scores], [s.gap_error for s in scores]
        missed = sum(s.missed or s.measures.island_count != (s.case.islands or 0) for s in scores)
        if draw is drawn.dotted_row:
            lines = [m.value_mm - (s.case.island_mm or 0) for s in scores for m in s.measures.islands]
        else:
            missed = sum(s.missed for s in scores)
        alarms = sum(s.alarms > 0 for s in scores) if draw is drawn.swash else "–"
        say(
            f"| {scores[0].case.family} | {len(scores)} | {missed} | {spread(lines)} | {spread(gaps)} "
            f"| {alarms} |"
        )


def report_type(seed: int, count: int) -> None:
    """Words of 4 to 14 pt against their medial axes."""
    say("\n### Type of 4 to 14 pt, anti-aliased, against the medial axis of the outlines (run 0.50 mm)\n")
    say("| ppi | weights | n | missed | bias | p95 | worst | within 0.03 mm |")
    say("|---|---|---|---|---|---|---|---|")
    for ppi in (300, 600):
        scores = [score(c, r, ppi) for c, r in cases(lettering.word, seed, count, ppi) if c.line_mm]
        for name, least, most in (("100 to 400", 0, 400), ("600 and 900", 401, 1000)):
            some = [s for s in scores if least <= int(s.case.note.split()[-1]) <= most]
            e = np.array([s.line_error for s in some if not np.isnan(s.line_error)])
            missed = sum(s.missed for s in some)
            within = (np.abs(e) <= 0.03).sum() / max(len(some), 1)
            say(
                f"| {ppi} | {name} | {len(some)} | {missed} | {e.mean():+.4f} "
                f"| {np.percentile(np.abs(e), 95):.3f} | {np.abs(e).max():.3f} | {100 * within:.0f} % |"
            )
