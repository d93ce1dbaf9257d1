"""Say how a scale's indicator smears a load over time, as matrices for a whole set of responses at once.

A moving average and a one-pole filter are the two an indicator commonly has (common practice, no
published source). Time runs in periods, one for each reading.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SWING_HZ: Final = 12.0
"""A bench platform swings at about this (8 to 20 Hz; common practice, no published source)."""

_WHOLE: Final = 1e-6

_TAIL: Final = 5.3
"""After so many time constants one pole has a two-hundredth to go: the natural logarithm of 200."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleResponse:
    """How a scale follows the load on it."""

    average_s: float
    """Length of a moving average; 0 for none."""

    pole_s: float
    """Time constant of one pole behind it; 0 for none."""

    def lag_periods(self, period_s: float) -> int:
        """Give how many periods after a change the scale shows the load, to half a division of 100."""
        return ceil((self.average_s + _TAIL * self.pole_s) / period_s - _WHOLE)

    @property
    def swing(self) -> float:
        """Get how much of the platform's swinging gets through, from nothing to 1."""
        turns = np.pi * _SWING_HZ * self.average_s
        averaged = min(1.0, 1.0 / turns) if turns else 1.0
        return float(averaged / np.hypot(1.0, 2 * np.pi * _SWING_HZ * self.pole_s))


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseSet:
    """Several responses as linear systems of one shape.

    A state holds the mean load over the last stretches of time, newest first, and at its end what the
    scale shows. Where an average is no whole number of periods long, each period is parted in two where
    the average begins, so that the stretches add up to it exactly.
    """

    responses: tuple[ScaleResponse, ...]
    period_s: float
    carry: Array
    """(responses, states, states): a period later, if the load stays what it was."""

    wander: Array
    """(responses, states, states): what a wander of the load of variance 1 adds."""

    parts: NDArray[np.int_]
    """(responses): stretches in a period, 1 or 2."""

    swing: Array
    """(responses): how much of the platform's swinging gets through."""

    @property
    def states(self) -> int:
        """Get the length of a state."""
        return int(self.carry.shape[-1])


def response_set(responses: Sequence[ScaleResponse], period_s: float) -> ResponseSet:
    """Write responses as linear systems.

    Args:
        responses: At least one.
        period_s: Seconds between two readings.
    """
    weights = [_weights(each.average_s / period_s) for each in responses]
    states = max(len(each) for each, _ in weights) + 1
    systems = [
        _system(np.array(each), parts, _kept(response, period_s), states)
        for (each, parts), response in zip(weights, responses, strict=True)
    ]
    return ResponseSet(
        responses=tuple(responses),
        period_s=period_s,
        carry=np.array([carry for carry, _ in systems]),
        wander=np.array([wander for _, wander in systems]),
        parts=np.array([parts for _, parts in weights]),
        swing=np.array([each.swing for each in responses]),
    )


def _kept(response: ScaleResponse, period_s: float) -> float:
    return float(np.exp(-period_s / response.pole_s)) if response.pole_s else 0.0


def _weights(periods: float) -> tuple[list[float], int]:
    """Give the weight of each stretch in an average of so many periods, and stretches a period."""
    whole = int(periods + _WHOLE)
    rest = periods - whole
    if whole == 0:
        return [1.0], 1
    if rest < _WHOLE:
        return [1.0 / whole] * whole, 1
    return [each / periods for each in [rest, 1.0 - rest] * whole + [rest]], 2


def _system(weights: Array, parts: int, kept: float, states: int) -> tuple[Array, Array]:
    """Give how a state is carried on, and what the load's wander adds to it."""
    shift = np.zeros((states, states))
    shift[:parts, 0] = 1.0
    shift[range(parts, states - 1), range(states - 1 - parts)] = 1.0
    shift[-1, -1] = kept
    show = np.eye(states)
    show[-1, : len(weights)] = (1.0 - kept) * weights
    moved = np.zeros((states, states))
    # The load may wander at the begin of each part; what comes later in the period has both wanders.
    for newest in range(1, parts + 1):
        moved[:newest, :newest] += 1.0 / parts
    return show @ shift, show @ moved @ show.T
