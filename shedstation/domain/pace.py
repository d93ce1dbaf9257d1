"""Judge from the times of readings whether a scale has fallen silent."""

from collections import deque
from statistics import median
from typing import Final

LEAST_SILENCE_S: Final = 1.0
_PERIODS: Final = 3
_INTERVALS: Final = 9


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

    def is_silent(self, at_s: float) -> bool:
        """Tell whether the longest pause allowed, max(3 periods, 1 s), has passed."""
        if self.last_s is None or at_s - self.last_s <= LEAST_SILENCE_S:
            return False
        if not self._intervals:
            return True
        return at_s - self.last_s > _PERIODS * median(self._intervals)
