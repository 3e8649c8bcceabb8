"""Working time: nights, weekends, holidays and the days on which clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.settings import load_settings
from config.settings_line import LineSettings, read_spans
from tickets.forecast.hours import WorkingTime

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 12, 2, 10, 0, tzinfo=UTC)


def line(**changes: object) -> LineSettings:
    """The shipped line with other hours."""
    return LineSettings(**{**load_settings(None, {}).line.model_dump(), **changes})


WORKING = WorkingTime.around(line(), LONDON, NOW)


def after(working: WorkingTime, start: datetime, minutes: float) -> datetime:
    """The moment so many working minutes after another."""
    moment = working.moment(working.minute(start) + minutes)
    assert moment is not None
    return moment


def test_work_stops_at_noon_at_night_and_over_the_weekend() -> None:
    """Friday afternoon's work goes on on Monday morning; the last minute of a day is that day's."""
    friday = datetime(2026, 12, 4, 16, 0, tzinfo=UTC)
    assert after(WORKING, friday, 60) == datetime(2026, 12, 4, 17, 0, tzinfo=UTC)
    assert after(WORKING, friday, 90) == datetime(2026, 12, 7, 9, 0, tzinfo=UTC)
    assert after(WORKING, datetime(2026, 12, 7, 12, 0, tzinfo=UTC), 60) == datetime(
        2026, 12, 7, 13, 30, tzinfo=UTC
    )


def test_a_moment_outside_of_working_time_is_the_next_minute_of_work() -> None:
    """What is scanned at night took no time since the evening."""
    evening, night = datetime(2026, 12, 3, 17, 0, tzinfo=UTC), datetime(2026, 12, 4, 3, 0, tzinfo=UTC)
    assert WORKING.minute(night) == WORKING.minute(evening)


@given(st.integers(0, 200_000))
def test_minutes_and_moments_agree(minutes: int) -> None:
    """A moment told from a minute is that minute again."""
    moment = after(WORKING, NOW, minutes)
    assert WORKING.minute(moment) - WORKING.minute(NOW) == pytest.approx(minutes)


def test_holidays_and_days_off_are_no_working_time() -> None:
    """Scotland's second of January, a stretch between the years, and a Saturday that is worked."""
    off = line(holidays="GB-SCT", closed=("2026-12-28/2026-12-31",), also_open=("2026-12-26 09:00-12:00",))
    working = WorkingTime.around(off, LONDON, NOW)
    christmas_eve = datetime(2026, 12, 24, 16, 30, tzinfo=UTC)
    assert after(working, christmas_eve, 60) == datetime(2026, 12, 26, 9, 30, tzinfo=UTC)
    assert after(working, christmas_eve, 30 + 180 + 30) == datetime(2027, 1, 5, 9, 0, tzinfo=UTC)


def test_a_day_on_which_clocks_change_has_the_hours_of_the_clock_on_the_wall() -> None:
    """A shift from midnight to six is an hour shorter in March and an hour longer in October."""
    for day, minutes in ((date(2026, 3, 29), 300), (date(2026, 10, 25), 420), (date(2026, 10, 26), 360)):
        working = WorkingTime.of({day: ((time(0), time(6)),)}, LONDON)
        assert working.before[-1] == minutes


def test_hours_that_nobody_can_work_are_refused() -> None:
    """No hours at all, spans that end before they begin or lie over one another, and unknown countries."""
    hours = line().hours.model_dump()
    with pytest.raises(ValueError, match="never works"):
        line(hours=dict.fromkeys(hours, ()))
    for wrong in (["17:00-08:00"], ["08:00-12:00", "11:00-13:00"], ["morning"], ["25:00-26:00"]):
        with pytest.raises(ValueError, match=r"span|ends before|hour"):
            read_spans(wrong)
    with pytest.raises(ValueError, match="no country"):
        line(holidays="XX")
    with pytest.raises(ValueError, match="no day"):
        line(closed=("Christmas",))


def test_what_is_too_far_away_has_no_moment() -> None:
    """Beyond the calendar nothing is promised."""
    assert WORKING.moment(WORKING.minute(NOW + timedelta(days=790)) + 10_000) is None
