"""Tell fresh frames from ones that had piled up unread: those have no time that is known."""

from collections import deque
from statistics import median
from typing import Final

AWAY_S: Final = 0.5
"""Longer between two looks at the line, and nothing that is found then is called fresh."""

_SLOWEST_S: Final = 0.1
"""A scale that pauses may well send its next two readings together: more than this is no pace."""

_FASTEST_S: Final = 0.02
"""Assumed until the pace is known: the fastest scales send 50 times a second."""

_CHUNKS: Final = 9
_LEAST_CHUNKS: Final = 3


class Backlog:
    """The pace of one line, and how much of what a look finds can be fresh."""

    def __init__(self) -> None:
        """Start with a pace that is not known."""
        self._periods: deque[float] = deque(maxlen=_CHUNKS)
        self._looked_s: float | None = None
        self._found_s: float | None = None
        self._is_draining = False

    def restart(self, now_s: float) -> None:
        """Start at a line that was just opened and emptied; the scale's pace stays as it was."""
        self._looked_s, self._found_s, self._is_draining = now_s, now_s, False

    def found(self, now_s: float, frames: int) -> int:
        """Tell how many of the frames found at this look are fresh: the last ones, or none.

        Args:
            now_s: When the look ended.
            frames: How many frames became whole; none if it was in vain.
        """
        was_away = self._looked_s is not None and now_s - self._looked_s > AWAY_S
        since_s = now_s - (self._found_s if self._found_s is not None else now_s)
        self._looked_s = now_s
        if not frames:
            return 0
        self._found_s = now_s
        period_s = self._period_s()
        if was_away or self._piled_up(frames * period_s, since_s):
            self._is_draining = True
            return 0
        self._is_draining = False
        self._periods.append(since_s / frames)
        return 1 if frames == 1 else min(frames, max(int(AWAY_S / period_s), 1))

    def _period_s(self) -> float:
        if len(self._periods) < _LEAST_CHUNKS:
            return _FASTEST_S
        return max(min(median(self._periods), _SLOWEST_S), 1e-6)

    def _piled_up(self, worth_s: float, since_s: float) -> bool:
        """Tell whether frames worth some seconds cannot all be from since the last look that found any.

        After older ones were thrown away, the rest of them may follow at once: only what comes at the
        scale's own pace is fresh again.
        """
        return worth_s > 2 * since_s if self._is_draining else worth_s > since_s + AWAY_S
