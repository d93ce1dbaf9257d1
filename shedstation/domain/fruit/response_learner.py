"""Learn how a scale follows the load, from a load that was put on and the fruit after it.

Every response of a set explains the same readings; the one that explains them best is what the scale
does. The load is unknown too, so only how well a response fits with times of rest tells them apart.
The work is spread out: a few readings are gone through at each new one.
"""

from collections import deque
from collections.abc import Generator, Iterable, Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np

from shedstation.domain.fruit.beats import ENOUGH, GAP_S, Beats
from shedstation.domain.fruit.load_filter import LoadFilter
from shedstation.domain.fruit.scale_response import ScaleResponse, response_set

_AVERAGES_S: Final = (0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
_POLES_S: Final = (0.03, 0.06, 0.09, 0.12, 0.16, 0.2, 0.3, 0.4, 0.55, 0.75)
_BOTH: Final = tuple(product((0.2, 0.4, 0.6), (0.08, 0.2)))
"""The responses tried first."""

_FINER: Final = (0.5, 0.25, 0.125, 0.06)
"""Then those beside the best, by these parts of the distance between those tried first."""

_KEPT_S: Final = 8.0
"""So long a stretch of readings is explained."""

_LEAST: Final = 20
"""No fewer than so many are."""

_MOVED_D: Final = 40
"""A load that moved by no more divisions than this tells nothing."""

_AFTER_S: Final = 1.0
"""A box is learned from so long after its tare: before, the tail of a slow filter would be missing."""

_BOXES: Final = 3
"""So many boxes are learned from together."""

_AT_ONCE: Final = 4
"""So many readings are gone through at each new one."""

_UNLIKELY: Final = 8.0
"""An indicator that has both an average and a pole must explain the readings by so much better (logarithm
of the likelihood; our rule)."""


def first_responses() -> list[ScaleResponse]:
    """Give the responses that are tried first."""
    alone = [
        (0.0, 0.0),
        *((each, 0.0) for each in _AVERAGES_S),
        *((0.0, each) for each in _POLES_S),
    ]
    return [ScaleResponse(average_s=average, pole_s=pole) for average, pole in (*alone, *_BOTH)]


def beside(best: ScaleResponse, finer: float) -> list[ScaleResponse]:
    """Give a response and those around it.

    Args:
        best: The response.
        finer: How far, as a part of the distance between those tried first.
    """
    averages = {max(0.0, best.average_s + each * 0.1 * finer) for each in (-1, 0, 1)}
    step = max(0.04, 0.35 * best.pole_s) * finer
    poles = {max(0.0, best.pole_s + each * step) for each in (-1, 0, 1)}
    return [
        ScaleResponse(average_s=average, pole_s=pole)
        for average, pole in product(sorted(averages), sorted(poles))
    ]


_Stretch = Sequence[tuple[float, float]]
"""Seconds and shown divisions of readings without a gap."""


class ResponseLearner:
    """Learns the response of one scale from the boxes that are put on it."""

    def __init__(self, division_g: float) -> None:
        """Start with nothing known.

        Args:
            division_g: Grams of a division.
        """
        self.response: ScaleResponse | None = None
        """The response, as far as known."""

        self._division_g = division_g
        self._heard: deque[tuple[float, float]] = deque()
        self._puts: deque[_Stretch] = deque(maxlen=_BOXES)
        self._moves: deque[_Stretch] = deque(maxlen=_BOXES)
        self._put_s: float | None = None
        """From this second on the box that was put on can be learned from."""

        self._moved_s: float | None = None
        """From this second on the first fruit in it can be."""

        self._work: Iterator[None] | None = None
        self._is_settled = False

    def hear(self, at_s: float, divisions: float) -> None:
        """Take in the load that the scale shows, in divisions."""
        if self._is_settled:
            return
        heard = self._heard
        if heard and at_s - heard[-1][0] > GAP_S:
            heard.clear()
        heard.append((at_s, divisions))
        while at_s - heard[0][0] > _KEPT_S:
            heard.popleft()
        if self._put_s is not None and at_s >= self._put_s:
            self._put_s, self._moved_s = None, at_s + _KEPT_S
            self._take_put()
        elif self._moved_s is not None and at_s >= self._moved_s and self._work is None:
            self._moved_s = None
            self._take_moves()

    def tared(self, at_s: float) -> None:
        """Learn from the box that was put on, once the scale came to rest with it."""
        self._put_s, self._moved_s = at_s + _AFTER_S, None

    def _take_put(self) -> None:
        shown = [divisions for _, divisions in self._heard]
        if len(shown) >= _LEAST and max(shown) - min(shown) > _MOVED_D:
            self._puts.append(tuple(self._heard))
            known = self.response
            self._work = self._learn([known] if known else first_responses())

    def _take_moves(self) -> None:
        """Learn a little more from the first fruit of a box."""
        if self.response is not None and len(self._heard) >= _LEAST:
            self._moves.append(tuple(self._heard))
            self._work = self._learn([self.response])

    def work(self) -> bool:
        """Go on learning a little; tell whether the response is known better now."""
        before = self.response
        for _ in range(_AT_ONCE):
            if self._work is not None and next(self._work, self) is self:
                self._work = None
        return self.response is not before

    def _learn(self, responses: Sequence[ScaleResponse]) -> Iterator[None]:
        """Try responses, then finer ones beside the best; give way after each reading."""
        best = responses[0]
        if len(responses) > 1:
            best = yield from self._best(responses, self._puts)
        for finer in _FINER if len(responses) > 1 else _FINER[1:]:
            best = yield from self._best(beside(best, finer), [*self._puts, *self._moves])
        self._is_settled = len(self._puts) == _BOXES and len(self._moves) > 1
        self.response = best

    def _best(
        self, responses: Sequence[ScaleResponse], stretches: Iterable[_Stretch]
    ) -> Generator[None, None, ScaleResponse]:
        """Explain what was heard by each response; give the one that does so best."""
        both = [each.average_s > 0 and each.pole_s > 0 for each in responses]
        scores = np.where(both, -_UNLIKELY, 0.0)
        for heard in stretches:
            beats = Beats([at_s for at_s, _ in heard[:ENOUGH]])
            among = response_set(responses, beats.period_s)
            tried = LoadFilter(among, self._division_g, start=None)
            for at_s, divisions in heard:
                for _, shown in beats.periods(at_s, divisions):
                    tried.hear(shown)
                yield
            scores += tried.scores()
        return responses[int(np.argmax(scores))]
