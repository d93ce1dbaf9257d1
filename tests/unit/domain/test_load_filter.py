"""The load behind lagging readings: its times at rest, its levels, whatever the scale's response."""

import numpy as np
import pytest
from signal_simulation import Signal

from shedstation.domain.fruit.load_filter import LoadFilter
from shedstation.domain.fruit.scale_response import ScaleResponse, response_set

PERIOD_S = 0.1
DIVISION_G = 4.5
RESPONSES = [(0.0, 0.12), (0.0, 0.5), (0.25, 0.0), (0.8, 0.0), (0.2, 0.2)]
PER_PERIOD = 100


def shown(loads: Signal, average_s: float, pole_s: float) -> Signal:
    """Give what a scale shows of a load in divisions, folded sample by sample and rounded."""
    seen = loads
    if average_s:
        samples = round(average_s / PERIOD_S * PER_PERIOD)
        seen = np.convolve(seen, np.full(samples, 1 / samples))[: len(loads)]
    if pole_s:
        kept = np.exp(-PERIOD_S / PER_PERIOD / pole_s)
        seen = np.convolve(seen, (1 - kept) * kept ** np.arange(len(loads)))[: len(loads)]
    return np.rint(seen[PER_PERIOD - 1 :: PER_PERIOD])


def stairs(*levels: float, periods: int = 12) -> Signal:
    """Give a load that rests at each level for some periods; it steps a third of a period late."""
    load = np.repeat([0.0, *levels], periods * PER_PERIOD)
    return np.concatenate([np.zeros(PER_PERIOD // 3), load])


def followed(readings: Signal, average_s: float, pole_s: float) -> LoadFilter:
    responses = response_set([ScaleResponse(average_s=average_s, pole_s=pole_s)], PERIOD_S)
    loads = LoadFilter(responses, DIVISION_G, start=0.0)
    for each in readings.tolist():
        loads.hear(None if np.isnan(each) else each)
    return loads


@pytest.mark.parametrize(("average_s", "pole_s"), RESPONSES)
def test_that_each_level_is_found_behind_the_lag(average_s: float, pole_s: float) -> None:
    loads = followed(shown(stairs(98, 193, 301, 206), average_s, pole_s), average_s, pole_s)
    found = [*loads.take_settled(), *loads.unsettled()]
    for number, level in enumerate([0, 98, 193, 301, 206]):
        at_rest, value = found[number * 12 + 8]
        assert at_rest
        assert value == pytest.approx(level, abs=1.5)


def test_that_a_level_is_known_before_a_slow_scale_shows_it() -> None:
    readings = shown(stairs(98), 0.0, 0.5)
    early = readings[: 12 + 8]
    assert early[-1] < 90
    *_, (at_rest, level) = followed(early, 0.0, 0.5).unsettled()
    assert at_rest
    assert level == pytest.approx(98, abs=2.0)


def test_that_a_lost_reading_is_passed_over() -> None:
    readings = shown(stairs(98, 193), 0.25, 0.0)
    readings[[5, 13, 20, 27]] = np.nan
    loads = followed(readings, 0.25, 0.0)
    assert [*loads.unsettled()][-1] == (True, pytest.approx(193, abs=1.0))


def test_that_a_load_that_never_changes_rests_all_the_time() -> None:
    loads = followed(np.zeros(60), 0.4, 0.0)
    settled = loads.take_settled()
    assert all(at_rest and abs(level) < 0.1 for at_rest, level in settled)
    assert len(settled) + len([*loads.unsettled()]) == 60
    assert loads.take_settled() == []


def test_that_a_load_unknown_at_the_start_is_found() -> None:
    responses = response_set([ScaleResponse(average_s=0.4, pole_s=0.0)], PERIOD_S)
    loads = LoadFilter(responses, DIVISION_G, start=None)
    for _ in range(10):
        loads.hear(417.0)
    assert [*loads.unsettled()][-1] == (True, pytest.approx(417, abs=0.5))


@pytest.mark.parametrize(("average_s", "pole_s"), RESPONSES)
def test_that_the_right_response_explains_the_readings_best(
    average_s: float, pole_s: float
) -> None:
    responses = [ScaleResponse(average_s=average, pole_s=pole) for average, pole in RESPONSES]
    loads = LoadFilter(response_set(responses, PERIOD_S), DIVISION_G, start=0.0)
    for each in shown(stairs(250, 348, 443), average_s, pole_s).tolist():
        loads.hear(each)
    assert responses[int(np.argmax(loads.scores()))] == ScaleResponse(
        average_s=average_s, pole_s=pole_s
    )
