"""What the shop's own scans tell about its paces: robust to forgotten ones, slow to believe a few."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tickets.forecast.model import Job, Line, Pace, Paces, Urgency, Work, Workplace, usual_minutes
from tickets.forecast.spells import Spell, spells

_TOGETHER = (
    0.25  # work that seems to have taken a smaller share of its usual time was scanned with what came before
)
_SCANNED_LATE = 0.1  # nobody is ten times as fast as the shop itself says
_FEWEST_SINCE_CHANGE = 6
_SURE_OF_CHANGE, _LEAST_CHANGE = 3.5, 0.15  # standard errors, and a natural logarithm: 16 %
_LEAST_SPREAD = 0.1  # nobody works as even as that
_FAR_OUT = 3.0  # standard deviations beyond which a time counts only as if it were so far out
_SPREAD_SCANS, _SPOILED_PIECES = 8, 50  # how many of them the configured values weigh as much as
_MOST_PAUSE, _MOST_PAUSED, _PAUSE_SCANS = 60.0, 0.2, 10  # minutes, a share, and scans that weigh as none
_KIND_DOUBT = 0.25  # how far one kind of work usually is from the rest of its station
_LEAST_DOUBT = 0.12  # no pace is known better: found on simulated shops, where nine orders of ten must hold


@dataclass(frozen=True, slots=True)
class Done:
    """Work that was done at a station: what one scan booked there of one ticket. Times are working minutes.

    `came`: when its pieces came to the station, None when that is not known. `inferred`: nobody saw it done.
    """

    station: str
    scan: int
    at: float
    came: float | None
    work: Work
    kind: str
    urgency: Urgency
    spoiled: int = 0
    begins: bool = True  # the first of its ticket there: set-up belongs to it
    inferred: bool = False


def learn(line: Line, history: Sequence[Done]) -> dict[str, Pace]:
    """The paces of every station, from the work that was done, oldest first."""
    paces = {}
    for station in line.stations:
        here = [done for done in history if done.station == station.name] if line.learns else []
        paces[station.name] = _learn_one(station, here)
    return paces


def mark_begun(
    line: Line,
    jobs: Sequence[Job],
    came: Mapping[tuple[str, str], float],
    seen: Mapping[str, list[float]],
    now: float,
    paces: Paces,
) -> list[Job]:
    """The jobs, with how long somebody has probably been at those that are first at their stations.

    `came`: when each ticket came to each station; `seen`: when work was done at each, the latest last.
    Somebody began with what is most urgent when hands fell free. What has taken twice its usual time, and
    twice the pause that somebody may have made, is not being worked on, but lies.
    """
    marked: dict[Job, float] = {}
    for station in line.stations:
        here = [job for job in jobs if job.station == station.name and not job.release]
        for free in sorted(seen.get(station.name, []))[-station.pace.hands :]:
            waiting = [(job, came.get((job.ticket, job.station), free)) for job in here if job not in marked]
            job, start = _taken_up(waiting, free)
            pace = paces.get(station.name) or Pace.configured(station.pace)
            longest = usual_minutes(station.pace, job.work) * math.exp(pace.factor) if job else 0.0
            if job and 0 < now - start < 2 * (longest + (pace.pause_minutes if pace.pause_share else 0.0)):
                marked[job] = now - start
    return [replace(job, begun=marked[job]) if job in marked else job for job in jobs]


def _taken_up(waiting: Sequence[tuple[Job, float]], free: float) -> tuple[Job | None, float]:
    """What hands that fell free then took up, and when: the most urgent there, else what came first."""
    there = [job for job, came in waiting if came <= free]
    if there:
        return min(there, key=lambda job: job.urgency), free
    return min(waiting, key=lambda one: one[1], default=(None, free))


def _learn_one(station: Workplace, history: Sequence[Done]) -> Pace:
    configured = Pace.configured(station.pace)
    if not history or station.waits_only:
        return configured
    share = _spoiled_share(station.pace.spoiled_share, history)
    samples = _samples(station, [done for done in history if not done.inferred])
    if not samples:
        return replace(configured, spoiled_share=share)
    ratios = np.array([math.log(spell.minutes / spell.usual) for spell in samples])
    newest = _since_change(ratios)
    samples, ratios = samples[-newest:], ratios[-newest:]
    kinds = _kinds([spell.kind for spell in samples], ratios)
    own = ratios - np.array([kinds.get(spell.kind, 0.0) for spell in samples])
    pauses = _pauses(samples, own)
    believed = _believed(configured, own[~pauses.paused])
    return replace(
        believed,
        kinds=kinds,
        spoiled_share=share,
        pause_share=pauses.share,
        pause_minutes=pauses.minutes,
    )


@dataclass(frozen=True, slots=True)
class _Pauses:
    """Which samples hold a pause; in what share of jobs there is one, and how long it is on average."""

    paused: NDArray[np.bool_]
    share: float = 0.0
    minutes: float = 0.0


def _pauses(samples: Sequence[Spell], ratios: NDArray[np.float64]) -> _Pauses:
    """Work that took far longer than the like of it: somebody was away, or nobody scanned.

    A pause is as long whatever work it falls into, so it is seen in short work only: its share is counted
    among work that is short enough to show one. Few are believed little.
    """
    middle, far = float(np.median(ratios)), _FAR_OUT * max(_robust_spread(ratios), _LEAST_SPREAD)
    paused = ratios > middle + far
    if not paused.any():
        return _Pauses(paused)
    # `ratios` are free of kinds already: what a sample would have taken is its minutes without its own ratio.
    taken = np.array([spell.minutes for spell in samples])
    usual = taken / np.exp(ratios - middle)
    minutes = min(float(np.median((taken - usual)[paused])), _MOST_PAUSE)
    shows = (usual * math.expm1(far) < minutes) | paused
    share = float(paused.sum()) / (float(shows.sum()) + _PAUSE_SCANS)
    return _Pauses(paused, min(share, _MOST_PAUSED), minutes)


def _believed(configured: Pace, ratios: NDArray[np.float64]) -> Pace:
    """The configured pace and what was seen, each weighed by how sure it is (normal with normal prior)."""
    count = len(ratios)
    tamed = _tame(ratios)
    seen_spread = float(tamed.std(ddof=1)) if count > 2 else configured.spread
    spread = math.sqrt(
        (_SPREAD_SCANS * configured.spread**2 + count * seen_spread**2) / (_SPREAD_SCANS + count)
    )
    seen = float(np.log(np.exp(tamed).mean()))
    error, prior = spread**2 / count, configured.doubt**2
    weight = prior / (prior + error) if prior else 0.0
    doubt = math.sqrt(weight * error) if prior else 0.0
    return Pace(weight * seen, max(doubt, _LEAST_DOUBT if prior else 0.0), spread, scans=count)


def _samples(station: Workplace, history: Sequence[Done]) -> list[Spell]:
    """How long each scan's work took; what was scanned in one go, late, is taken together.

    What then still took next to no time was not worked on meanwhile, but only scanned, and tells nothing.
    """
    taken: list[Spell] = []
    for spell in spells(_as_spells(station, history), station.pace.hands):
        if taken and spell.minutes < _TOGETHER * spell.usual:
            last = taken.pop()
            kind = last.kind if last.kind == spell.kind else ""
            spell = replace(
                spell, minutes=last.minutes + spell.minutes, usual=last.usual + spell.usual, kind=kind
            )
        taken.append(spell)
    return [spell for spell in taken if spell.usual > 0 and spell.minutes > _SCANNED_LATE * spell.usual]


def _as_spells(station: Workplace, history: Sequence[Done]) -> list[Spell]:
    """One spell a scan: a film run or a load is one piece of work, however many tickets it holds."""
    scans: dict[int, list[Done]] = {}
    for done in history:
        scans.setdefault(done.scan, []).append(done)
    return [_one_spell(station, parts) for parts in scans.values()]


def _one_spell(station: Workplace, parts: list[Done]) -> Spell:
    came = [done.came for done in parts if done.came is not None]
    work = Work(sum(d.work.pieces for d in parts), sum(d.work.metres for d in parts))
    usual = usual_minutes(station.pace, work, with_set_up=any(d.begins for d in parts))
    kinds = {done.kind for done in parts}
    return Spell(
        at=parts[-1].at,
        came=max(came) if came else None,
        usual=usual,
        kind=kinds.pop() if len(kinds) == 1 else "",
        urgency=min(done.urgency for done in parts),
    )


def _since_change(ratios: NDArray[np.float64]) -> int:
    """How many of the newest belong together: since the pace changed for certain, or all of them.

    The newest so many are held against the three times as many before them, for ever longer stretches.
    """
    newest = _FEWEST_SINCE_CHANGE
    while newest + _FEWEST_SINCE_CHANGE <= len(ratios):
        new, old = ratios[-newest:], ratios[-4 * newest : -newest]
        if _is_change(_tame(new), _tame(old)):
            return newest
        newest += max(1, newest // 6)
    return len(ratios)


def _is_change(new: NDArray[np.float64], old: NDArray[np.float64]) -> bool:
    """Whether the pace is another one: means and medians must agree on it (a few breaks move means alone)."""
    error = math.sqrt(sum(max(float(part.var(ddof=1)), _LEAST_SPREAD**2) / len(part) for part in (new, old)))
    change, middle = float(new.mean() - old.mean()), float(np.median(new) - np.median(old))
    sure = min(abs(change), abs(middle)) if change * middle > 0 else 0.0
    return sure > max(_SURE_OF_CHANGE * error, _LEAST_CHANGE)


def _kinds(kinds: Sequence[str], ratios: NDArray[np.float64]) -> dict[str, float]:
    """How far each kind of work is from all of it, believed the more the more of it was seen."""
    middle, spread = float(np.median(ratios)), max(_robust_spread(ratios), 0.05)
    found = {}
    for kind in {k for k in kinds if k}:
        own = ratios[[k == kind for k in kinds]]
        if len(own) < len(ratios):
            weight = len(own) / (len(own) + (spread / _KIND_DOUBT) ** 2)
            found[kind] = weight * (float(np.median(own)) - middle)
    return found


def _spoiled_share(configured: float, history: Sequence[Done]) -> float:
    pieces = sum(done.work.pieces for done in history)
    return (sum(d.spoiled for d in history) + configured * _SPOILED_PIECES) / (pieces + _SPOILED_PIECES)


def _tame(ratios: NDArray[np.float64]) -> NDArray[np.float64]:
    """What lies far out counts as if it were less far: a forgotten scan, a break that nobody wrote down."""
    middle, far = float(np.median(ratios)), _FAR_OUT * max(_robust_spread(ratios), 0.05)
    return np.clip(ratios, middle - far, middle + far)


def _robust_spread(ratios: NDArray[np.float64]) -> float:
    """The standard deviation as the median deviation tells it (× 1.4826 for a normal distribution)."""
    return float(np.median(np.abs(ratios - np.median(ratios)))) * 1.4826
