"""Tell fruit from the levels at which the net weight comes to rest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median
from typing import Final

from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.mass import Mass, Unit

_REST_S: Final = 0.25
_REST_READINGS: Final = 3
"""A level is at rest when so many readings over so long differ by one division at most (our rule)."""

_GAP_S: Final = 1.0
"""Nobody saw what happened in a longer gap."""

_TOUCH_S: Final = 1.5
"""A level left for no longer than this, back to where it was, was a hand and no fruit (our rule)."""

_LEAST_GRAMS: Final = 75
_LEAST_DIVISIONS: Final = 8
"""A change smaller than both of these is no fruit but water, a leaf or the scale (our rule)."""

_TWO_FROM: Final = 1.6
_HALF: Final = 0.5
"""A step above the first or below the second times the median of single fruit is not surely one."""

_KNOWN_FROM: Final = 3
"""From so many fruit on, their median says how heavy one is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Level:
    """A level at which the weight rests, in counts, and when it left the one before."""

    left_s: float
    count: int
    seen: bool
    """Whether the way there was seen: not after a gap, nor if it never came to rest."""


class FruitLedger:
    """The fruit of one box, told from its net weight from the tare on.

    A level is refined as long as it lasts, and a step is the difference of two levels: so the steps
    always sum to the last level, and at the close to the net weight, exactly.
    """

    def __init__(self, division: Mass) -> None:
        """Start with a tared, empty box.

        Args:
            division: The scale's division.
        """
        self._division = division
        least = Mass(_LEAST_GRAMS, 0, Unit.G).in_unit(division.unit, division.decimals).count
        self._least = max(least, _LEAST_DIVISIONS * division.count)
        self._levels = [_Level(left_s=0.0, count=0, seen=True)]
        self._run: list[tuple[float, int]] = []
        self._left_s: float | None = None
        self._last_s: float | None = None
        self._seen = True

    def hear(self, at_s: float, net: Mass) -> None:
        """Take in the net weight that a reading shows, steady or moving.

        Raises:
            ValueError: if it has digits that the scale's division has not.
        """
        count = self._counted(net)
        if self._last_s is not None and at_s - self._last_s > _GAP_S:
            self._run, self._seen = [], False
        self._last_s = at_s
        if self._left_s is None and abs(count - self._levels[-1].count) > self._division.count:
            self._left_s = at_s
        self._run.append((at_s, count))
        while self._spread() > self._division.count:
            self._run.pop(0)
        if self._is_at_rest():
            self._rest()

    def _counted(self, net: Mass) -> int:
        return net.with_decimals(self._division.decimals).count

    def _spread(self) -> int:
        counts = [count for _, count in self._run]
        return max(counts) - min(counts)

    def _is_at_rest(self) -> bool:
        # A float's last digit must not decide: readings a tenth apart span 0.3 s or a hair less.
        long_enough = self._run[-1][0] - self._run[0][0] >= _REST_S - 1e-6
        return len(self._run) >= _REST_READINGS and long_enough

    def _rest(self) -> None:
        """Refine the level the weight rests at, or go on to a new one."""
        count = round(median(count for _, count in self._run) / self._division.count)
        count *= self._division.count
        level = self._levels[-1]
        if abs(count - level.count) >= self._least:
            left_s = self._run[0][0] if self._left_s is None else self._left_s
            self._levels.append(_Level(left_s=left_s, count=count, seen=self._seen))
            self._forget_touch()
        else:
            self._refine(count)
        self._left_s, self._seen = None, True
        # Only the newest readings say where a level that lasts rests now.
        del self._run[: -4 * _REST_READINGS]

    def _refine(self, count: int) -> None:
        """Correct the level that lasts; the empty box stays at nothing."""
        if len(self._levels) > 1:
            self._levels[-1] = replace(self._levels[-1], count=count)

    def _forget_touch(self) -> None:
        """Drop a level that was left within a moment for the one before it: a hand rested there."""
        if len(self._levels) < 3:  # noqa: PLR2004  # before, touched, after
            return
        before, touched, after = self._levels[-3:]
        back = abs(after.count - before.count) <= 2 * self._division.count
        if back and touched.seen and after.seen and after.left_s - touched.left_s <= _TOUCH_S:
            del self._levels[-2:]
            self._refine(after.count)

    def steps(self) -> tuple[FruitStep, ...]:
        """Give the steps up to the last level at rest."""
        return self._steps_to(self._levels)

    def close(self, net: Mass) -> tuple[FruitStep, ...]:
        """Give all steps of the box that closes at this steady net weight; they sum to it exactly."""
        levels, final = self._levels, self._counted(net)
        if len(levels) > 1 and abs(final - levels[-1].count) < self._least:
            levels = [*levels[:-1], replace(levels[-1], count=final)]
        elif final != levels[-1].count:
            levels = [*levels, _Level(left_s=self._last_s or 0.0, count=final, seen=False)]
        return self._steps_to(levels)

    def _steps_to(self, levels: Sequence[_Level]) -> tuple[FruitStep, ...]:
        changes = [after.count - before.count for before, after in pairwise(levels)]
        put_in = [each for each in changes if each > 0]
        usual = median(put_in) if len(put_in) >= _KNOWN_FROM else None
        return tuple(
            self._step(level, change, usual)
            for level, change in zip(levels[1:], changes, strict=True)
        )

    def _step(self, level: _Level, change: int, usual: float | None) -> FruitStep:
        kind = StepKind.PLACED if change >= 0 else StepKind.TAKEN
        share = 1.0 if usual is None else abs(change) / usual
        is_one = level.seen and _HALF <= share <= _TWO_FROM
        return FruitStep(
            at_s=level.left_s,
            change=Mass(change, self._division.decimals, self._division.unit),
            fruit=1 if is_one else None,
            sure=is_one,
            kind=kind if level.seen else StepKind.UNSEEN,
        )
