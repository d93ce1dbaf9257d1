"""Say how likely a step from one level at rest to the next is, by what single fruit weigh."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from shedstation.domain.fruit.scale_response import Array

_SAME: Final = 0.2
_ONE: Final = 0.55
_TWO: Final = 0.06
_OUT: Final = 0.04
_OTHER: Final = 0.021
"""How often a new level is the old one again, a fruit more, two more, one less, or anything else: it
only weighs one way to read the scale against another (our rule, from simulation)."""

_SAME_D: Final = 0.44
_OTHER_UP_TO: Final = 8

_WORTH: Final = 3.0
"""What a level is worth in itself (logarithm of the likelihood; our rule, from simulation)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitGuess:
    """What single fruit are expected to weigh, in divisions."""

    usual: float
    spread: float

    def worth(self, step: Array, doubt: Array) -> Array:
        """Give what levels add to the logarithm of the likelihood.

        Args:
            step: From the level before, in divisions.
            doubt: The variance of the level, as far as it is known.
        """

        def around(middle: float, spread: float) -> Array:
            variance = spread**2 + doubt
            bell = np.exp(-((step - middle) ** 2) / (2 * variance))
            return np.asarray(bell / np.sqrt(2 * np.pi * variance))

        likely = (
            _SAME * around(0.0, _SAME_D)
            + _ONE * around(self.usual, self.spread)
            + _TWO * around(2 * self.usual, float(np.sqrt(2)) * self.spread)
            + _OUT * around(-self.usual, self.spread)
            + _OTHER / (_OTHER_UP_TO * self.usual)
        )
        return np.asarray(np.log(likely) + _WORTH)
