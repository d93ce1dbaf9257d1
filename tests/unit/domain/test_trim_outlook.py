"""What trying another fruit is reckoned to cost."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest

from shedstation.domain.trim_outlook import Outlook, Tray, reservation

EMPTY = Tray(cups=(), free=0)


def outlook(spread: float = 0.2, retry: float = 0.03) -> Outlook:
    return Outlook(usual=1.0, spread=spread, width=0.5, move=0.01, retry=retry)


@pytest.mark.parametrize("retry", [0.005, 0.02, 0.08, 0.3])
def test_that_even_costs_are_stopped_at_where_the_theory_says(retry: float) -> None:
    # source: theory of search, costs even from 0 to 1: the expected saving R * R / 2 is the try's cost.
    costs = (np.arange(20_000) + 0.5) / 20_000
    likely = np.full(20_000, 1 / 20_000)
    assert reservation(costs, likely, retry) == pytest.approx(sqrt(2 * retry), abs=1e-3)


def test_that_a_dear_try_stops_at_anything() -> None:
    costs, likely = np.array([0.1, 0.5]), np.array([0.5, 0.5])
    # All is taken: the mean 0.3 and one try.
    assert reservation(costs, likely, 2.0) == pytest.approx(2.3)


def test_that_a_fruit_of_what_lacks_is_looked_for_without_cups() -> None:
    _, weight = outlook().after_one(-0.93, None, EMPTY)
    assert weight == pytest.approx(0.93)


def test_that_cups_and_a_dearer_try_change_what_is_expected() -> None:
    bare, _ = outlook().after_one(-1.0, 1.0, EMPTY)
    tray = Tray(cups=(0.9, 0.95, 1.04, 1.1), free=2)
    with_cups, _ = outlook().after_one(-1.0, 1.0, tray)
    assert 0 < with_cups < bare / 2
    assert outlook(retry=0.06).after_one(-1.0, 1.0, EMPTY)[0] > bare


def test_that_fruit_that_differ_less_land_nearer() -> None:
    assert outlook(spread=0.05).after_one(-1.0, None, EMPTY) < outlook().after_one(
        -1.0, None, EMPTY
    )


def test_that_with_two_fruit_to_go_a_landing_between_counts() -> None:
    tray = Tray(cups=(0.8, 1.0, 1.2), free=3)
    cost = outlook().after_two(-2.0, 1.0, tray)
    assert 0 < cost < outlook().after_two(-2.0, 1.0, replace(tray, cups=()))


def test_that_a_fruit_unlike_the_others_betters_a_tray_more() -> None:
    reckoned, tray = outlook(), Tray(cups=(0.9, 0.91, 0.92), free=3)
    alike, other = (reckoned.of_tray(tray.with_fruit(weight)) for weight in (0.91, 1.05))
    assert other < alike
    assert tray.with_fruit(1.05) == Tray(cups=(0.9, 0.91, 0.92, 1.05), free=2)
