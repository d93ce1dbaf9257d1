"""Fruit told from levels at rest; whatever comes, the steps sum to the net weight."""

from collections.abc import Iterable, Iterator
from itertools import count, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.fruit.ledger import FruitLedger
from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.mass import Mass, Unit, add_up, parse_mass

D = parse_mass("0.01 lb")
RATE_S = 0.1


def pounds(hundredths: int) -> Mass:
    return Mass(hundredths, 2, Unit.LB)


def held(*levels: int, readings: int = 10) -> list[int]:
    """Give a weight that rests at each level in turn, with one reading on the way."""
    shown: list[int] = []
    for before, after in pairwise((0, *levels)):
        shown += [(before + after) // 2, *[after] * readings]
    return [*[0] * readings, *shown]


def told(shown: Iterable[int], times: Iterator[float] | None = None) -> tuple[FruitLedger, int]:
    ledger, last = FruitLedger(D), 0
    at = times or (number * RATE_S for number in count())
    for at_s, last in zip(at, shown, strict=False):
        ledger.hear(at_s, pounds(last))
    return ledger, last


def changes(steps: Iterable[FruitStep]) -> list[str]:
    return [step.change.number() for step in steps]


def test_that_each_fruit_is_told_as_it_comes_to_rest() -> None:
    ledger, net = told(held(102, 197, 307))
    steps = ledger.close(pounds(net))
    assert changes(steps) == ["1.02", "0.95", "1.10"]
    assert [(step.fruit, step.sure, step.kind) for step in steps] == [
        (1, True, StepKind.PLACED)
    ] * 3
    assert ledger.steps() == steps


def test_that_a_fruit_taken_out_is_a_step_down() -> None:
    ledger, net = told(held(102, 197, 307, 212))
    last = ledger.close(pounds(net))[-1]
    assert (last.change.number(), last.kind) == ("-0.95", StepKind.TAKEN)


def test_that_fruit_of_which_none_weighs_near_the_median_are_followed_on() -> None:
    shown = held(20, 121, 212, 232, 332)
    ledger, net = told(shown)
    assert changes(ledger.close(pounds(net))) == ["0.20", "1.01", "0.91", "0.20", "1.00"]


def test_that_two_at_once_are_one_step_that_is_not_surely_one_fruit() -> None:
    ledger, net = told(held(100, 200, 300, 505))
    assert [step.fruit for step in ledger.close(pounds(net))] == [1, 1, 1, None]


def test_that_light_fruit_and_lumps_with_nothing_between_are_followed() -> None:
    ledger, _ = told(held(80, 160, 760, 1360, 1460))
    assert changes(ledger.steps()) == ["0.80", "0.80", "6.00", "6.00", "1.00"]


def test_that_a_hand_that_rests_for_a_moment_is_no_fruit() -> None:
    shown = [*held(102), *[180] * 5, *[102] * 10]
    ledger, net = told(shown)
    assert changes(ledger.close(pounds(net))) == ["1.02"]


def test_that_water_and_leaves_are_no_fruit() -> None:
    ledger, net = told([*held(102, 197), *[203] * 10])
    assert changes(ledger.close(pounds(net))) == ["1.02", "1.01"]


def test_that_what_happened_in_a_gap_is_unseen() -> None:
    shown = [*held(102), *[250] * 10]
    gone_at = len(held(102))
    times = (n * RATE_S + (5.0 if n >= gone_at else 0.0) for n in range(len(shown)))
    ledger, net = told(shown, times)
    last = ledger.close(pounds(net))[-1]
    assert (last.kind, last.fruit, last.sure) == (StepKind.UNSEEN, None, False)


def test_that_no_step_is_told_where_nothing_happened() -> None:
    ledger, net = told([0] * 20)
    assert ledger.close(pounds(net)) == ()
    assert FruitLedger(D).close(pounds(0)) == ()


def test_that_a_box_closed_before_it_rested_still_sums() -> None:
    ledger, _ = told(held(102))
    steps = ledger.close(pounds(207))
    assert changes(steps) == ["1.02", "1.05"]
    assert not steps[-1].sure


@pytest.mark.parametrize(
    ("division", "fruit"),
    [
        ("0.005 kg", ["0.450 kg", "0.395 kg"]),
        ("0 lb 0.1 oz", ["0 lb 15.9 oz", "1 lb 1.2 oz"]),
        ("0.05 lb", ["0.95 lb", "1.10 lb"]),
        ("5 g", ["450 g", "395 g"]),
    ],
)
def test_that_fruit_are_told_in_every_unit_and_coarse_divisions(
    division: str, fruit: list[str]
) -> None:
    ledger, net = FruitLedger(parse_mass(division)), parse_mass(fruit[0]) - parse_mass(fruit[0])
    at = count()
    for each in [str(net), *fruit]:
        net += parse_mass(each)
        for _ in range(5):
            ledger.hear(next(at) * RATE_S, net)
    assert [str(step.change) for step in ledger.close(net)] == fruit


@given(
    shown=st.lists(st.integers(-50, 3000), max_size=120),
    repeats=st.integers(1, 6),
    net=st.integers(1, 3000),
)
def test_that_steps_sum_to_the_net_whatever_the_scale_shows(
    shown: list[int], repeats: int, net: int
) -> None:
    ledger, _ = told(each for each in shown for _ in range(repeats))
    total = add_up(step.change for step in ledger.close(pounds(net)))
    assert total is not None
    assert total.count == net
