"""Watch the empty pan from box to box, and name what moves its zero before a box is tared on it.

A shown zero is within half a division (HB 44 S.1.1.1), and a scale that follows its zero takes up to
half a division a second away by itself (R 76-1:2006 4.5.7): what still shows is more than that or
came at once. From two divisions on it is told; one division may be the display's own step. The
numbers of boxes and the names are this program's own rules.
"""

from collections import deque
from enum import Enum
from fractions import Fraction
from itertools import pairwise
from typing import Final

from shedstation.domain.mass import Mass

_TOLD: Final = 2
_DRIFTING_BOXES: Final = 3
_TRACKED_PER_S: Final = Fraction(1, 2)
"""Divisions a second: a zero that falls no faster is drying, creeping or being followed."""


class ZeroTrouble(Enum):
    """Why the empty pan does not show zero, as far as its readings tell."""

    OFF = "off"
    """Nobody saw how it came."""

    LEFT_ON = "left_on"
    """It came at once: a leaf, a sticker, fruit or water stayed on."""

    DRYING = "drying"
    """It falls slowly: a wet pan."""

    DRIFTING = "drifting"
    """It went the same way over several boxes, a little each."""


class ZeroWatch:
    """What the empty pan shows now and showed before each of the last boxes."""

    def __init__(self, division: Mass) -> None:
        """Start with a pan that nobody has seen empty."""
        self._told = division * _TOLD
        self._division = division
        self._before: deque[Mass] = deque(maxlen=_DRIFTING_BOXES)
        self._last: tuple[float, Mass] | None = None
        self._top: tuple[float, Mass] | None = None
        """When and where the zero stood highest since it last was one."""

        self._has_risen = False
        """Whether it last left zero upwards at once."""

        self.trouble: ZeroTrouble | None = None
        """Why the pan did not show zero when it was last seen empty; none if it did."""

    @property
    def shown(self) -> Mass | None:
        """Get what the empty pan showed last."""
        return None if self._last is None else self._last[1]

    @property
    def before_box(self) -> Mass | None:
        """Get what the empty pan showed before the box that is on, or was on last."""
        return self._before[-1] if self._before else None

    def forget(self) -> None:
        """Begin anew: what the pan shows next follows from nothing before."""
        self._before.clear()
        self._last = self._top = self.trouble = None
        self._has_risen = False

    def box_on(self) -> None:
        """Note that a load went on; what the pan showed empty is kept."""
        if self._last is not None:
            self._before.append(self._last[1])

    def hear(self, at_s: float, load: Mass) -> None:
        """Take a steady reading of the empty pan.

        Args:
            at_s: Its second.
            load: What it shows, less what the scale is known to hide.
        """
        last, self._last = self._last, (at_s, load)
        if abs(load) < self._told:
            self._top, self._has_risen, self.trouble = None, False, None
            return
        if last is not None and load - last[1] >= self._told:
            self._has_risen, self._top = True, None
        elif last is not None and self._is_quick_fall(last, (at_s, load)):
            self._has_risen, self._top = False, None
        if self._top is None or load > self._top[1]:
            self._top = at_s, load
        self.trouble = self._named(at_s, load, self._top)

    def _named(self, at_s: float, load: Mass, top: tuple[float, Mass]) -> ZeroTrouble:
        has_fallen = top[1] - load >= self._told
        if load.count > 0 and has_fallen and not self._is_quick_fall(top, (at_s, load)):
            return ZeroTrouble.DRYING
        if self._has_risen:
            return ZeroTrouble.LEFT_ON
        return ZeroTrouble.DRIFTING if self._is_drifting(load) else ZeroTrouble.OFF

    def _is_quick_fall(self, sooner: tuple[float, Mass], later: tuple[float, Mass]) -> bool:
        """Tell whether it fell by so much in so short a time that something was taken off."""
        fallen = (sooner[1].nanograms - later[1].nanograms) / self._division.nanograms
        span_s = Fraction(round((later[0] - sooner[0]) * 1e6), 10**6)
        return fallen >= _TOLD and fallen > _TRACKED_PER_S * span_s

    def _is_drifting(self, now: Mass) -> bool:
        zeros = [*self._before, now]
        if len(zeros) <= _DRIFTING_BOXES:
            return False
        steps = [later - sooner for sooner, later in pairwise(zeros)]
        return all(step.count > 0 for step in steps) or all(step.count < 0 for step in steps)
