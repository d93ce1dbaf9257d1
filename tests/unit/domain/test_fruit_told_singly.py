"""How many fruit are told singly, on simulated scales and with simulated packers.

The floors are counted among fruit that do not land within a quarter of a second of another. Every
bench starts with nothing known of its scale and packs box after box; the first box counts too.
"""

from dataclasses import dataclass
from typing import Final

import pytest
from fruit_scoring import Score, score
from signal_simulation import SimulatedPacker, SimulatedScale, fill_box

from shedstation.domain.fruit.teller import FruitTeller
from shedstation.domain.mass import parse_mass

BOXES: Final = 10
FLAGGED: Final = 0.9
"""Fruit that came together are said to be more than one so often: all but the lightest pairs."""

UNSURE: Final = 0.1
STEADY, BRISK, QUICK = (1.35, 1.65), (0.9, 1.1), (0.7, 1.6)
"""Least and most seconds between two fruit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A scale, the pace of its packer, and what must be reached there."""

    division: str = "0.01 lb"
    average_s: float = 0.0
    pole_s: float = 0.0
    adaptive: bool = False
    vibration_d: float = 0.3
    rate_hz: float = 10.0
    pace: tuple[float, float] = BRISK
    told: float = 0.98
    false: float = 0.01


BENCHES: Final = {
    "1.5 s, pole 0.12 s": Bench(pole_s=0.12, pace=STEADY),
    "1.5 s, average 0.25 s": Bench(average_s=0.25, pace=STEADY),
    "1.5 s, coarse": Bench(division="0.05 lb", average_s=0.4, pace=STEADY),
    "1.5 s, vibration": Bench(average_s=0.4, vibration_d=2.5, pace=STEADY),
    "1.5 s, five a second": Bench(average_s=0.25, rate_hz=5.0, pace=STEADY, told=0.95),
    "1.0 s, pole 0.12 s": Bench(pole_s=0.12),
    "1.0 s, adaptive pole": Bench(pole_s=0.12, adaptive=True, told=0.95),
    "1.0 s, average 0.25 s": Bench(average_s=0.25, told=0.95),
    "1.0 s, coarse, pole": Bench(division="0.05 lb", pole_s=0.12),
    "1.0 s, coarse, average": Bench(division="0.05 lb", average_s=0.4),
    "1.0 s, vibration, pole": Bench(pole_s=0.12, vibration_d=2.5),
    "1.0 s, vibration, average": Bench(average_s=0.4, vibration_d=2.5, told=0.95),
    "1.0 s, ounces": Bench(division="0 lb 0.1 oz", average_s=0.3, told=0.93),
    "1.0 s, grams, twenty a second": Bench(division="5 g", average_s=0.3, rate_hz=20.0),
    "0.7 to 1.6 s, pole 0.12 s": Bench(pole_s=0.12, pace=QUICK, told=0.93),
    "0.7 to 1.6 s, average 0.25 s": Bench(average_s=0.25, pace=QUICK, told=0.93),
    "0.7 to 1.6 s, coarse": Bench(division="0.05 lb", average_s=0.4, pace=QUICK, told=0.93),
    "1.5 s, slow average": Bench(average_s=0.8, pace=STEADY, told=0.95, false=0.02),
    "1.5 s, slow pole": Bench(pole_s=0.3, pace=STEADY, told=0.95, false=0.02),
    "1.5 s, slowest pole": Bench(pole_s=0.5, pace=STEADY, told=0.95, false=0.02),
    "1.0 s, slow average": Bench(average_s=0.8, told=0.93, false=0.02),
    "1.0 s, slow pole": Bench(pole_s=0.3, told=0.95, false=0.02),
    "1.0 s, slowest pole": Bench(pole_s=0.5, told=0.95, false=0.02),
}
"""What falls short of 98 % without being slow or quick has a hand or a knock beside most fruit missed."""


def told_at(bench: Bench, first: int) -> Score:
    """Pack boxes one after the other and count what was told of them."""
    scale = SimulatedScale(
        division=parse_mass(bench.division),
        rate_hz=bench.rate_hz,
        average_s=bench.average_s,
        pole_s=bench.pole_s,
        adaptive=bench.adaptive,
        vibration_d=bench.vibration_d,
    )
    packer = SimulatedPacker(least_gap_s=bench.pace[0], most_gap_s=bench.pace[1])
    teller, total = FruitTeller(scale.division), Score()
    for number in range(BOXES):
        box = fill_box(scale, packer, first + number, start_s=100.0 * number)
        for at_s, load in box.before:
            teller.wait(at_s, load)
        teller.begin(*box.before[-1])
        for at_s, net in box.after:
            teller.hear(at_s, net)
        steps = teller.close(box.after[-1][1])
        assert steps is not None
        total += score(box, steps, scale.division)
    return total


@pytest.mark.parametrize("name", BENCHES)
def test_that_fruit_are_told_singly(name: str) -> None:
    bench = BENCHES[name]
    told = told_at(bench, first=1000)
    assert told.unbalanced == 0
    assert told.told_share >= bench.told
    assert told.false_share <= bench.false
    assert told.unsure_share <= UNSURE
    assert told.lumps_flagged >= FLAGGED * told.lumps_told
