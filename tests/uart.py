"""A serial line at bit level, in virtual time: bytes become levels, and levels become bytes again.

Time is counted in whole parts of a second of which every usual speed has a whole number in half a bit, so
that nothing is rounded. The line is idle high; a frame is a low start bit, the data bits (lowest first),
a parity bit if there is one, and high stop bits.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from random import Random

TICKS = 230_400
"""Parts of a second; half a bit at 115 200 baud is one."""


def ticks(at_s: float) -> int:
    return round(at_s * TICKS)


@dataclass(frozen=True)
class Setting:
    """How one end of a line is set."""

    baud: int = 9600
    bits: str = "8N1"
    """Data bits, parity (N, E, O), stop bits."""

    @property
    def bit_ticks(self) -> int:
        return TICKS // self.baud

    @property
    def data_bits(self) -> int:
        return int(self.bits[0])

    @property
    def parity(self) -> str:
        return self.bits[1]

    @property
    def frame_bits(self) -> int:
        return 1 + self.data_bits + (self.parity != "N") + int(self.bits[2])

    def seconds(self, count: int) -> float:
        """Tell how long so many bytes take."""
        return count * self.frame_bits / self.baud


@cache
def levels(byte: int, bits: str) -> tuple[int, ...]:
    """Give the level of each bit of a frame, start and stop included."""
    count = int(bits[0])
    data = [byte >> place & 1 for place in range(count)]
    parity = {"N": [], "E": [sum(data) % 2], "O": [1 - sum(data) % 2]}[bits[1]]
    return (0, *data, *parity, *[1] * int(bits[2]))


def _changes(bits: Iterable[int]) -> tuple[int, ...]:
    """Give the bit numbers at which the level changes, from idle to idle."""
    before, changes = 1, []
    number = -1
    for number, level in enumerate(bits):
        if level != before:
            changes.append(number)
            before = level
    return (*changes, number + 1) if before == 0 else tuple(changes)


@cache
def _changes_of(byte: int, bits: str) -> tuple[int, ...]:
    return _changes(levels(byte, bits))


@dataclass
class Noise:
    """What a bad line does to some of the bytes sent over it."""

    random: Random
    flipped: float = 0.0
    """Share of bytes of which one bit, start and stop included, is turned."""

    lost: float = 0.0
    """Share of bytes that are not sent at all."""

    def changes(self, byte: int, bits: str) -> tuple[int, ...]:
        if self.lost and self.random.random() < self.lost:
            return ()
        if self.flipped and self.random.random() < self.flipped:
            sent = list(levels(byte, bits))
            sent[self.random.randrange(len(sent))] ^= 1
            return _changes(sent)
        return _changes_of(byte, bits)


@dataclass
class Line:
    """The level of a wire over time."""

    toggles: list[int] = field(default_factory=list)
    """The ticks at which it changes; before the first one it is high."""

    busy_until: int = 0
    noise: Noise | None = None

    def send(self, setting: Setting, at_s: float, data: bytes) -> float:
        """Send bytes one behind the other, after what is still being sent; tell when they are out."""
        at, step = max(ticks(at_s), self.busy_until), setting.bit_ticks
        frame, bits = step * setting.frame_bits, setting.bits
        change = self.noise.changes if self.noise else _changes_of
        for byte in data:
            self.toggles += [at + step * number for number in change(byte, bits)]
            at += frame
        self.busy_until = at
        return at / TICKS

    def level(self, at: int) -> int:
        """Get the level at a tick; at a change it is the new one."""
        return 1 - bisect_right(self.toggles, at) % 2


class Receiver:
    """The receiving end: samples at the centre of each bit after the edge of a start bit.

    A low stop bit is a framing error: the byte is passed on as it was read, and the low level is taken
    for the next start bit. Nothing but low levels is a break: one zero byte, then it waits for the line
    to be high. A byte of the wrong parity is passed on as it is.
    """

    def __init__(self, line: Line, setting: Setting, from_s: float = 0.0) -> None:
        self._line, self._setting = line, setting
        self._at = ticks(from_s)
        self._start: int | None = None
        """The tick of a start bit that a framing error stands for."""

        self.framing_errors = 0

    def received(self, until_s: float) -> Iterator[tuple[float, int]]:
        """Give the bytes whose stop bits are sampled up to a moment, each with that time.

        The line must not get anything more to carry before that moment afterwards.
        """
        until, toggles, step = ticks(until_s), self._line.toggles, self._setting.bit_ticks
        samples = 1 + self._setting.data_bits + (self._setting.parity != "N")
        while (start := self._next_start(toggles)) is not None:
            centre = start + step // 2
            stop = centre + step * samples
            if stop > until:
                return
            self._start, self._at = None, stop
            where = bisect_right(toggles, centre)
            if where % 2 == 0:
                self._at = centre  # high again: no start bit
                continue
            yield stop / TICKS, self._byte(toggles, where, centre, samples)

    def _byte(self, toggles: list[int], where: int, centre: int, samples: int) -> int:
        """Sample all bits behind a start bit."""
        step, count, byte, any_high = self._setting.bit_ticks, len(toggles), 0, 0
        level = 0
        for number in range(samples):
            centre += step
            while where < count and toggles[where] <= centre:
                where += 1
            level = 1 - where % 2
            any_high |= level
            if number < self._setting.data_bits:
                byte |= level << number
        if not level:
            self.framing_errors += 1
            self._start = self._at - step // 2 if any_high else None
        return byte

    def _next_start(self, toggles: list[int]) -> int | None:
        """Find the next falling edge."""
        if self._start is not None:
            return self._start
        where = bisect_left(toggles, self._at)
        where += where % 2
        return toggles[where] if where < len(toggles) else None


def carried(
    data: bytes, sender: Setting, receiver: Setting, noise: Noise | None = None
) -> tuple[bytes, int]:
    """Give what one end reads of what the other sends at once, and how many framing errors."""
    line = Line(noise=noise)
    over_s = line.send(sender, 0.001, data)
    end = Receiver(line, receiver)
    read = bytes(byte for _, byte in end.received(over_s + receiver.seconds(2)))
    return read, end.framing_errors
