"""A newcomer plays a trim with the practice scale: what was taken out can be put back."""

import itertools
import time
from collections.abc import Iterator

import pytest

from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.mass import Mass


@pytest.fixture
def server() -> Iterator[PracticeServer]:
    made = PracticeServer(PracticeSetup(), seed=7, now_s=time.monotonic)
    made.start()
    yield made
    made.stop()


def loads(server: PracticeServer, fruit: int) -> list[float]:
    """Put fruit in and give each one's weight in divisions."""
    shown = [server.load]
    for _ in range(fruit):
        server.add_fruit()
        shown.append(server.load)
    return [after - before for before, after in itertools.pairwise(shown)]


def test_that_the_fruit_taken_out_last_is_put_back(server: PracticeServer) -> None:
    weights = loads(server, 4)
    server.take_fruit()
    server.take_fruit()
    assert server.load == sum(weights[:2])
    server.put_back()
    assert server.load == sum(weights[:3])


def test_that_any_fruit_comes_out_and_the_one_that_is_wanted_goes_in(
    server: PracticeServer,
) -> None:
    weights = loads(server, 4)
    server.take_fruit(2)
    server.take_fruit(2)
    assert server.load == weights[0] + weights[3]
    wanted = Mass(round(weights[2]) + 1, 2, PracticeSetup().unit)
    server.put_back(wanted)
    assert server.load == weights[0] + weights[3] + weights[2]


def test_that_nothing_happens_without_a_fruit(server: PracticeServer) -> None:
    server.take_fruit(2)
    server.put_back()
    assert server.load == 0
    (weight,) = loads(server, 1)
    server.take_fruit(2)
    assert server.load == 0
    server.put_back()
    assert server.load == weight
