"""Benches at which fruit are told: simulated scales and packers, and what must be reached there."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from fruit_scoring import Score, score
from signal_simulation import FilledBox, SimulatedPacker, SimulatedScale, fill_box

from shedstation.domain.fruit.teller import FruitTeller
from shedstation.domain.mass import parse_mass

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
    """Least share of single fruit that are a step of their own."""

    false: float = 0.01
    """Most false steps for each landing."""

    @property
    def scale(self) -> SimulatedScale:
        """Get the scale."""
        return SimulatedScale(
            division=parse_mass(self.division),
            rate_hz=self.rate_hz,
            average_s=self.average_s,
            pole_s=self.pole_s,
            adaptive=self.adaptive,
            vibration_d=self.vibration_d,
        )


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
    "1.0 s, slow average": Bench(average_s=0.8, told=0.92, false=0.02),
    "1.0 s, slow pole": Bench(pole_s=0.3, told=0.95, false=0.02),
    "1.0 s, slowest pole": Bench(pole_s=0.5, told=0.95, false=0.02),
}
"""The scale's filters are lags: a one-pole filter or a moving average. Where less than 98 % is asked of a
scale that is not slow, or less than 95 % of a slow one, what is missed has a hand or a knock right beside
it."""


def tell_boxes(bench: Bench, *, first: int, boxes: int) -> Iterator[Score | None]:
    """Tell the fruit of boxes one after the other; nothing is known of the scale at first.

    Yields:
        The score of each box at its last reading, nothing at all others.
    """
    low, high = bench.pace
    packer = SimulatedPacker(least_gap_s=low, most_gap_s=high)
    teller = FruitTeller(bench.scale.division)
    for number in range(boxes):
        box = fill_box(bench.scale, packer, first + number, start_s=100.0 * number)
        yield from _tell(box, teller, bench)


def _tell(box: FilledBox, teller: FruitTeller, bench: Bench) -> Iterator[Score | None]:
    for at_s, load in box.before:
        teller.wait(at_s, load)
        yield None
    teller.begin(*box.before[-1])
    for at_s, net in box.after:
        teller.hear(at_s, net)
        yield None
    steps = teller.close(box.after[-1][1])
    assert steps is not None
    yield score(box, steps, bench.scale.division)
