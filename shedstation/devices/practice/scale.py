"""Simulate a bench scale, so that everything can be tried and tested with no hardware.

The signal is a first-order answer to the load with a little noise while it moves: invented numbers
of a usual size, good for practice, not a model to learn about real scales from.
"""

from dataclasses import dataclass, field
from random import Random
from typing import Final

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode

_ANSWER_S: Final = 0.18
_QUIET_S: Final = 0.35
_OVER_DIVISIONS: Final = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeSetup:
    """What the practice scale is like."""

    language: str = "status-comma"
    unit: Unit = Unit.LB
    division: Mass = field(default_factory=lambda: Mass(1, 2, Unit.LB))
    capacity: Mass = field(default_factory=lambda: Mass(6000, 2, Unit.LB))
    period_s: float = 0.1
    has_mode: bool = True
    """Whether its tare key shows as net; without, the key just zeroes the display."""


class PracticeScale:
    """A scale whose load is moved by calls and whose bytes come with time."""

    def __init__(self, setup: PracticeSetup, noise: Random) -> None:
        """Start with an empty pan at second 0."""
        self.setup = setup
        self._noise = noise
        self._load = 0.0
        self._felt = 0.0
        self._hidden = 0
        self._mode = Mode.GROSS
        self._next_s = 0.0
        self._moved_s = -_QUIET_S
        self.unit = setup.unit

    @property
    def load(self) -> float:
        """Get the load on the pan in divisions."""
        return self._load

    def put(self, mass: Mass) -> None:
        """Put something on the pan."""
        self._move(mass.count * 10 ** (self.setup.division.decimals - mass.decimals))

    def take(self, mass: Mass) -> None:
        """Take something off the pan."""
        self.put(-mass)

    def clear(self) -> None:
        """Take everything off the pan."""
        self._move(-self._load * self.setup.division.count)

    def _move(self, counts: float) -> None:
        self._load += counts / self.setup.division.count
        self._moved_s = self._next_s

    def press_tare(self) -> None:
        """Press the scale's tare key: it hides the load; on an empty net pan it shows gross again."""
        if self._is_moving():
            return
        if self._mode is Mode.NET and abs(self._load) < 1:
            self._hidden, self._mode = 0, Mode.GROSS
            return
        self._hidden = round(self._load)
        self._mode = Mode.NET if self.setup.has_mode else Mode.GROSS

    def press_zero(self) -> None:
        """Press the scale's zero key: it hides the load without a word."""
        if self._is_moving():
            return
        self._hidden, self._mode = round(self._load), Mode.GROSS

    def _is_moving(self) -> bool:
        """Tell whether the load still moves: a scale takes no tare and no zero then."""
        return self._next_s - self._moved_s < _QUIET_S or self._felt != self._load

    def shake(self) -> None:
        """Let a hand touch the pan."""
        self._moved_s = self._next_s
        self._felt += self._noise.uniform(20, 60)

    def frames_until(self, to_s: float) -> list[tuple[float, bytes]]:
        """Give the frames sent up to a second, each with its time."""
        frames = []
        while self._next_s <= to_s:
            frames.append((round(self._next_s, 6), self._frame()))
            self._next_s += self.setup.period_s
        return frames

    def _frame(self) -> bytes:
        step = min(1.0, self.setup.period_s / _ANSWER_S)
        self._felt += (self._load - self._felt) * step
        settled = abs(self._felt - self._load) < 0.5  # noqa: PLR2004  # half a division
        if settled and self._next_s - self._moved_s >= _QUIET_S:
            self._felt = self._load
            return self._written(round(self._load) - self._hidden, steady=True)
        shown = round(self._felt + self._noise.uniform(-0.6, 0.6)) - self._hidden
        return self._written(shown, steady=False)

    def _written(self, divisions: int, *, steady: bool) -> bytes:
        over = self._load * self.setup.division.count > self._most()
        mass = self.setup.division * divisions
        write = {
            "status-comma": self._status_comma,
            "fixed-columns": self._fixed_columns,
            "pounds-ounces": self._pounds_ounces,
        }[self.setup.language]
        return write(mass, steady=steady, over=over) + b"\r\n"

    def _most(self) -> int:
        capacity = self.setup.capacity.with_decimals(self.setup.division.decimals)
        return capacity.count + _OVER_DIVISIONS * self.setup.division.count

    def _status_comma(self, mass: Mass, *, steady: bool, over: bool) -> bytes:
        mode = "NT" if self._mode is Mode.NET else "GS"
        if over:
            return f"OL,{mode},+9999999{self.unit.value}".encode("ascii")
        header = "ST" if steady else "US"
        sign = "-" if mass.count < 0 else "+"
        return f"{header},{mode},{sign}{abs(mass).number():>7}{self.unit.value}".encode("ascii")

    def _fixed_columns(self, mass: Mass, *, steady: bool, over: bool) -> bytes:
        if over:
            return b"  ^^^^^^  "
        mark = "S" if steady else " "
        return f"{mass.number():>9} {self.unit.value} {mark}".encode("ascii")

    def _pounds_ounces(self, mass: Mass, *, steady: bool, over: bool) -> bytes:
        del steady
        if over:
            return b"  ^^^^^^  "
        ounces = Mass(mass.count, mass.decimals, Unit.LB_OZ)
        return f"{ounces!s:>16}".encode("ascii")
