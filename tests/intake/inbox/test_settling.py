"""Settling: pure, on fingerprints and a clock that are handed in."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from intake.inbox.settling import Fingerprint, Settling, is_settled

looks = st.lists(st.tuples(st.integers(0, 3), st.floats(0.1, 5)), min_size=1, max_size=30)


def fingerprint(state: int) -> Fingerprint:
    """One state of a file; every state has the same size and modification time."""
    return Fingerprint(1, 7, 1000, 5, state)


@given(looks, st.floats(0.5, 10))
def test_a_file_is_settled_only_after_so_long_without_any_change(
    seen: list[tuple[int, float]], settle_seconds: float
) -> None:
    """However the looks fall: settled means that every look in that time saw the same fingerprint."""
    settling, now = Settling(), 0.0
    history: list[tuple[float, int]] = []
    for state, pause in seen:
        now += pause
        history.append((now, state))
        unchanged = settling.note("a", fingerprint(state), now)
        if is_settled(unchanged, settle_seconds):
            since = now - settle_seconds
            assert {s for at, s in history if at >= since} == {state}
            assert any(at <= since + 1e-9 for at, s in history if s == state)


def test_only_the_change_time_gives_some_copies_away() -> None:
    """Same size, same modification time, another change time: it has changed (notes, finding 3)."""
    settling = Settling()
    settling.note("a", fingerprint(1), 0.0)
    assert settling.note("a", fingerprint(1), 9.0) == 9.0
    assert settling.note("a", fingerprint(2), 9.5) == 0.0


def test_files_settle_apart_and_forgotten_ones_begin_anew() -> None:
    """One that is gone and comes back has no past."""
    settling = Settling()
    settling.note("a", fingerprint(1), 0.0)
    settling.note("b", fingerprint(1), 5.0)
    assert settling.seconds_to_go(3.0, "a", 2.0) == 1.0
    settling.forget_others({"b"})
    assert settling.note("a", fingerprint(1), 8.0) == 0.0
    assert settling.note("b", fingerprint(1), 8.0) == 3.0


def test_a_fingerprint_as_text_tells_all_of_its_parts() -> None:
    """As the books compare it."""
    assert Fingerprint(1, 2, 3, 4, 5).as_text() == "1:2:3:4:5"
