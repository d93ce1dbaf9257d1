"""Fruit told at the bench, from readings as they come."""

import pytest
from driving import Driver, Spool

from shedstation.domain.farm import Setup
from shedstation.station.actions import AbandonBox, CloseBox, TareBox
from shedstation.store.ledger import SqlLedger


@pytest.fixture
def telling(ledger: SqlLedger, sample_setup: Setup) -> Driver:
    driver = Driver(ledger, sample_setup, Spool(), tells_fruit=True)
    driver.open_day()
    driver.shows("0.00")
    driver.shows("1.64", times=4)
    driver.ask(TareBox)
    return driver


def told(bench: Driver) -> list[str]:
    return [each.weight.number() for each in bench.view.fruit]


def test_that_fruit_are_told_as_they_go_in_and_out(telling: Driver) -> None:
    telling.shows("1.64", times=4)
    for load in ("2.66", "3.61", "4.71"):
        telling.shows(load, times=4)
    assert told(telling) == ["1.02", "0.95", "1.10"]
    telling.shows("3.76", times=4)
    assert told(telling) == ["1.02", "1.10"]


def test_that_the_next_box_starts_without_fruit(telling: Driver) -> None:
    telling.shows("2.66", times=4)
    telling.shows("26.74", times=4)
    telling.ask(CloseBox)
    assert told(telling)
    telling.shows("0.00", times=4)
    assert told(telling) == []


def test_that_no_fruit_are_shown_while_their_weight_cannot_be_seen(telling: Driver) -> None:
    telling.shows("2.66", times=4)
    telling.lose_line()
    assert told(telling) == []
    telling.shows("2.66", times=4, through=False)
    assert told(telling) == ["1.02"]


def test_that_an_abandoned_box_is_forgotten(telling: Driver) -> None:
    telling.shows("2.66", times=4)
    telling.ask(AbandonBox, reason="wrong box")
    telling.hear("2.66 lb")
    assert told(telling) == []


def test_that_fruit_are_not_told_unless_asked_for(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64", times=4)
    bench.ask(TareBox)
    bench.shows("2.66", times=4)
    assert told(bench) == []


def test_that_a_scale_finer_than_the_setup_tells_no_fruit(telling: Driver) -> None:
    telling.shows("2.665", times=4)
    assert told(telling) == []
    telling.shows("2.660", times=8)
    assert told(telling) == ["1.02"]
