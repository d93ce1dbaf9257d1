"""Hold a check with test weights while it goes on at a bench."""

from typing import Final

from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, State
from shedstation.domain.scale_check import ScaleCheck

_SAME_DIVISIONS: Final = 2
_STREAMS_AFTER: Final = 3
"""A scale that sent so many readings since the last point sends by itself; one that sends at its
print key or once the load is stable may well show the same again."""


class CheckAtBench:
    """A check that is going on, and whether the load moved since its last point."""

    def __init__(self, check: ScaleCheck, by: str | None) -> None:
        """Start before the first point; `by` is the person who began it."""
        self.check = check
        self.by = by
        self._last: Mass | None = None
        self._heard = 0
        self._has_moved = True

    def hear(self, reading: Reading) -> None:
        """Notice whether the load moves."""
        self._heard += 1
        same = reading.state is State.STEADY and self._shows_last(reading.mass)
        self._has_moved = self._has_moved or not same

    def _shows_last(self, mass: Mass | None) -> bool:
        if mass is None or self._last is None or mass.unit is not self._last.unit:
            return False
        return abs(mass - self._last) <= self.check.division * _SAME_DIVISIONS

    @property
    def must_move(self) -> bool:
        """Get whether the load still stands as it did at the last point."""
        return not self._has_moved and self._heard >= _STREAMS_AFTER

    def go_on(self, check: ScaleCheck, shown: Mass) -> None:
        """Go on with a check that has one more point, taken at a shown weight."""
        self.check = check
        self._last, self._heard, self._has_moved = shown, 0, False
