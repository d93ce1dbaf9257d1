"""The fruit of a box seen from above."""

from itertools import combinations
from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.fruit.contents import InBox
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.presenters.crate_discs import crate_discs

TARGET = parse_mass("25.00 lb")


def lying(*hundredths: int) -> tuple[InBox, ...]:
    return tuple(
        InBox(weight=Mass(count, 2, Unit.LB), fruit=1, at_s=float(number))
        for number, count in enumerate(hundredths)
    )


def test_that_an_area_is_as_a_weight() -> None:
    light, heavy = crate_discs(lying(50, 200), TARGET, 600, 400)
    assert heavy.radius == pytest.approx(2 * light.radius)
    # 25 lb cover 0.62 of the floor, so that half a pound covers a fiftieth of that.
    assert pi * light.radius**2 == pytest.approx(600 * 400 * 0.62 / 50)


@given(st.lists(st.integers(20, 400) | st.integers(20, 4000), min_size=1, max_size=60))
def test_that_all_fruit_lie_inside_and_none_on_another(weights: list[int]) -> None:
    discs = crate_discs(lying(*weights), TARGET, 600, 400)
    assert len(discs) == len(weights)
    for disc in discs:
        assert disc.radius - 1e-6 <= disc.x <= 600 - disc.radius + 1e-6
        assert disc.radius - 1e-6 <= disc.y <= 400 - disc.radius + 1e-6
    for one, other in combinations(discs, 2):
        assert hypot(one.x - other.x, one.y - other.y) >= one.radius + other.radius - 1e-6


def test_that_what_is_not_surely_one_fruit_says_so() -> None:
    two = InBox(weight=parse_mass("2.10 lb"), fruit=2, at_s=1.0)
    some = InBox(weight=parse_mass("2.10 lb"), fruit=None, at_s=2.0)
    texts = [disc.text for disc in crate_discs((*lying(100), two, some), TARGET, 600, 400)]
    assert texts == ["", "2", "?"]


def test_that_an_empty_box_shows_nothing() -> None:
    assert crate_discs((), TARGET, 600, 400) == ()
