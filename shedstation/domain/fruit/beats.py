"""Count the periods between a scale's readings, whatever chunks they arrive in."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import mean, median
from typing import Final

ENOUGH: Final = 6
"""From so many readings on their period is known."""

GAP_S: Final = 1.0
"""Nobody saw what happened in a longer gap between readings."""

_LEAST_S: Final = 0.05
"""Of a scale that sends faster only some readings are needed."""

_WHOLE: Final = 1e-6

_PULLS: Final = 8
"""A reading that is early or late shifts the next ones by this part of it (our rule)."""


def _gap_s(times: Sequence[float]) -> float:
    """Give the usual seconds between readings."""
    gaps = [after - before for before, after in pairwise(times)]
    # Readings that come in one chunk have one time: then only the mean says anything.
    return (median(gaps) if min(gaps) > 0 else mean(gaps)) or 1.0


class Beats:
    """Tells how many periods passed up to each reading."""

    def __init__(self, times: Sequence[float]) -> None:
        """Start before the first reading.

        Args:
            times: Seconds of the first `ENOUGH` readings, in order.
        """
        gap_s = _gap_s(times)
        self.period_s = max(gap_s, _LEAST_S)
        self._skips = gap_s < _LEAST_S
        self._beat_s = times[0] - self.period_s

    def passed(self, at_s: float) -> int:
        """Give how many periods passed up to a reading since the one before it.

        Returns:
            At least one; none for a reading between two beats of a scale that sends faster.
        """
        late = (at_s - self._beat_s) / self.period_s
        periods = int(late + _WHOLE) if self._skips else max(1, round(late))
        self._beat_s += periods * self.period_s
        if not self._skips:
            self._beat_s += (at_s - self._beat_s) / _PULLS
        return periods

    def periods(self, at_s: float, shown: float) -> Iterator[tuple[float, float | None]]:
        """Give second and reading of each period up to a reading; none where no reading came."""
        passed = self.passed(at_s)
        for missing in range(passed - 1, 0, -1):
            yield at_s - missing * self.period_s, None
        if passed:
            yield at_s, shown
