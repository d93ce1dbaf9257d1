"""Fruit told box after box: tared soon, tared on a reading heard twice, followed from the middle."""

import pytest
from fruit_scoring import Score, score
from signal_simulation import FilledBox, SimulatedPacker, SimulatedScale, fill_box

from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.fruit.teller import FruitTeller
from shedstation.domain.mass import add_up, parse_mass

FINE = parse_mass("0.01 lb")
PACKER = SimulatedPacker(least_gap_s=1.0, most_gap_s=1.5, fruit=12)


def told(box: FilledBox, *, tared_s: float, twice: bool = False) -> tuple[FruitStep, ...] | None:
    """Tell one box; the readings up to a second are those of the pan and the empty box."""
    teller, tare = FruitTeller(FINE), box.before[-1][1]
    loads = [*box.before, *((at_s, tare + net) for at_s, net in box.after)]
    before = [each for each in loads if each[0] <= tared_s]
    for at_s, load in before:
        teller.wait(at_s, load)
    begun_s, shown = before[-1]
    teller.begin(begun_s, shown)
    if twice:
        teller.hear(begun_s, shown - shown)
    for at_s, load in loads[len(before) :]:
        teller.hear(at_s, load - shown)
    return teller.close(loads[-1][1] - shown)


@pytest.mark.parametrize(
    ("average_s", "pole_s"), [(0.0, 0.12), (0.0, 0.3), (0.25, 0.0), (0.4, 0.0)]
)
@pytest.mark.parametrize("tared_s", [3.5, 6.0])
def test_that_fruit_are_told_however_soon_the_box_is_tared(
    average_s: float, pole_s: float, tared_s: float
) -> None:
    scale = SimulatedScale(division=FINE, average_s=average_s, pole_s=pole_s)
    total = Score()
    for seed in range(4):
        box = fill_box(scale, PACKER, seed)
        steps = told(box, tared_s=tared_s)
        assert steps is not None
        total += score(box, steps, FINE)
    # The first box of each scale: its response is only learned while it is filled.
    assert total.told_share >= 0.8


def test_that_the_reading_a_box_is_tared_on_may_be_heard_again() -> None:
    box = fill_box(SimulatedScale(division=FINE, average_s=0.4), PACKER, 2)
    assert told(box, tared_s=3.5, twice=True) == told(box, tared_s=3.5)


def test_that_a_box_whose_begin_nobody_saw_still_sums() -> None:
    box = fill_box(SimulatedScale(division=FINE, pole_s=0.12), PACKER, 3)
    teller = FruitTeller(FINE)
    middle = len(box.after) // 2
    teller.begin(box.after[middle][0] - 60.0, None)
    for at_s, net in box.after[middle:]:
        teller.hear(at_s, net)
    net = box.after[-1][1]
    steps = teller.close(net)
    assert steps
    assert not steps[0].sure
    assert add_up(each.change for each in steps) == net


def test_that_nothing_is_told_without_a_box_or_between_divisions() -> None:
    teller = FruitTeller(FINE)
    assert teller.close(parse_mass("25.00 lb")) is None
    assert teller.steps == ()
    teller.begin(1.0, parse_mass("1.64 lb"))
    assert teller.close(parse_mass("25.005 lb")) is None
    teller.end()
    assert not teller.has_box
