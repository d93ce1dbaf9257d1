"""Give the levels at which a load rested, from readings that come in chunks and now and then are lost."""

from collections import deque
from dataclasses import dataclass, field, replace
from statistics import median
from typing import Final

from shedstation.domain.fruit.beats import ENOUGH, Beats
from shedstation.domain.fruit.fruit_guess import FruitGuess
from shedstation.domain.fruit.load_filter import LoadFilter
from shedstation.domain.fruit.scale_response import ScaleResponse, response_set

_AT_ONCE: Final = 4
"""So many old readings are gone through at each new one once the response is known better."""

_SHOWN: Final = 9
"""A load at rest is the median of so many last readings."""


@dataclass(slots=True, kw_only=True)
class Rest:
    """One time at rest."""

    left_s: float
    """Seconds at which the rest before it was left."""

    reckoned: float
    """The load as the readings tell it through the scale's lag, in divisions."""

    periods: int
    """How long it has lasted."""

    shown: list[float] = field(default_factory=list)
    """What the scale showed last, since it lags no more."""

    @property
    def level(self) -> float:
        """Get the load: what the scale shows once it lags no more, as far as known before."""
        return median(self.shown) if self.shown else self.reckoned


class _Rests:
    """Times at rest, put together from period after period."""

    def __init__(self, lag: int) -> None:
        """Start before the first period; after `lag` periods at rest the scale shows the load."""
        self.found: list[Rest] = []
        self._lag = lag
        self._left_s: float | None = None
        self._is_open = False

    def add(self, at_s: float, shown: float | None, reckoned: float, *, at_rest: bool) -> None:
        if not at_rest:
            if self._is_open or self._left_s is None:
                self._left_s = at_s
            self._is_open = False
            return
        if not self._is_open:
            left_s = at_s if self._left_s is None else self._left_s
            self.found.append(Rest(left_s=left_s, reckoned=reckoned, periods=0))
            self._is_open = True
        rest = self.found[-1]
        rest.reckoned, rest.periods = reckoned, rest.periods + 1
        if shown is not None and rest.periods > self._lag:
            rest.shown = [*rest.shown, shown][-_SHOWN:]

    def copy(self) -> "_Rests":
        """Copy them to go on with; of those found only the last one can change."""
        copied = _Rests(self._lag)
        copied.found = [*self.found[:-1], *(replace(each) for each in self.found[-1:])]
        copied._left_s, copied._is_open = self._left_s, self._is_open
        return copied


class _Run:
    """Readings followed with one response."""

    def __init__(
        self, response: ScaleResponse, beats: Beats, division_g: float, start: float | None
    ) -> None:
        self._filter = LoadFilter(response_set([response], beats.period_s), division_g, start=start)
        self._beats = beats
        self._periods: deque[tuple[float, float | None]] = deque()
        """Second and reading of each period that is not settled."""

        self._rests = _Rests(response.lag_periods(beats.period_s))
        self.heard = 0

    def hear(self, at_s: float, divisions: float, guess: FruitGuess | None) -> None:
        self._filter.guess = guess
        self.heard += 1
        for period in self._beats.periods(at_s, divisions):
            self._periods.append(period)
            self._filter.hear(period[1])
        for at_rest, reckoned in self._filter.take_settled():
            self._rests.add(*self._periods.popleft(), reckoned, at_rest=at_rest)

    def rests(self) -> list[Rest]:
        rests = self._rests.copy()
        unsettled = zip(self._periods, self._filter.unsettled(), strict=True)
        for (at_s, shown), (at_rest, reckoned) in unsettled:
            rests.add(at_s, shown, reckoned, at_rest=at_rest)
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
