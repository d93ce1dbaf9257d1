"""Periods counted between readings that come early, late, together, or not at all."""

import pytest

from shedstation.domain.fruit.beats import Beats


@pytest.mark.parametrize(
    ("times", "period"),
    [
        ([0.0, 0.1, 0.2, 0.3, 0.4, 0.5], 0.1),
        ([0.0, 0.1, 0.2, 0.5, 0.6, 0.7], 0.1),
        ([0.0, 0.2, 0.2, 0.4, 0.4, 0.6], 0.12),
        ([0.0, 0.0, 0.2, 0.2, 0.4, 0.4], 0.08),
        ([0.0, 0.01, 0.02, 0.03, 0.04, 0.05], 0.05),
        ([0.0, 0.0, 0.0, 0.0, 0.0, 0.0], 1.0),
    ],
)
def test_that_the_period_is_the_usual_gap(times: list[float], period: float) -> None:
    assert Beats(times).period_s == pytest.approx(period)


def beats_at(period_s: float) -> Beats:
    return Beats([number * period_s for number in range(6)])


def test_that_a_lost_reading_is_two_periods() -> None:
    beats = beats_at(0.1)
    assert [beats.passed(at_s) for at_s in (0.0, 0.1, 0.2, 0.4, 0.5)] == [1, 1, 1, 2, 1]


def test_that_readings_in_one_chunk_take_a_period_each() -> None:
    times = [number // 2 * 0.2 for number in range(60)]
    beats = Beats(times[:6])
    passed = [beats.passed(at_s) for at_s in times]
    assert min(passed) == 1
    assert sum(passed) * beats.period_s == pytest.approx(times[-1], rel=0.1)


def test_that_a_pace_a_little_off_is_followed() -> None:
    beats = beats_at(0.1)
    assert {beats.passed(number * 0.103) for number in range(400)} == {1}


def test_that_a_fast_scale_is_heard_twenty_times_a_second() -> None:
    beats = beats_at(0.01)
    passed = [beats.passed(number * 0.01) for number in range(400)]
    assert sum(passed) == pytest.approx(80, abs=2)
    assert set(passed) == {0, 1}
