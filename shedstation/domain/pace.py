"""Judge from the times of readings whether a scale has fallen silent."""

from collections import deque
from statistics import median
from typing import Final

LEAST_SILENCE_S: Final = 1.0
_PERIODS: Final = 3
_INTERVALS: Final = 9
_LEAST_INTERVALS: Final = 3


class Pace:
    """The pace at which one scale sends, learned from its last readings."""

    def __init__(self) -> None:
        """Start with a scale that was never heard."""
        self.last_s: float | None = None
        self._intervals: deque[float] = deque(maxlen=_INTERVALS)

    def hear(self, at_s: float) -> None:
        """Note a reading's time."""
        if self.last_s is not None:
            self._intervals.append(at_s - self.last_s)
        self.last_s = at_s

    def start_again(self) -> None:
        """Forget the pace: the line was lost or silent, the pause says nothing about it."""
        self.last_s = None

    @property
    def is_streaming(self) -> bool:
        """Get whether it sends at an even pace, so that a pause means something."""
        if len(self._intervals) < _LEAST_INTERVALS:
            return False
        return max(self._intervals) <= _PERIODS * median(self._intervals)

    @property
    def is_fast(self) -> bool:
        """Get whether it streams faster than anybody presses a key."""
        return self.is_streaming and median(self._intervals) < LEAST_SILENCE_S

    def is_silent(self, at_s: float) -> bool:
        """Tell whether the longest pause allowed, max(3 periods, 1 s), has passed."""
        if self.last_s is None:
            return False
        period = median(self._intervals) if self._intervals else 0.0
        longest = max(_PERIODS * period, LEAST_SILENCE_S)
        return round((at_s - self.last_s) * 1e6) > round(longest * 1e6)
