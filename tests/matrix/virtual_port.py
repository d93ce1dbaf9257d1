"""A port at the other end of a scale's cable, in virtual time: waiting costs nothing."""

from matrix.wire import LATENCY_S, WireScale
from uart import Receiver, Setting

from shedstation.devices.lines.hearing import Setting as Asked
from shedstation.devices.lines.transport import READ_WAIT_S, SETTLE_S
from shedstation.domain.message import Message


class Clock:
    """A clock that only moves when somebody waits."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


class VirtualPort:
    """What a finder opens: it hears the scale through a receiver of the setting asked for."""

    def __init__(self, scale: WireScale, clock: Clock, asked: Asked, written: bytearray) -> None:
        """Prepare to open; `written` takes what is sent to the scale."""
        self._scale, self._clock, self._written = scale, clock, written
        self._setting = Setting(asked.baud or 115_200, asked.bits)
        self._ear: Receiver | None = None

    @property
    def port(self) -> str | Message:
        return "virtual"

    def open(self) -> None:
        """Open, and throw away what comes while the converter settles."""
        self._ear = Receiver(self._scale.to_host, self._setting, self._clock.now_s)
        self._pass(SETTLE_S)

    def read_chunk(self) -> bytes:
        """Wait for bytes as a port does, a converter's lot at a time."""
        until_s = self._clock.now_s + READ_WAIT_S
        while self._clock.now_s < until_s:
            data = self._pass(LATENCY_S)
            if data:
                return data
        return b""

    def _pass(self, seconds: float) -> bytes:
        assert self._ear is not None
        self._clock.now_s += seconds
        self._scale.play(self._clock.now_s)
        return bytes(byte for _, byte in self._ear.received(self._clock.now_s))

    def write(self, data: bytes) -> None:
        self._written += data
        self._scale.from_host.send(self._setting, self._clock.now_s, data)

    def close(self) -> None:
        self._ear = None
