"""A scale with a scripted display at one end of a cable, in virtual time."""

from collections.abc import Callable, Sequence
from typing import Protocol

from matrix.displays import stamped
from uart import Line, Noise, Receiver, Setting

from shedstation.devices.capture import Chunk
from shedstation.devices.practice.voices.shown import Shown

LATENCY_S = 0.016
"""A converter hands bytes over in lots this far apart; common practice, no published source."""


class Speaks(Protocol):
    """The side of a scale that is on the line."""

    def hear(self, data: bytes) -> None: ...

    def say(self, shown: Shown) -> list[bytes]: ...


class WireScale:
    """Shows one display after the other and sends what its speaker says."""

    def __init__(
        self,
        speaker: Speaks,
        setting: Setting,
        displays: Sequence[Shown],
        period_s: float,
        *,
        before: Callable[[int, Shown], object] = lambda *_: None,
        noise: Noise | None = None,
    ) -> None:
        """Start at second 0; what is shown last is followed by the first.

        `before` is called with each update's number and display, before anything is said of it.
        """
        self.to_host, self.from_host = Line(noise=noise), Line()
        self.setting = setting
        self.period_s = period_s
        self.sent: list[Shown] = []
        self._speaker = speaker
        self._displays = displays
        self._before = before
        self._ear = Receiver(self.from_host, setting)
        self._number = 0

    @property
    def next_s(self) -> float:
        return (self._number + 1) * self.period_s

    def play(self, until_s: float) -> None:
        """Let time pass."""
        while self.next_s <= until_s:
            at_s = self.next_s
            shown = self._displays[self._number % len(self._displays)]
            self._before(self._number, shown)
            self._speaker.hear(bytes(byte for _, byte in self._ear.received(at_s)))
            for frame in self._speaker.say(stamped(shown, at_s)):
                self.to_host.send(self.setting, at_s, frame)
                self.sent.append(shown)
            self._number += 1


def chunks_of(line: Line, setting: Setting) -> list[Chunk]:
    """Give everything a line carries as a port of that setting hands it over."""
    chunks: list[Chunk] = []
    data = bytearray()
    first_s = 0.0
    for at_s, byte in Receiver(line, setting).received(float(2**31)):
        if data and at_s - first_s > LATENCY_S:
            chunks.append(Chunk(first_s + LATENCY_S, bytes(data)))
            data.clear()
        first_s = first_s if data else at_s
        data.append(byte)
    return [*chunks, Chunk(first_s + LATENCY_S, bytes(data))] if data else chunks


def period_of(setting: Setting, longest: int) -> float:
    """Give how often a scale sends frames of a length: ten times a second, if the line can carry it."""
    return max(0.1, 1.2 * setting.seconds(longest))
