"""Responses as linear systems, against the step responses of the same filters in closed form."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.fruit.scale_response import ScaleResponse, response_set

PERIOD_S = 0.1
COMMON = st.one_of(
    st.builds(ScaleResponse, average_s=st.floats(0.1, 1.2), pole_s=st.just(0.0)),
    st.builds(ScaleResponse, average_s=st.just(0.0), pole_s=st.floats(0.02, 1.0)),
)


def expected(response: ScaleResponse, periods: int) -> float:
    """Give what is shown so long after a load of 1 was put on between two readings."""
    at_s = periods * PERIOD_S
    if response.average_s:
        return min(1.0, at_s / response.average_s)
    return 1.0 - math.exp(-at_s / response.pole_s)


@given(response=COMMON)
def test_that_a_step_comes_through_as_the_filter_lets_it(response: ScaleResponse) -> None:
    system = response_set([response], PERIOD_S)
    state = np.zeros(system.states)
    state[: int(system.parts[0])] = 1.0
    state[-1] = expected(response, 1)
    for periods in range(2, 30):
        state = system.carry[0] @ state
        assert math.isclose(state[-1], expected(response, periods), abs_tol=1e-9)


@given(responses=st.lists(COMMON, min_size=1, max_size=5))
def test_that_a_load_at_rest_is_shown_as_it_is(responses: list[ScaleResponse]) -> None:
    system = response_set(responses, PERIOD_S)
    for carry in system.carry:
        held = np.ones(system.states)
        # States beyond those a shorter average needs are carried along and not shown.
        assert np.allclose(carry @ held, held)


@given(response=COMMON)
def test_that_a_wander_is_shown_no_more_than_it_moves_the_load(response: ScaleResponse) -> None:
    wander = response_set([response], PERIOD_S).wander[0]
    assert np.allclose(wander, wander.T)
    assert 0.0 < wander[-1, -1] <= wander[0, 0] + 1e-12
    assert math.isclose(wander[0, 0], 1.0)


def test_that_longer_filters_let_less_of_the_platforms_swing_through() -> None:
    swings = [
        ScaleResponse(average_s=average, pole_s=pole).swing
        for average, pole in ((0.0, 0.0), (0.0, 0.1), (0.2, 0.1), (0.8, 0.5))
    ]
    assert swings[0] == 1.0
    assert swings == sorted(swings, reverse=True)
