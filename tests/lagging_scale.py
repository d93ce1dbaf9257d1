"""A scale that swings, lags and rounds, for packers who look at the screen before their next move.

The model is that of `signal_simulation`, moment by moment: what comes next is not known beforehand.
"""

import math
from dataclasses import dataclass, field
from random import Random
from typing import Final

from signal_simulation import HZ, NOISE_D, PLATFORM_DAMPING, PLATFORM_HZ

_SWING: Final = 2 * math.pi * PLATFORM_HZ
_RAMP_S: Final = 0.08


@dataclass(kw_only=True)
class LaggingScale:
    """The load on a platform, and what its display makes of it."""

    division_g: float
    pole_s: float
    dice: Random
    now_s: float = 0.0
    _loads: list[tuple[float, float]] = field(default_factory=list)
    _presses: list[tuple[float, float, float]] = field(default_factory=list)
    _at: float = 0.0
    _speed: float = 0.0
    _shown: float = 0.0

    def put(self, grams: float) -> None:
        """Put something on now, or take it off if it is below nothing."""
        self._loads.append((self.now_s, grams))
        if grams > 0:
            self.press(0.06, grams * self.dice.uniform(0.3, 2.0))

    def press(self, lasts_s: float, grams: float) -> None:
        """Let a hand press from now on."""
        self._presses.append((self.now_s, lasts_s, grams))

    def clear(self) -> None:
        """Take everything off."""
        self._loads.clear()

    def reading(self, period_s: float = 0.1) -> int:
        """Let a period pass and give what the display shows, in divisions."""
        for _ in range(round(period_s * HZ)):
            self._step()
        return round(self._shown / self.division_g + self.dice.gauss(0.0, NOISE_D))

    def _step(self) -> None:
        self.now_s += 1 / HZ
        pull = _SWING**2 * (self._load() - self._at) - 2 * PLATFORM_DAMPING * _SWING * self._speed
        self._speed += pull / HZ
        self._at += self._speed / HZ
        self._shown += (self._at - self._shown) * (1 - math.exp(-1 / (HZ * self.pole_s)))

    def _load(self) -> float:
        now = self.now_s
        resting = sum(g * min(1.0, (now - at) / _RAMP_S) for at, g in self._loads)
        pressing = (
            g * math.sin(math.pi * (now - at) / lasts)
            for at, lasts, g in self._presses
            if now < at + lasts
        )
        return resting + sum(pressing)
