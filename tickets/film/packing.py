"""Everything on the shortest strip: longer and longer searches for lengths that nobody reached yet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tickets.film.beams import Beam, Leaning, Pile
from tickets.film.effort import Effort
from tickets.film.skylines import Ints, Supply

MOST_KEPT = 4096
ROUNDS = 4  # searches before twice as many strips are kept


def pack_all(
    supply: Supply, effort: Effort, first: Pile | None = None, most_rounds: int = 10_000
) -> Pile | None:
    """All blocks of a supply on the shortest strip that is found within the effort, and within its room.

    `first`: a pile that is already known. Each round asks for a length and so knows how much film may be lost
    on the way; what loses more is dropped. There are at most `most_rounds`. None: the room was too little.
    """
    dice = np.random.default_rng(1)
    grain = int(np.gcd.reduce(supply.blocks.long))
    least = -(-least_length(supply) // grain) * grain
    best, kept, rounds = first, 1, 0
    while rounds < most_rounds and not effort.is_over():
        if best and best.end <= least:
            break
        room = _asked(least, best.end, rounds) if best else _guessed(least, supply.room, rounds)
        beam = Beam(_within(supply, room // grain * grain), seed=int(dice.integers(1 << 30)))
        leaning = Leaning(
            corners=10 ** dice.uniform(-1.2, 0.1),
            large=10 ** dice.uniform(-1.2, 0.1),
            dice=float(dice.choice((0.0, 0.1, 0.3))),
            is_fixed=bool(dice.integers(2)),
        )
        found = beam.search(kept, leaning, effort.is_over)
        effort.spend(beam.cost)
        if found and (best is None or found.end < best.end):
            best = found
        rounds += 1
        kept = min(MOST_KEPT, 2 ** (rounds // ROUNDS))
    return best


def least_length(supply: Supply) -> int:
    """No strip is shorter: the film that the pieces take ÷ the columns, or the longest of them."""
    blocks = supply.blocks
    each = np.full(len(supply.counts), np.inf)
    np.minimum.at(each, blocks.lot, blocks.area / blocks.copies)
    longest: Ints = np.full(len(supply.counts), 1 << 28, np.int32)
    np.minimum.at(longest, blocks.lot, blocks.long)
    waits = supply.counts > 0
    area = float((each * supply.counts)[waits].sum())
    return max(int(np.ceil(area / supply.columns - 1e-9)), int(longest[waits].max(initial=0)))


def _asked(least: int, known: int, rounds: int) -> int:
    """The length to ask for: the least in turn with some between it and what is known."""
    most = known - 1
    asked = (least, least + 1 + (most - least) // 8, least, least + (most - least) // 2)
    return max(least, min(most, asked[rounds % len(asked)]))


def _guessed(least: int, room: int, rounds: int) -> int:
    """The length to ask for while none is known: little more than the least, then more, then all the room."""
    return min(room, int(least * (1 + 0.02 * 2**rounds))) if rounds < ROUNDS else room


def _within(supply: Supply, room: int) -> Supply:
    """The same supply for a length: what is more than the pieces take may be lost."""
    blocks = supply.blocks
    each = np.full(len(supply.counts), np.inf)
    np.minimum.at(each, blocks.lot, blocks.area / blocks.copies)
    taken = float((each * supply.counts)[supply.counts > 0].sum())
    return replace(supply, room=room, most_lost=int(room * supply.columns - taken + 1e-6))
