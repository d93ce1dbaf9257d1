"""Judge by time whether a scale is steady when it sends no mark of its own, or never a steady one.

A weight is stable while it stays within one division: R 76-1:2006 4.4.2 lets only two adjacent
values show, HB 44 S.2.1.2 and SI/98-81 section 45 say within one division. No source says for how
long; the half second, the two seconds and the gaps are choices of this program.
"""

from collections import deque
from dataclasses import replace
from statistics import median_low
from typing import Final

from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, ScaleEvent, State

LEAST_SPAN_S: Final = 0.5
LEAST_READINGS: Final = 3
NO_MARK_SPAN_S: Final = 2.0
"""So long must a weight stand still at a scale that says it moves, and never yet said otherwise."""

LEAST_GAP_S: Final = 0.3
LONGEST_GAP_S: Final = 3.0
_PERIODS: Final = 3
_INTERVALS: Final = 9


class SteadinessJudge:
    """Calls a reading steady when the readings of the last half second lie within one division."""

    def __init__(self, division: Mass | None, *, mark_may_be_missing: bool = False) -> None:
        """Start judging.

        Args:
            division: The scale's division; none takes one count of the last decimal shown.
            mark_may_be_missing: Whether such a scale marks movement but may never say steady. Then,
                until it once does, two seconds within one division are steady too.
        """
        self.mark_may_be_missing = mark_may_be_missing
        self._short = _Window(division, LEAST_SPAN_S)
        self._long = _Window(division, NO_MARK_SPAN_S)
        self._said_steady = False

    def restart(self) -> None:
        """Forget what came before a break."""
        self._short.restart()
        self._long.restart()
        self._said_steady = False

    def judged(self, event: ScaleEvent) -> ScaleEvent:
        """Give the event; a reading without a mark of steadiness comes back judged."""
        if not isinstance(event, Reading):
            return event
        if event.state is State.UNKNOWN:
            return self.judge(event)
        return self._without_mark(event) if self.mark_may_be_missing else event

    def judge(self, reading: Reading) -> Reading:
        """Give the reading with a judged state, marked as judged."""
        if reading.mass is None:
            self._short.restart()
            return reading
        state = State.STEADY if self._short.is_level_with(reading) else State.MOVING
        return replace(reading, state=state, judged=True)

    def _without_mark(self, reading: Reading) -> Reading:
        """Call a moving weight steady that stands still, as long as the scale never said so itself."""
        self._said_steady = self._said_steady or reading.state is State.STEADY
        if self._said_steady or reading.mass is None or reading.state is not State.MOVING:
            self._long.restart()
            return reading
        if not self._long.is_level_with(reading):
            return reading
        return replace(reading, state=State.STEADY, judged=True)


class _Window:
    """The last readings of a line, as many as a span of time needs."""

    def __init__(self, division: Mass | None, span_s: float) -> None:
        self._division = division
        self._span_s = span_s
        self._recent: deque[Reading] = deque()
        self._intervals: deque[float] = deque(maxlen=_INTERVALS)

    def restart(self) -> None:
        """Forget the readings; the pace of the line stays known."""
        self._recent.clear()

    def is_level_with(self, reading: Reading) -> bool:
        """Take one more reading; tell whether the span up to it lies within one division."""
        recent = self._recent
        if recent and reading.at_s > recent[-1].at_s:  # some lines bring several frames at once
            self._intervals.append(reading.at_s - recent[-1].at_s)
        if recent and _unit(recent[-1]) is not _unit(reading):
            recent.clear()
        recent.append(reading)
        self._forget_before_gap()
        self._forget_old(reading.at_s)
        return self._is_level()

    def _forget_before_gap(self) -> None:
        """Begin anew after a gap: what the pan did in it was not seen.

        A gap is three times the line's own pace, so that a slow scale can be used; on a fast one
        it is 0.3 s.
        """
        pace = median_low(self._intervals) if self._intervals else LONGEST_GAP_S
        longest = min(max(LEAST_GAP_S, pace * _PERIODS), LONGEST_GAP_S)
        times = [each.at_s for each in self._recent]
        for place in range(len(times) - 1, 0, -1):
            if _is_longer(times[place] - times[place - 1], longest):
                for _ in range(place):
                    self._recent.popleft()
                return

    def _forget_old(self, now_s: float) -> None:
        recent = self._recent
        while len(recent) > LEAST_READINGS and not _is_longer(self._span_s, now_s - recent[1].at_s):
            recent.popleft()

    def _is_level(self) -> bool:
        recent = self._recent
        if len(recent) < LEAST_READINGS or _is_longer(
            self._span_s, recent[-1].at_s - recent[0].at_s
        ):
            return False
        masses = [each.mass for each in recent if each.mass is not None]
        one = self._division or replace(masses[-1], count=1)
        return max(masses) - min(masses) <= one


def _unit(reading: Reading) -> object:
    return None if reading.mass is None else reading.mass.unit


def _is_longer(span_s: float, other_s: float) -> bool:
    """Compare spans in whole microseconds, whatever floats say."""
    return round(span_s * 1e6) > round(other_s * 1e6)
