"""Follow the weight at one bench from the tare to the closed box, and tell its fruit."""

from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.fruit.contents import InBox, contents
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.fruit.teller import FruitTeller
from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, State
from shedstation.station.actions import CloseBox
from shedstation.station.bench import Bench

_UNSEEN_S: Final = 60.0
"""So long before the first reading lies the tare of a box that was open when the station started."""


_BEFORE_BOX: Final = (Step.EMPTY, Step.BOX_ON)


class FruitWatch:
    """What one bench's scale told of the fruit in the open box."""

    def __init__(self, division: Mass) -> None:
        """Start without a box.

        Args:
            division: The scale's division.
        """
        self._division = division
        self._teller = FruitTeller(division)
        self.asked: CloseBox | None = None
        """The close that waits for a person to say how many fruit there are."""

        self.rested: Reading | None = None
        """While it waits: the last reading at rest, on which the box may be closed once it is lifted."""

    def ask(self, action: CloseBox, reading: Reading) -> None:
        """Let a close wait for a person to say how many fruit there are."""
        self.asked, self.rested = action, reading

    def tared(self, bench: Bench, reading: Reading) -> None:
        """Begin with the box that was just tared."""
        tare = bench.pan.tare
        seen = tare is not None and tare.is_multiple_of(self._division)
        self._teller.begin(reading.at_s, tare if seen else None)

    def see(self, bench: Bench) -> None:
        """Take in the bench's last reading; what stands alone tells nothing of single fruit."""
        reading = bench.reading
        if bench.step is not Step.FILLING:
            self.asked = None
        if not bench.step.has_open_box and bench.step is not Step.CLOSED:
            self._teller.end()
        if reading is None or bench.freshness.is_single(reading):
            return
        if bench.step is Step.FILLING:
            self._fill(reading.at_s, bench.net)
            if reading.state is State.STEADY:
                self.rested = reading
        elif bench.step in _BEFORE_BOX and not bench.is_checked:
            load = bench.pan.load(reading)
            if load is not None and load.is_multiple_of(self._division):
                self._teller.wait(reading.at_s, load)

    def _fill(self, at_s: float, net: Mass | None) -> None:
        # A scale finer than the setup says is told of elsewhere; its weights are no whole divisions.
        if net is None or not net.is_multiple_of(self._division):
            return
        if not self._teller.has_box:
            # Nobody saw how the box came to be filled so far.
            self._teller.begin(at_s - _UNSEEN_S, None)
        self._teller.hear(at_s, net)

    @property
    def steps(self) -> tuple[FruitStep, ...]:
        """Get the steps of the open box's weight up to where it rested last."""
        return self._teller.steps

    @property
    def contents(self) -> tuple[InBox, ...]:
        """Get the fruit in the open box, in the order they came."""
        return contents(self.steps)

    def close(self, net: Mass) -> tuple[FruitStep, ...] | None:
        """Give all steps of the box that closes at a net weight, which they sum to exactly.

        Returns:
            The steps; none if the fruit were not followed: a scale that sends single readings, say.
        """
        return self._teller.close(net)
