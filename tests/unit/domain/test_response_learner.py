"""A scale's response learned from an empty box that is put on."""

import pytest
from signal_simulation import SimulatedPacker, SimulatedScale, fill_box

from shedstation.domain.fruit.response_learner import ResponseLearner
from shedstation.domain.mass import Unit, parse_mass

FINE = parse_mass("0.01 lb")
PACKER = SimulatedPacker(least_gap_s=1.35, most_gap_s=1.65)


def put_on(learner: ResponseLearner, scale: SimulatedScale, number: int) -> int:
    """Put a box on, fill it, and tell how often the response was known better."""
    box, tare, start_s = fill_box(scale, PACKER, number), 0.0, number * 100.0
    for at_s, mass in box.before:
        tare = mass.count / scale.division.count
        learner.hear(start_s + at_s, tare)
    learner.tared(start_s + box.before[-1][0])
    better = 0
    for at_s, net in box.after:
        learner.hear(start_s + at_s, tare + net.count / scale.division.count)
        better += learner.work()
    return better


@pytest.mark.parametrize("first", [1, 4, 7])
@pytest.mark.parametrize(
    ("average_s", "pole_s"), [(0.0, 0.12), (0.0, 0.3), (0.0, 0.5), (0.25, 0.0), (0.8, 0.0)]
)
def test_that_boxes_put_on_tell_the_response(average_s: float, pole_s: float, first: int) -> None:
    scale = SimulatedScale(division=FINE, average_s=average_s, pole_s=pole_s)
    learner = ResponseLearner(float(FINE.measured_in(Unit.G)))
    for number in range(first, first + 3):
        put_on(learner, scale, number)
    found = learner.response
    assert found is not None
    assert found.average_s == pytest.approx(average_s, abs=0.04)
    assert found.pole_s == pytest.approx(pole_s, abs=0.04)


def test_that_nothing_is_learned_from_a_pan_on_which_nothing_was_put() -> None:
    learner = ResponseLearner(4.5)
    for number in range(60):
        learner.hear(number * 0.1, 0.0)
        if number == 30:
            learner.tared(3.0)
        assert not learner.work()
    assert learner.response is None


def test_that_it_stops_learning_after_some_boxes() -> None:
    scale = SimulatedScale(division=FINE, pole_s=0.12)
    learner = ResponseLearner(float(FINE.measured_in(Unit.G)))
    better = [put_on(learner, scale, number) for number in range(6)]
    assert better[0] >= 1
    assert better[-2:] == [0, 0]
