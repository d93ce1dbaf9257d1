"""Follow the weight at one bench from the empty pan to the closed box, and tell its fruit."""

from collections import deque
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.fruit.contents import InBox, contents
from shedstation.domain.fruit.ledger import FruitLedger
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass
from shedstation.station.bench import Bench

_BEFORE_TARE_S: Final = 15.0
"""The empty box goes on within this time before its tare: from there the scale's filter is learned."""


class FruitWatch:
    """What one bench's scale told of the fruit in the open box."""

    def __init__(self, division: Mass) -> None:
        """Start without a box.

        Args:
            division: The scale's division.
        """
        self._division = division
        self._before: deque[tuple[float, Mass]] = deque()
        self._ledger: FruitLedger | None = None

    def see(self, bench: Bench) -> None:
        """Take in the bench's last reading; what stands alone tells nothing of single fruit."""
        reading = bench.reading
        load = None if reading is None else bench.pan.load(reading)
        if reading is None or load is None or bench.freshness.is_single(reading):
            return
        if bench.step is Step.FILLING and bench.pan.tare is not None:
            self._fill(reading.at_s, load, bench.pan.tare)
        elif not bench.step.has_open_box and bench.step is not Step.CLOSED:
            self._wait(reading.at_s, load)

    def _wait(self, at_s: float, load: Mass) -> None:
        self._ledger = None
        self._before.append((at_s, load))
        while self._before[0][0] < at_s - _BEFORE_TARE_S:
            self._before.popleft()

    def _fill(self, at_s: float, load: Mass, tare: Mass) -> None:
        if self._ledger is None:
            self._ledger = FruitLedger(self._division, tuple(self._before))
            self._before.clear()
        self._ledger.hear(at_s, load - tare)

    def close(self, net: Mass) -> tuple[FruitStep, ...]:
        """Give all steps of the box that closes at this net weight; none if its fruit were not told."""
        return () if self._ledger is None else self._ledger.close(net)

    @property
    def contents(self) -> tuple[InBox, ...]:
        """Get the fruit in the open box, in the order they came."""
        return () if self._ledger is None else contents(self._ledger.steps())
