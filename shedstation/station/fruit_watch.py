"""Follow the weight at one bench from the tare to the closed box, and tell its fruit."""

from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.fruit.contents import InBox, contents
from shedstation.domain.fruit.ledger import FruitLedger
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass, zero
from shedstation.station.actions import CloseBox
from shedstation.station.bench import Bench

_UNSEEN_S: Final = 60.0
"""So long before the first reading lies the tare of a box that was open when the station started."""


class FruitWatch:
    """What one bench's scale told of the fruit in the open box."""

    def __init__(self, division: Mass) -> None:
        """Start without a box.

        Args:
            division: The scale's division.
        """
        self._division = division
        self._ledger: FruitLedger | None = None
        self.asked: CloseBox | None = None
        """The close that waits for a person to say how many fruit there are."""

    def tared(self, at_s: float) -> None:
        """Begin with a box that was empty at this second."""
        self._ledger = FruitLedger(self._division)
        self._ledger.hear(at_s, zero(self._division.unit, self._division.decimals))

    def see(self, bench: Bench) -> None:
        """Take in the bench's last reading; what stands alone tells nothing of single fruit."""
        reading, net = bench.reading, bench.net
        if bench.step is not Step.FILLING:
            self.asked = None
        if bench.step is Step.FILLING and reading is not None and net is not None:
            # A scale finer than the setup says is told of elsewhere; its weights are no whole divisions.
            whole = net.is_multiple_of(self._division)
            if whole and not bench.freshness.is_single(reading):
                self._hear(reading.at_s, net)
        elif not bench.step.has_open_box and bench.step is not Step.CLOSED:
            self._ledger = None

    def _hear(self, at_s: float, net: Mass) -> None:
        if self._ledger is None:
            # Nobody saw how the box came to be filled so far.
            self.tared(at_s - _UNSEEN_S)
        assert self._ledger is not None  # noqa: S101  # begun just now at the latest
        self._ledger.hear(at_s, net)

    @property
    def steps(self) -> tuple[FruitStep, ...]:
        """Get the steps of the open box's weight up to where it rested last."""
        return () if self._ledger is None else self._ledger.steps()

    @property
    def contents(self) -> tuple[InBox, ...]:
        """Get the fruit in the open box, in the order they came."""
        return contents(self.steps)

    def close(self, net: Mass) -> tuple[FruitStep, ...] | None:
        """Give all steps of the box that closes at a net weight, which they sum to exactly.

        Returns:
            The steps; none if the fruit were not followed: a scale that sends single readings, say.
        """
        if self._ledger is None or not net.is_multiple_of(self._division):
            return None
        return self._ledger.close(net)
