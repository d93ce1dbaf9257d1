"""Tell whether the last reading may still decide a step.

A scale that streams sends the next reading at once, so only one of the last second counts. One that
sends a single reading at its print key, or once each load is steady, cannot do better than that one: it
is good for one step, and for a short while. The same goes for a weight that a person typed.
"""

from dataclasses import replace
from typing import Final

from shedstation.domain.farm import Sends
from shedstation.domain.reading import Reading, State

FRESH_S: Final = 1.0
"""A steady reading of a stream that is older than this decides nothing."""

KEPT_S: Final = 8.0
"""A single reading is shown with its age and may decide one step for this long (our own choice)."""


def later_than(at_s: float, limit_s: float) -> bool:
    """Tell whether a moment is past a limit; times are whole microseconds, whatever floats say."""
    return round(at_s * 1e6) > round(limit_s * 1e6)


class Freshness:
    """What the readings of one scale are good for."""

    def __init__(self, sends: Sends) -> None:
        """Start with no reading used."""
        self._sends = sends
        self.streams = False
        """Whether it was heard to stream, whatever it is set up to do."""

        self._used: Reading | None = None

    def is_single(self, reading: Reading) -> bool:
        """Tell whether a reading stands alone: what was shown before and after it is not known."""
        return reading.typed or (self._sends is not Sends.STREAM and not self.streams)

    def taken(self, reading: Reading) -> Reading:
        """Give a reading as it counts: one that comes alone was sent because the scale was steady.

        OIML R 76-1 4.4.2 and Handbook 44 S.2.5 let a scale print only when steady (both from memory).
        """
        unmarked = reading.state is State.UNKNOWN or (
            reading.judged and reading.state is State.MOVING
        )
        if self.is_single(reading) and unmarked and reading.mass is not None:
            return replace(reading, state=State.STEADY, judged=True)
        return reading

    def use(self, reading: Reading) -> None:
        """Note that a step was taken on a reading."""
        self._used = reading

    def is_used_up(self, reading: Reading) -> bool:
        """Tell whether a single reading has had its step."""
        return reading is self._used and self.is_single(reading)

    def allows(self, reading: Reading, at_s: float) -> bool:
        """Tell whether a step may be taken on a reading."""
        if reading.state is not State.STEADY or self.is_used_up(reading):
            return False
        return not later_than(at_s, reading.at_s + self._kept_s(reading))

    def is_over(self, reading: Reading, at_s: float) -> bool:
        """Tell whether a single reading is too old to be shown any more."""
        return self.is_single(reading) and later_than(at_s, reading.at_s + KEPT_S)

    def _kept_s(self, reading: Reading) -> float:
        return KEPT_S if self.is_single(reading) else FRESH_S
