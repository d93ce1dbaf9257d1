"""Give the levels at which a load rested, from readings that come in chunks and now and then are lost."""

from dataclasses import dataclass
from typing import Final

from shedstation.domain.fruit.beats import ENOUGH, Beats
from shedstation.domain.fruit.fruit_guess import FruitGuess
from shedstation.domain.fruit.load_filter import LoadFilter
from shedstation.domain.fruit.scale_response import ScaleResponse, response_set

_AT_ONCE: Final = 4
"""So many old readings are gone through at each new one once the response is known better."""


@dataclass(slots=True, kw_only=True)
class Rest:
    """One time at rest."""

    left_s: float
    """Seconds at which the rest before it was left."""

    level: float
    """The load, in divisions."""


class _Rests:
    """Times at rest, put together from period after period."""

    def __init__(self) -> None:
        self.found: list[Rest] = []
        self._left_s: float | None = None
        self._is_open = False

    def add(self, at_s: float, level: float, *, at_rest: bool) -> None:
        if not at_rest:
            if self._is_open or self._left_s is None:
                self._left_s = at_s
            self._is_open = False
        elif self._is_open:
            self.found[-1].level = level
        else:
            self.found.append(
                Rest(left_s=at_s if self._left_s is None else self._left_s, level=level)
            )
            self._is_open = True

    def copy(self) -> "_Rests":
        copied = _Rests()
        copied.found = [Rest(left_s=each.left_s, level=each.level) for each in self.found]
        copied._left_s, copied._is_open = self._left_s, self._is_open
        return copied


class _Run:
    """Readings followed with one response."""

    def __init__(
        self, response: ScaleResponse, beats: Beats, division_g: float, start: float | None
    ) -> None:
        self._filter = LoadFilter(response_set([response], beats.period_s), division_g, start=start)
        self._beats = beats
        self._times: list[float] = []
        self._rests = _Rests()
        self._settled = 0
        self.heard = 0

    def hear(self, at_s: float, divisions: float, guess: FruitGuess | None) -> None:
        self._filter.guess = guess
        self.heard += 1
        periods = self._beats.passed(at_s)
        for missing in range(periods - 1, 0, -1):
            self._times.append(at_s - missing * self._beats.period_s)
            self._filter.hear(None)
        if periods:
            self._times.append(at_s)
            self._filter.hear(divisions)
        for at_rest, level in self._filter.at_rest[self._settled :]:
            self._rests.add(self._times[self._settled], level, at_rest=at_rest)
            self._settled += 1

    def rests(self) -> list[Rest]:
        rests = self._rests.copy()
        for at_s, (at_rest, level) in zip(
            self._times[self._settled :], self._filter.unsettled(), strict=True
        ):
            rests.add(at_s, level, at_rest=at_rest)
        return rests.found


class RestFinder:
    """Finds where the load behind a scale's readings rested."""

    def __init__(self, response: ScaleResponse, division_g: float, *, start: float | None) -> None:
        """Start before the first reading.

        Args:
            response: How the scale follows the load, as far as known.
            division_g: Grams of a division.
            start: The load at the first reading, in divisions; none if it is not known.
        """
        self.guess: FruitGuess | None = None
        """What a fruit is expected to weigh."""

        self._response, self._division_g, self._start = response, division_g, start
        self._heard: list[tuple[float, float]] = []
        self._run: _Run | None = None
        self._better: _Run | None = None

    def hear(self, at_s: float, divisions: float) -> None:
        """Take in what the scale shows, in divisions."""
        self._heard.append((at_s, divisions))
        if len(self._heard) < ENOUGH:
            return
        if self._run is None:
            self._run = self._begin()
            self._go_on(self._run, len(self._heard))
            return
        self._go_on(self._run, 1)
        if self._better is not None:
            self._go_on(self._better, _AT_ONCE)
            if self._better.heard == len(self._heard):
                self._run, self._better = self._better, None

    def follow(self, response: ScaleResponse) -> None:
        """Follow all readings anew with a response that is known better now, a few at a time."""
        self._response = response
        if self._run is not None:
            self._better = self._begin()

    def _begin(self) -> _Run:
        beats = Beats([at_s for at_s, _ in self._heard[:ENOUGH]])
        return _Run(self._response, beats, self._division_g, self._start)

    def _go_on(self, run: _Run, readings: int) -> None:
        for at_s, divisions in self._heard[run.heard : run.heard + readings]:
            run.hear(at_s, divisions, self.guess)

    def rests(self) -> list[Rest]:
        """Give the times at rest so far, the first one at the load it started with."""
        return [] if self._run is None else self._run.rests()
