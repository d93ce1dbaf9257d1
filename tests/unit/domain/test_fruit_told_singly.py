"""How many fruit are told singly, on simulated scales and with simulated packers.

The floors are counted among fruit that do not land within a quarter of a second of another. Every
bench starts with nothing known of its scale and packs box after box; the first box counts too.
"""

from functools import cache
from typing import Final

import pytest
from fruit_benches import BENCHES, tell_boxes
from fruit_scoring import Score

BOXES: Final = 10
UNSURE: Final = 0.1
TOGETHER: Final = 0.9
"""Fruit that came together are one step of the right weight so often, and said to be more than one."""


@cache
def told_at(name: str) -> Score:
    told = Score()
    for box in tell_boxes(BENCHES[name], first=1000, boxes=BOXES):
        told += box or Score()
    return told


@pytest.mark.parametrize("name", BENCHES)
def test_that_fruit_are_told_singly(name: str) -> None:
    bench, told = BENCHES[name], told_at(name)
    assert told.boxes == BOXES
    assert told.unbalanced == 0
    # Another machine's last digits may cost one fruit of more than two hundred.
    assert told.told + 1 >= bench.told * told.singles
    assert told.false_share <= bench.false
    assert told.unsure_share <= UNSURE


def test_that_fruit_that_came_together_are_one_step_that_says_so() -> None:
    told = sum((told_at(name) for name in BENCHES), start=Score())
    assert told.lumps > 200
    assert told.lumps_told >= TOGETHER * told.lumps
    assert told.lumps_flagged >= TOGETHER * told.lumps_told
