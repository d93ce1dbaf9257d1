"""Hold hypotheses of what the load did, one a row of every array, and carry them on by a reading."""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from shedstation.domain.fruit.scale_response import Array

Places = NDArray[np.int_]

_BEAM: Final = 60
_FOR_EACH: Final = 6
"""So many hypotheses are followed, and of each response at least so many while they are compared."""


@dataclass(frozen=True, slots=True)
class Beam:
    """Hypotheses, the likeliest first."""

    mean: Array
    """The state, see `ResponseSet`."""

    spread: Array
    """Its covariance."""

    score: Array
    """Logarithm of the likelihood."""

    response: Places
    """Which of the set's responses."""

    touched: NDArray[np.int64]
    """Last periods as bits, the newest lowest: 1 was touched."""

    quiet: Places
    """Periods since the last touch."""

    rested: Array
    """The level at rest before the last touch."""

    levels: Array
    """The load in the last periods, newest first, as far as known by now."""

    def rows(self, chosen: Places) -> "Beam":
        """Give the hypotheses at these places."""
        return Beam(*(getattr(self, each.name)[chosen] for each in fields(self)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Branches:
    """Every hypothesis carried on as quiet, gently and strongly touched."""

    ahead: Array
    """The state if the load stays."""

    spread: Array
    """Its covariance."""

    wander: Array
    """What a wander of variance 1 adds to it."""

    moves: Array
    """(modes): variance of the wander: at rest, gently and strongly touched."""

    noise: Array
    """(modes, hypotheses): variance of the reading."""

    shown: float | None
    """The reading, in divisions; none if none came."""

    def likelihood(self) -> Array:
        """Give the logarithm of how likely the reading is in each: (modes, hypotheses)."""
        if self.shown is None:
            return np.zeros_like(self.noise)
        shown_spread = self.spread[:, -1, -1] + self.moves[:, None] * self.wander[:, -1, -1]
        spread = shown_spread + self.noise
        return -0.5 * (np.log(spread) + (self.shown - self.ahead[:, -1]) ** 2 / spread)

    def update(self, parent: Places, mode: Places) -> tuple[Array, Array]:
        """Give the states and covariances of the branches chosen."""
        spread = self.spread[parent] + self.moves[mode, None, None] * self.wander[parent]
        ahead = self.ahead[parent]
        if self.shown is None:
            return ahead, spread
        shown = spread[:, :, -1]
        gain = shown / (shown[:, -1] + self.noise[mode, parent])[:, None]
        mean = ahead + gain * (self.shown - ahead[:, -1])[:, None]
        return mean, spread - gain[:, :, None] * shown[:, None, :]


def best_of_each(score: Array, response: Places, responses: int) -> Array:
    """Give the best score of each response, (responses)."""
    best = np.full(responses, -np.inf)
    np.maximum.at(best, response, score)
    return best


def shared_out(response: Places, responses: int) -> Places:
    """Choose whom to follow of hypotheses in order: the first few of each response."""
    if len(response) <= _BEAM:
        return np.arange(len(response))
    by_response = np.argsort(response, kind="stable")
    counts = np.bincount(response, minlength=responses)
    starts = np.repeat(np.cumsum(counts) - counts, counts)
    rank = np.empty(len(response), dtype=int)
    rank[by_response] = np.arange(len(response)) - starts
    alive = int((counts > 0).sum())
    return np.flatnonzero(rank < max(_FOR_EACH, _BEAM // alive))
