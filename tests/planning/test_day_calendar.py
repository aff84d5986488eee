"""Clock and axis. Times are minutes here; the expected figures were worked out by hand from the hours."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError, OutOfReach
from enamelwright.planning.day.calendar import Calendar

#: 09:00 to 12:30 and 13:00 to 17:00 every day, nights cut to an hour.
DAYS = Calendar.daily(((540, 750), (780, 1020)), 10, 60, 1440)


@pytest.mark.parametrize(("clock", "axis"), [(600, 60), (765, 225), (1050, 510), (1920, 540), (2055, 615)])
def test_a_time_on_the_axis(clock: int, axis: int) -> None:
    assert DAYS.to_axis(clock) == axis


def test_work_offered() -> None:
    assert DAYS.worked_by(2055) == 525
    assert DAYS.when_worked(385) == 955
    assert DAYS.when_worked(900) == 2460


def test_the_first_fit_goes_past_the_break() -> None:
    assert DAYS.to_clock(DAYS.fit(DAYS.to_axis(741), 10)) == 780


@given(st.integers(540, 9 * 1440), st.integers(0, 300))
def test_a_wait_is_never_shorter_than_told(end: int, wait: int) -> None:
    """From any working moment: what starts in a window after the wait starts late enough on the clock."""
    axis = DAYS.fit(DAYS.to_axis(end), 1)
    after = DAYS.fit(DAYS.after(axis, wait), 1)
    assert DAYS.to_clock(after) - DAYS.to_clock(axis) >= wait


@given(st.integers(0, 9 * 540), st.integers(0, 60))
def test_a_short_wait_is_exact(axis: int, wait: int) -> None:
    """No window between the end of the wait and the next start is passed over."""
    begin = DAYS.fit(axis, 1)
    found = DAYS.to_clock(DAYS.fit(DAYS.after(begin, wait), 1))
    clock = DAYS.to_clock(begin) + wait
    first = min(max(o, clock) for o, c in DAYS.windows if max(o, clock) + 1 <= c)
    assert found == first


def test_bad_hours_are_refused() -> None:
    for windows in ((), ((5, 5),), ((0, 10), (9, 12))):
        with pytest.raises(InputError):
            Calendar(windows, 1, 1440)
    with pytest.raises(OutOfReach, match="calendar ends"):
        DAYS.fit(0, 1000)
