"""Tell when the load on a scale rests, and at what level, from readings that lag behind it.

The load either is *quiet*, exactly constant, or *touched*, wandering. Each hypothesis is one history
of these two and one response of the scale; given both, a Kalman filter knows the load best. A beam of
hypotheses is followed, the likeliest first: a switching Kalman filter (text-book, from memory:
Bar-Shalom, Li and Kirubarajan, Estimation with Applications to Tracking and Navigation, 2001,
chapter 11). All numbers are divisions of the scale and periods of its readings.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from shedstation.domain.fruit.fruit_guess import FruitGuess
from shedstation.domain.fruit.hypotheses import Beam, Branches, Places, best_of_each, shared_out
from shedstation.domain.fruit.scale_response import Array, ResponseSet

_HOPELESS: Final = 40.0
"""A hypothesis e to this power less likely than the best of its response is dropped."""

_ALIKE: Final = 12
"""Hypotheses that agree in so many last periods are one: the likelier stays."""

_SETTLED_S: Final = 2.0
"""What is older is settled: the likeliest history's word."""

_TOUCH: Final = 0.031
_TOUCH_LASTS: Final = 0.65
"""Chance in a tenth of a second that a load at rest is touched, and that a touch goes on."""

_QUIET_S: Final = 0.2
"""A load that is quiet is so for longer than this."""

_STILL_D: Final = 0.049
_GENTLE_G: Final = 210.0
_STRONG_G: Final = 688.0
_STRONGLY: Final = 0.69
"""How far a load at rest creeps in a tenth of a second, how far a gentle and a strong touch move it, and
the share of strong ones."""

_NOISE_D2: Final = 0.074
"""Variance of a reading at rest; rounding alone gives a twelfth."""

_RINGS_G: Final = 94.0
_RINGS_ON: Final = 0.66
"""How far the platform still swings when a touch ends, and what is left a tenth of a second later."""

_RING_PERIODS: Final = 8
_TENTH_S: Final = 0.1
_START_D: Final = 0.3
_ANY_D: Final = 1e5


