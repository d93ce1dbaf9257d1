"""Reckon what it is likely to cost a box to try another fruit, so that trimming knows when to stop.

Costs are in what a box is over its floor; a move costs `move` of it. Weights are plain numbers in one
unit: nothing here decides whether a box is light, only what is worth trying.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

CUP: Final = Fraction(7, 10)
"""What a fruit in a cup is worth, in moves: it took one to put it there (our rule, from simulation)."""

_NEVER: Final = 1e9
"""More than any box costs."""

_LOOKED: Final = 1.5
"""So many spreads from the usual a fruit can be looked for by eye (our rule)."""

_FOUND: Final = 0.85
"""So much of the way from a usual fruit to the wanted one comes a fruit chosen by eye (simulated)."""

_LEFT: Final = 0.9
"""So much of the spread is left among fruit chosen by eye (simulated: three looked at, 8 % off)."""

_REACH, _FINE = 3.0, 30
"""Fruit up to so many spreads from the usual are reckoned with, in steps of this part of a spread."""

_KNOTS: Final = 9
"""For so many weights of a fruit it is reckoned what comes after it; between them lie straight lines."""

_STANDS: Final = ((0.0, 0.0), (-0.5, 0.4), (0.5, -0.4), (0.2, 0.8), (-0.2, -0.8))
"""Where boxes stand that lack one fruit: spreads beside a usual fruit, and those of the fruit on top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """What stands in the cups: weights, and how many cups are empty."""

    cups: tuple[float, ...]
    free: int

    def with_fruit(self, weight: float) -> "Tray":
        """Give the tray with one more fruit in it."""
        return Tray(cups=(*self.cups, weight), free=self.free - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What is expected of fruit not weighed yet, and what moves cost."""

    usual: float
    spread: float
    """The standard deviation of single fruit, more than nothing."""

    width: float
    """From the lowest limit to the highest."""

    move: float
    """What a move costs, in what a box is over."""

    retry: float
    """What it costs to take a fruit out again that did not fit: the move, and what may follow."""

    def after_one(self, over: float, top: float | None, tray: Tray) -> tuple[float, float]:
        """Reckon what a light box costs in the end if one more fruit goes in, chosen by eye.

        Fruit are tried until one leads to a landing cheap enough. Trying on costs `retry`, so the price
        to stop at is where one more try is expected to save just that (the reservation price of the
        theory of search).

        Args:
            over: What the box is over its floor now, below nothing.
            top: The fruit that may be taken out again besides the new one, none if there is none.
            tray: The cups.

        Returns:
            The cost, and the weight to look for.
        """
        fruit = self._fruit()
        sums, prices = self._ways(top, tray)
        costs = _cheapest(over + fruit, sums, prices, self.width)
        order = np.argsort(costs)
        wanted = self._wanted(-over - sums)
        likely = self._likely(fruit, wanted)[:, order]
        stops = [reservation(costs[order], each, self.retry) for each in likely]
        best = int(np.argmin(stops))
        return stops[best] - self.retry, float(wanted[best])

    def after_two(self, over: float, top: float | None, tray: Tray) -> float:
        """Reckon the same for a box that lacks about two fruit."""
        fruit = self._fruit()
        sums, prices = self._ways(top, tray)
        landed = _cheapest(over + fruit, sums, prices, self.width)
        knots = np.linspace(fruit[0], fruit[-1], _KNOTS)
        later = [self._after(over + float(each), float(each), tray) for each in knots]
        costs = np.minimum(landed, np.interp(fruit, knots, later))
        aims = self.usual + self.spread * np.linspace(-1.0, 1.0, 5)
        return float((self._likely(fruit, aims) @ costs).min())

    def _after(self, over: float, top: float, tray: Tray) -> float:
        most = self.width + self.retry
        return most if over >= 0 else min(most, self.after_one(over, top, tray)[0])

    def of_tray(self, tray: Tray) -> float:
        """Reckon what a box costs that lacks one fruit, over the ways it may stand then."""
        stands = [
            self.after_one(-self.usual + lacks * self.spread, self.usual + top * self.spread, tray)
            for lacks, top in _STANDS
        ]
        return sum(cost for cost, _ in stands) / len(stands)

    def _fruit(self) -> Floats:
        least = max(self.usual - _REACH * self.spread, self.spread / _FINE)
        return np.arange(least, self.usual + _REACH * self.spread, self.spread / _FINE)

    def _wanted(self, lacks: Floats) -> Floats:
        far = _LOOKED * self.spread
        # NumPy's own `unique` would load a large module at the first fruit, while a packer waits.
        return np.array(sorted(set(np.clip(lacks, self.usual - far, self.usual + far).tolist())))

    def _likely(self, fruit: Floats, wanted: Floats) -> Floats:
        """Give how likely fruit are, a row for each weight looked for; rows add up to one."""
        middle = self.usual + _FOUND * (wanted - self.usual)
        away = (fruit[None, :] - middle[:, None]) / (_LEFT * self.spread)
        heights = np.exp(-0.5 * away * away)
        likely: Floats = heights / heights.sum(axis=1, keepdims=True)
        return likely

    def _ways(self, top: float | None, tray: Tray) -> tuple[Floats, Floats]:
        """Give what each plan of up to two moves adds to a box, and its price."""
        into, out = float(1 + CUP), float(1 - CUP) if tray.free else 1.0
        ways = [(0.0, 0.0), *((each, into) for each in tray.cups)]
        ways += [(first + second, 2 * into) for first, second in combinations(tray.cups, 2)]
        if top is not None:
            ways += [(-top, out), *((each - top, 2.0) for each in tray.cups)]
        table = np.array(ways)
        return table[:, 0], table[:, 1] * self.move


def _cheapest(overs: Floats, sums: Floats, prices: Floats, width: float) -> Floats:
    """Give for each weight over the floor what the cheapest landing from there costs."""
    ends = overs[:, None] + sums[None, :]
    costs = np.where((ends >= 0) & (ends <= width), ends + prices[None, :], _NEVER)
    cheapest: Floats = costs.min(axis=1)
    return cheapest


def reservation(costs: Floats, likely: Floats, retry: float) -> float:
    """Give the cost R at which the expected saving below it, sum of likely * (R - cost), is `retry`.

    Args:
        costs: In rising order.
        likely: How likely each is.
        retry: What one more try costs.

    Returns:
        The price; what is cheaper is worth stopping at.
    """
    chance, spent = np.cumsum(likely), np.cumsum(likely * costs)
    within = int(np.searchsorted(costs * chance - spent, retry))
    last = min(max(within, 1), len(costs)) - 1
    return float((retry + spent[last]) / max(float(chance[last]), 1.0 / _NEVER))
