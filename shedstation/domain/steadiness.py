"""Judge by time whether a scale is steady when it sends no mark of its own."""

from collections import deque
from dataclasses import replace
from typing import Final

from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, ScaleEvent, State

LEAST_SPAN_S: Final = 0.5
LEAST_READINGS: Final = 3
LONGEST_GAP_S: Final = 1.0


class SteadinessJudge:
    """Calls a reading steady when the last half second of readings lies within one division."""

    def __init__(self, division: Mass | None) -> None:
        """Start judging.

        Args:
            division: The scale's division; none takes one count of the last decimal shown.
        """
        self._division = division
        self._recent: deque[Reading] = deque()

    def restart(self) -> None:
        """Forget what came before a break."""
        self._recent.clear()

    def judged(self, event: ScaleEvent) -> ScaleEvent:
        """Give the event; a reading without a mark of steadiness comes back judged."""
        if isinstance(event, Reading) and event.state is State.UNKNOWN:
            return self.judge(event)
        return event

    def judge(self, reading: Reading) -> Reading:
        """Give the reading with a judged state, marked as judged."""
        if reading.mass is None:
            self._recent.clear()
            return reading
        if self._recent and self._follows_nothing(reading):
            self._recent.clear()
        self._recent.append(reading)
        self._forget_old(reading.at_s)
        state = State.STEADY if self._is_steady(reading) else State.MOVING
        return replace(reading, state=state, judged=True)

    def _follows_nothing(self, reading: Reading) -> bool:
        before = self._recent[-1]
        assert before.mass is not None  # noqa: S101  # only readings with a mass are kept
        other_unit = reading.mass is not None and before.mass.unit is not reading.mass.unit
        return other_unit or reading.at_s - before.at_s > LONGEST_GAP_S

    def _forget_old(self, now_s: float) -> None:
        recent = self._recent
        while len(recent) > LEAST_READINGS and now_s - recent[1].at_s >= LEAST_SPAN_S:
            recent.popleft()

    def _is_steady(self, reading: Reading) -> bool:
        recent = self._recent
        if len(recent) < LEAST_READINGS or reading.at_s - recent[0].at_s < LEAST_SPAN_S:
            return False
        masses = [each.mass for each in recent if each.mass is not None]
        one = self._division or replace(masses[-1], count=1)
        return max(masses) - min(masses) <= one
