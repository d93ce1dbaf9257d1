"""Tell fruit from the levels at which the net weight comes to rest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median, pstdev
from typing import Final

from shedstation.domain.fruit.beats import GAP_S
from shedstation.domain.fruit.fruit_guess import FruitGuess
from shedstation.domain.fruit.rests import Rest, RestFinder
from shedstation.domain.fruit.scale_response import ScaleResponse
from shedstation.domain.fruit.step import FruitStep, StepKind, is_like_one
from shedstation.domain.mass import Mass, Unit

NO_LAG: Final = ScaleResponse(average_s=0.0, pole_s=0.0)
"""How a scale is taken to follow the load before its own way is known."""

_TOUCH_S: Final = 0.6
"""A level left for no longer than this, back to where it was, was a hand and no fruit (our rule)."""

_LEAST_GRAMS: Final = 75
_LEAST_DIVISIONS: Final = 8
"""A change smaller than both of these is no fruit but water, a leaf or the scale (our rule)."""

_MOST_GRAMS: Final = 2500
"""Nothing heavier is taken for one fruit (our rule; the heaviest sorts weigh 1.1 kg on average)."""

_KNOWN_FROM: Final = 3
"""From so many fruit on, their median says how heavy one is."""

_ANY_FRUIT_G: Final = 400.0
_ANY_SPREAD: Final = 0.5
"""What a fruit is expected to weigh before any was told, and how far others are from it."""

_LEAST_SPREAD: Final = 0.1
_MOST_SPREAD: Final = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Level:
    """A level at which the weight rests, in counts, and when the one before it was left."""

    left_s: float
    count: int
    seen: bool
    """Whether the way there was seen: not after a gap, nor if it never came to rest."""


class FruitLedger:
    """The fruit of one box, told from its net weight from the tare on.

    A level is refined as long as it lasts, and a step is the difference of two levels: so the steps
    always sum to the last level, and at the close to the net weight, exactly.
    """

    def __init__(self, division: Mass, response: ScaleResponse = NO_LAG) -> None:
        """Start with a tared, empty box.

        Args:
            division: The scale's division.
            response: How the scale follows the load, as far as known.
        """
        self._division = division
        self._division_g = float(division.measured_in(Unit.G))
        least = Mass(_LEAST_GRAMS, 0, Unit.G).in_unit(division.unit, division.decimals).count
        self._least = max(least, _LEAST_DIVISIONS * division.count)
        self._most = Mass(_MOST_GRAMS, 0, Unit.G).in_unit(division.unit, division.decimals).count
        self._response = response
        self._before = [_Level(left_s=0.0, count=0, seen=True)]
        self._levels = self._before
        self._finder = RestFinder(response, self._division_g, start=0.0)
        self._after_gap = False
        self._last_s: float | None = None

    def hear(self, at_s: float, net: Mass) -> None:
        """Take in the net weight that a reading shows, steady or moving.

        Raises:
            ValueError: if it has digits that the scale's division has not.
        """
        count = self._counted(net)
        if self._last_s is not None and at_s - self._last_s > GAP_S:
            self._before, self._after_gap = self._levels, True
            self._finder = RestFinder(self._response, self._division_g, start=None)
        self._last_s = at_s
        self._finder.guess = self._guess()
        self._finder.hear(at_s, count / self._division.count)
        self._levels = self._levels_from(self._finder.rests())

    def follow(self, response: ScaleResponse) -> None:
        """Tell the fruit anew, now that it is known better how the scale follows the load."""
        self._response = response
        self._finder.follow(response)

    def _counted(self, net: Mass) -> int:
        return net.with_decimals(self._division.decimals).count

    def _guess(self) -> FruitGuess:
        """Say what a fruit is expected to weigh: as those told so far."""
        changes = _changes(self._levels)
        usual = _usual(changes) or 0.0
        alike = [each for each in changes if each > 0 and is_like_one(each, usual)]
        # Of as many light as heavy ones none need lie near the median: it is no fruit's weight then.
        if not alike:
            any_fruit = _ANY_FRUIT_G / self._division_g
            return FruitGuess(usual=any_fruit, spread=_ANY_SPREAD * any_fruit)
        bounded = min(max(pstdev(alike), _LEAST_SPREAD * usual), _MOST_SPREAD * usual)
        division = self._division.count
        return FruitGuess(usual=usual / division, spread=bounded / division)

    def _levels_from(self, rests: Sequence[Rest]) -> list[_Level]:
        """Give the levels up to now: each time at rest refines the last level or is a new one."""
        levels = list(self._before)
        seen = not self._after_gap
        for rest in rests:
            count = round(rest.level) * self._division.count
            if abs(count - levels[-1].count) >= self._least:
                levels.append(_Level(left_s=rest.left_s, count=count, seen=seen))
                self._forget_touch(levels)
            elif len(levels) > 1:
                levels[-1] = replace(levels[-1], count=count)
            seen = True
        return levels

    def _forget_touch(self, levels: list[_Level]) -> None:
        """Drop a level that was left within a moment for the one before it: a hand rested there."""
        if len(levels) < 3:  # noqa: PLR2004  # before, touched, after
            return
        before, touched, after = levels[-3:]
        back = abs(after.count - before.count) <= self._division.count
        if back and touched.seen and after.seen and after.left_s - touched.left_s <= _TOUCH_S:
            del levels[-2:]
            if len(levels) > 1:
                levels[-1] = replace(levels[-1], count=after.count)

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
        changes = _changes(levels)
        usual = _usual(changes)
        return tuple(
            self._step(level, change, usual)
            for level, change in zip(levels[1:], changes, strict=True)
        )

    def _step(self, level: _Level, change: int, usual: float | None) -> FruitStep:
        kind = StepKind.PLACED if change >= 0 else StepKind.TAKEN
        is_one = level.seen and abs(change) <= self._most
        if usual is not None:
            is_one = is_one and is_like_one(abs(change), usual)
        return FruitStep(
            at_s=level.left_s,
            change=Mass(change, self._division.decimals, self._division.unit),
            fruit=1 if is_one else None,
            sure=is_one,
            kind=kind if level.seen else StepKind.UNSEEN,
        )


def _changes(levels: Sequence[_Level]) -> list[int]:
    return [after.count - before.count for before, after in pairwise(levels)]


def _usual(changes: Sequence[int]) -> float | None:
    """Give the median of what was put in, in counts; none before enough was."""
    put_in = [each for each in changes if each > 0]
    return median(put_in) if len(put_in) >= _KNOWN_FROM else None
