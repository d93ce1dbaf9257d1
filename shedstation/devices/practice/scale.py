"""Simulate a bench scale, so that everything can be tried and tested with no hardware.

The signal is a first-order answer to the load with a little noise while it moves: invented numbers
of a usual size, good for practice, not a model to learn about real scales from.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random
from typing import Final

from shedstation.devices.practice.sending import Sending, Speaker
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.table import voice
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

_ANSWER_S: Final = 0.18
_QUIET_S: Final = 0.35
_OVER_DIVISIONS: Final = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeSetup:
    """What the practice scale is like."""

    voice: str = "status-comma"
    sending: Sending = Sending.STREAM
    division: Mass = field(default_factory=lambda: Mass(1, 2, Unit.LB))
    capacity: Mass = field(default_factory=lambda: Mass(6000, 2, Unit.LB))
    period_s: float = 0.1
    has_mode: bool = True
    """Whether its tare key shows as net; without, the key just zeroes the display."""

    @property
    def unit(self) -> Unit:
        """Get the unit it shows."""
        return self.division.unit


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
        self._speaker = Speaker(voice(setup.voice), setup.sending)

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

    def press_print(self) -> None:
        """Press the scale's print key."""
        self._speaker.press_print()

    def hear(self, data: bytes) -> None:
        """Take bytes sent to the scale; it answers with its next frame if they are a question."""
        self._speaker.hear(data)

    def frames_until(self, to_s: float) -> list[tuple[float, bytes]]:
        """Give the frames sent up to a second, each with its time."""
        return [
            (at_s, frame)
            for at_s, shown in self.displays_until(to_s)
            for frame in self._speaker.say(shown)
        ]

    def displays_until(self, to_s: float) -> Iterator[tuple[float, Shown]]:
        """Give what the display shows, update by update, up to a second."""
        while self._next_s <= to_s:
            yield round(self._next_s, 6), self._display()
            self._next_s += self.setup.period_s

    def _display(self) -> Shown:
        step = min(1.0, self.setup.period_s / _ANSWER_S)
        self._felt += (self._load - self._felt) * step
        settled = abs(self._felt - self._load) < 0.5  # noqa: PLR2004  # half a division
        if settled and self._next_s - self._moved_s >= _QUIET_S:
            self._felt = self._load
            return self._shown(round(self._load) - self._hidden, State.STEADY)
        shown = round(self._felt + self._noise.uniform(-0.6, 0.6)) - self._hidden
        return self._shown(shown, State.MOVING)

    def _shown(self, divisions: int, state: State) -> Shown:
        is_over = self._load * self.setup.division.count > self._most()
        return Shown(
            mass=self.setup.division * divisions,
            state=State.OVER if is_over else state,
            mode=self._mode,
            tare=self.setup.division * self._hidden if self._mode is Mode.NET else None,
            at_s=self._next_s,
        )

    def _most(self) -> int:
        capacity = self.setup.capacity.with_decimals(self.setup.division.decimals)
        return capacity.count + _OVER_DIVISIONS * self.setup.division.count
