"""When a weight is stable, as published, and for how long, as this program chooses.

Sources: R 76-1:2006 4.4.2 (only two adjacent values may show), NIST Handbook 44 S.2.1.2 (within one
division), both from memory; SI/98-81 section 45, read: within one division. No source says for how
long or how often; those figures are marked.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vector_files import rows

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import BadFrame, Reading, State
from shedstation.domain.steadiness import SteadinessJudge

D = Mass(2, 2, Unit.LB)
"""A division of 0.02 lb, so that one step of the display is not one count."""


def shown(divisions: int) -> Mass:
    return D * (1250 + divisions)


def judged(
    readings: list[tuple[float, int]],
    state: State = State.UNKNOWN,
    judge: SteadinessJudge | None = None,
) -> list[State]:
    judge = judge or SteadinessJudge(D)
    said = [judge.judged(Reading(at_s, shown(n), state)) for at_s, n in readings]
    return [each.state for each in said if isinstance(each, Reading)]


def every(step_s: float, divisions: list[int], start_s: float = 0.0) -> list[tuple[float, int]]:
    return [(round(start_s + n * step_s, 6), each) for n, each in enumerate(divisions)]


def test_that_the_sources_speak_of_one_division() -> None:
    # source: the rows themselves
    said = {(row["standard"], row["parameter"]): row["value"] for row in rows("scale_parameters")}
    assert said["CA", "stable for zero, tare, print, store"].startswith("within +-1 e")
    assert said["HB44", "stable for zero, tare, print"].startswith("within +-1 d")
    assert "two adjacent values only" in said["R76", "stable for print or store"]


@pytest.mark.parametrize(("swing", "state"), [(0, "steady"), (1, "steady"), (2, "moving")])
def test_that_two_adjacent_values_are_stable_and_three_are_not(swing: int, state: str) -> None:
    # source: R 76-1:2006 4.4.2; a range of one division also keeps HB 44's and SI/98-81's rule
    assert judged(every(0.1, [0, swing] * 5))[-1] is State(state)


def test_that_a_slow_creep_over_adjacent_values_is_not_stable() -> None:
    # source: R 76-1:2006 4.4.2; each step is one division, but three values show in half a second
    assert State.STEADY not in judged(every(0.2, [0, 1, 2, 3, 4, 5, 6]))


@given(st.lists(st.tuples(st.integers(1, 12), st.integers(-2, 2)), min_size=1, max_size=60))
def test_that_whatever_is_called_steady_was_within_one_division_for_half_a_second(
    steps: list[tuple[int, int]],
) -> None:
    # source of the division: R 76-1:2006 4.4.2; half a second and three readings: chosen here
    readings, now = [], 0
    for hundredths, divisions in steps:
        now += hundredths * 50
        readings.append((now / 1000, divisions))
    for place, state in enumerate(judged(readings)):
        at_s = readings[place][0]
        last = [n for s, n in readings[: place + 1] if round((at_s - s) * 1000) <= 500]
        if state is State.STEADY:
            assert max(last) - min(last) <= 1
            assert place >= 2
            assert round((at_s - readings[0][0]) * 1000) >= 500


def test_that_a_gap_on_a_fast_line_starts_anew() -> None:
    # chosen here, no published source: over 0.3 s without a reading at ten a second
    before = every(0.1, [0] * 8)
    after = every(0.1, [0] * 5, start_s=1.05)
    assert judged(before)[-1] is State.STEADY
    assert judged([*before, *after])[-5:] == [State.MOVING] * 5
    assert judged([*before, *every(0.1, [0] * 7, start_s=1.05)])[-1] is State.STEADY
    short = every(0.1, [0] * 3, start_s=1.0)
    assert judged([*before, *short])[-3:] == [State.STEADY] * 3


@pytest.mark.parametrize("step_s", [0.25, 0.5, 1.0, 1.02, 2.0])
def test_that_a_slow_scale_can_be_used(step_s: float) -> None:
    # chosen here, no published source: a gap is three times the line's own pace, at most 3 s
    assert judged(every(step_s, [5] * 6))[-1] is State.STEADY
    assert judged([*every(step_s, [5] * 6), (step_s * 5 + 3.1, 5)])[-1] is State.MOVING


def test_that_a_gap_at_the_very_start_of_a_fast_line_is_found_out_later() -> None:
    readings = [(0.0, 0), *every(0.1, [0] * 5, start_s=2.0)]
    assert State.STEADY not in judged(readings)


def test_that_a_line_that_brings_its_frames_in_bursts_can_be_used() -> None:
    bursts = [(n * 0.5, 0) for n in range(8) for _ in range(5)]
    assert judged(bursts)[-1] is State.STEADY


# ---- a scale that marks movement and never says steady


def test_that_two_still_seconds_are_steady_where_the_mark_may_be_missing() -> None:
    # chosen here, no published source for two seconds; within one division as above
    judge = SteadinessJudge(D, mark_may_be_missing=True)
    states = judged(every(0.2, [0, 1] * 6), State.MOVING, judge)
    assert states == [State.MOVING] * 10 + [State.STEADY] * 2


def test_that_movement_counts_as_it_is_sent_where_the_mark_is_not_missing() -> None:
    assert State.STEADY not in judged(every(0.2, [0] * 30), State.MOVING)


def test_that_two_still_seconds_are_not_enough_while_the_weight_creeps() -> None:
    judge = SteadinessJudge(D, mark_may_be_missing=True)
    assert State.STEADY not in judged(every(0.5, list(range(12))), State.MOVING, judge)


def test_that_a_scale_that_once_said_steady_is_taken_at_its_word() -> None:
    judge = SteadinessJudge(D, mark_may_be_missing=True)
    own = Reading(0.0, shown(0), State.STEADY)
    assert judge.judged(own) is own
    assert State.STEADY not in judged(every(0.2, [0] * 30, start_s=1.0), State.MOVING, judge)
    judge.restart()
    assert judged(every(0.2, [0] * 30, start_s=9.0), State.MOVING, judge)[-1] is State.STEADY


def test_that_a_reading_judged_so_says_so_and_what_is_no_reading_passes() -> None:
    judge = SteadinessJudge(D, mark_may_be_missing=True)
    said = [judge.judged(Reading(n / 5, shown(0), State.MOVING)) for n in range(11)]
    assert isinstance(said[-1], Reading)
    assert said[-1].judged
    assert isinstance(said[0], Reading)
    assert not said[0].judged
    bad = BadFrame(3.0, b"?", "damaged")
    assert judge.judged(bad) is bad


def test_that_an_overload_between_still_readings_starts_anew() -> None:
    judge = SteadinessJudge(D, mark_may_be_missing=True)
    judged(every(0.2, [0] * 9), State.MOVING, judge)
    judge.judged(Reading(1.8, None, State.OVER))
    assert State.STEADY not in judged(every(0.2, [0] * 9, start_s=2.0), State.MOVING, judge)
