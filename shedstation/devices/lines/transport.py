"""Move bytes to and from a scale on a serial port."""

import os
import time
from collections.abc import Callable
from contextlib import suppress
from enum import Enum
from typing import Any, Final, Protocol

import serial

from shedstation.devices.lines.faults import PORT_FAULTS
from shedstation.devices.lines.ports import Port, check_port, device_of, existing_ports, spoken
from shedstation.domain.message import Message

READ_WAIT_S: Final = 0.1
SETTLE_S: Final = 0.1
"""USB chips hand over what they still hold within this time of opening."""

_WRITE_WAIT_S: Final = 1.0
_TIOCEXCL: Final = 0x540C


class Transport(Protocol):
    """Where a scale's bytes come from; all but `close` may raise what `PORT_FAULTS` names."""

    @property
    def port(self) -> str | Message:
        """Get what sentences call it: its name of today, as far as it is known."""

    def open(self) -> None:
        """Open, and throw away what piled up before."""

    def read_chunk(self) -> bytes:
        """Give the bytes that have arrived, empty when a tenth of a second passed without any."""

    def write(self, data: bytes) -> None:
        """Send bytes to the scale."""

    def close(self) -> None:
        """Close; never raises."""


class Parity(Enum):
    """What the port itself must check; everything else is checked in software on a line of 8N1."""

    NONE = serial.PARITY_NONE
    EVEN = serial.PARITY_EVEN
    ODD = serial.PARITY_ODD


class SerialTransport:
    """A serial port by identity or by name; looked for anew each time it is opened."""

    def __init__(
        self,
        port: str,
        *,
        baud: int = 9600,
        parity: Parity = Parity.NONE,
        just_chosen: bool = False,
        ports: Callable[[], tuple[Port, ...]] = existing_ports,
        settle: Callable[[float], object] = time.sleep,
    ) -> None:
        """Name a port.

        Args:
            port: An identity as `ports.identity_of` gives it, or a plain name.
            baud: Line speed.
            parity: For lines of eight data bits and parity.
            just_chosen: Whether a person chose it now; it decides between equal adapters, once.
            ports: Gives the ports that exist.
            settle: Waits some seconds.

        Raises:
            WorldFault: if it is an address; a shared settings file may not open any.
        """
        check_port(port)
        self._wanted = port
        self._baud, self._parity = baud, parity
        self._just_chosen = just_chosen
        self._ports, self._settle = ports, settle
        self._line: Any = None
        self._device: str | None = None

    @property
    def port(self) -> str | Message:
        """Get its name of today, or what tells it from others while it is not there."""
        return self._device or spoken(self._wanted)

    def open(self) -> None:
        """Open for this program alone, and throw away what piled up before."""
        self._device = None
        self._device = device_of(self._wanted, self._ports(), just_chosen=self._just_chosen)
        line = serial.Serial(
            None,
            baudrate=self._baud,
            parity=self._parity.value,
            timeout=READ_WAIT_S,
            write_timeout=_WRITE_WAIT_S,
            exclusive=True,
        )
        line.port = self._device
        # Set before opening, or some cables pulse the line and reset the device.
        line.dtr, line.rts = True, True
        line.open()
        self._line = line
        self._just_chosen = False
        self._shut_others_out()
        self._settle(SETTLE_S)
        line.reset_input_buffer()

    def _shut_others_out(self) -> None:
        if os.name == "posix":
            with suppress(*PORT_FAULTS):
                import fcntl  # noqa: PLC0415  # not on Windows

                fcntl.ioctl(self._line.fileno(), _TIOCEXCL)

    def read_chunk(self) -> bytes:
        """Give the bytes that have arrived, empty when a tenth of a second passed without any."""
        first = self._line.read(1)
        waiting = self._line.in_waiting if first else 0
        return bytes(first + self._line.read(waiting) if waiting else first)

    def write(self, data: bytes) -> None:
        """Send bytes to the scale."""
        self._line.write(data)

    def close(self) -> None:
        """Close the port, dead or alive."""
        line, self._line = self._line, None
        if line is not None:
            with suppress(*PORT_FAULTS):
                line.close()