class LoadFilter:
    """Follow the load behind a scale's readings, one reading a period."""

    def __init__(
        self,
        responses: ResponseSet,
        division_g: float,
        *,
        start: float | None,
    ) -> None:
        """Start with a load at rest.

        Args:
            responses: The responses the scale may have.
            division_g: Grams of a division.
            start: The load, in divisions; none if it is not known.
        """
        self.guess: FruitGuess | None = None
        """What a fruit is expected to weigh; without it every level is as likely."""

        self._set, self._responses = responses, len(responses.responses)
        tenths = responses.period_s / _TENTH_S
        self._window = max(2, round(_SETTLED_S / responses.period_s))
        self._least_quiet = max(1, round(_QUIET_S / responses.period_s))
        moves = np.array([_STILL_D, _GENTLE_G / division_g, _STRONG_G / division_g])
        self._wander = moves**2 * tenths
        self._chances = _chances(1 - (1 - _TOUCH) ** tenths, _TOUCH_LASTS**tenths)
        rings = (_RINGS_G / division_g) * responses.swing[:, None]
        self._rings = (rings * _RINGS_ON ** (tenths * np.arange(_RING_PERIODS))) ** 2
        self._rings[:, -1] = 0.0
        count, states = self._responses, responses.states
        doubt = _START_D if start is not None else _ANY_D
        start = 0.0 if start is None else start
        self._beam = Beam(
            mean=np.full((count, states), start),
            spread=np.full((count, states, states), doubt**2),
            score=np.zeros(count),
            response=np.arange(count),
            touched=np.zeros(count, dtype=np.int64),
            quiet=np.full(count, _RING_PERIODS),
            rested=np.full(count, start),
            levels=np.full((count, self._window), start),
        )
        self._heard = 0
        self._settled: list[tuple[bool, float]] = []

    def hear(self, shown: float | None) -> None:
        """Go on by a period.

        Args:
            shown: What the scale showed, in divisions; none if no reading came.
        """
        beam = self._beam
        carry = self._set.carry[beam.response]
        ahead = np.einsum("hij,hj->hi", carry, beam.mean)
        spread = carry @ beam.spread @ carry.transpose(0, 2, 1)
        branch = Branches(
            ahead=ahead,
            spread=spread,
            wander=self._set.wander[beam.response],
            moves=self._wander,
            noise=self._noise(beam),
            shown=shown,
        )
        scores = beam.score + branch.likelihood() + self._prior(beam)
        kept = self._pick(scores.ravel())
        parent, mode = kept % len(beam.score), kept // len(beam.score)
        self._take(beam, branch, parent, mode, scores.ravel()[kept])
        self._heard += 1
        # While responses are compared, none may lose its say because another thinks differently.
        if self._heard >= self._window and self._responses == 1:
            self._settle()

    def _noise(self, beam: Beam) -> Array:
        """Give each branch's variance of a reading: (modes, hypotheses)."""
        place = np.minimum(beam.quiet + 1, _RING_PERIODS - 1)
        quiet = _NOISE_D2 + self._rings[beam.response, place]
        touched = _NOISE_D2 + self._rings[beam.response, 0]
        return np.stack([quiet, touched, touched])

    def _prior(self, beam: Beam) -> Array:
        was_touched = (beam.touched & 1).astype(int)
        prior: Array = self._chances[was_touched].T.copy()
        too_short = (was_touched == 0) & (beam.quiet < self._least_quiet)
        prior[1:, too_short] = -np.inf
        return prior

    def _pick(self, scores: Array) -> Places:
        """Choose the branches to follow: the likeliest of those that are alike, some of each response."""
        beam, count = self._beam, len(self._beam.score)
        order = np.argsort(-scores, kind="stable")
        best = best_of_each(scores, beam.response[np.arange(len(scores)) % count], self._responses)
        hopeless = best[beam.response[order % count]] - _HOPELESS
        order = order[scores[order] > hopeless]
        parent, touched = order % count, (order >= count).astype(np.int64)
        recent = ((beam.touched[parent] << 1) | touched) & ((1 << _ALIKE) - 1)
        response = beam.response[parent]
        _, first = np.unique((response.astype(np.int64) << _ALIKE) | recent, return_index=True)
        order = order[np.sort(first)]
        kept: Places = order[shared_out(beam.response[order % count], self._responses)]
        return kept

    def _take(
        self,
        before: Beam,
        branch: Branches,
        parent: Places,
        mode: Places,
        score: Array,
    ) -> None:
        mean, spread = branch.update(parent, mode)
        is_touch = mode > 0
        old = before.rows(parent)
        quiet = np.where(is_touch, 0, old.quiet + 1)
        leaves = is_touch & (old.quiet >= self._least_quiet)
        rested = np.where(leaves, old.mean[:, 0], old.rested)
        levels = np.concatenate([mean[:, :1], old.levels[:, :-1]], axis=1)
        response = before.response[parent]
        self._refine_levels(levels, mean, response)
        new = (~is_touch) & (quiet == self._least_quiet)
        if self.guess is not None and new.any():
            step, doubt = mean[new, 0] - rested[new], spread[new, 0, 0]
            score[new] += self.guess.worth(step, doubt)
        touched = (old.touched << 1) | is_touch
        beam = Beam(mean, spread, score, response, touched, quiet, rested, levels)
        self._beam = beam.rows(np.argsort(-score, kind="stable"))

    def _refine_levels(self, levels: Array, mean: Array, response: Places) -> None:
        """Take over what a state now says of the periods it still holds."""
        for parts in (1, 2):
            rows = np.flatnonzero(self._set.parts[response] == parts)
            held = mean[rows, :-1:parts][:, : self._window]
            levels[rows, : held.shape[1]] = held

    def _settle(self) -> None:
        """Take the likeliest history's word for the oldest period; drop those that gainsay it."""
        beam = self._beam
        touched = (beam.touched >> self._window - 1) & 1
        self._settled.append((not touched[0], float(beam.levels[0, -1])))
        if (agrees := touched == touched[0]).all():
            return
        self._beam = beam.rows(np.flatnonzero(agrees))

    def take_settled(self) -> list[tuple[bool, float]]:
        """Give whether the load was at rest, and the load, for each period settled since the last call.

        None is kept here, however long a load lies on the pan.
        """
        taken, self._settled = self._settled, []
        return taken

    def unsettled(self) -> Iterator[tuple[bool, float]]:
        """Give the same for the last periods, as it seems now."""
        beam = self._beam
        for ago in range(min(self._heard, self._window - 1) - 1, -1, -1):
            yield not (int(beam.touched[0]) >> ago) & 1, float(beam.levels[0, ago])

    def scores(self) -> Array:
        """Give the logarithm of how likely each response is, (responses)."""
        return best_of_each(self._beam.score, self._beam.response, self._responses)


def _chances(touch: float, touch_lasts: float) -> Array:
    """Give the logarithm of the chance of each mode, by whether the load was touched before."""
    strong = np.array([1.0, 1.0 - _STRONGLY, _STRONGLY])
    at_rest = np.array([1.0 - touch, touch, touch]) * strong
    moving = np.array([1.0 - touch_lasts, touch_lasts, touch_lasts]) * strong
    return np.asarray(np.log(np.stack([at_rest, moving])))
