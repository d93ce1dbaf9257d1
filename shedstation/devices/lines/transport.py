"""Move bytes to and from a scale: a serial port, a TCP converter, or a loop for tests."""

import os
import socket
from contextlib import suppress
from typing import Any, Final, Protocol

import serial

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

READ_WAIT_S: Final = 0.1
_WRITE_WAIT_S: Final = 1.0
_ALLOWED_URLS: Final = ("socket://", "loop://")
_TIOCEXCL: Final = 0x540C


class Transport(Protocol):
    """Where a scale's bytes come from."""

    def open(self) -> None:
        """Open; may raise what `PORT_FAULTS` names."""

    def read_chunk(self) -> bytes:
        """Give the bytes that have arrived, empty when a tenth of a second passed without any."""

    def close(self) -> None:
        """Close; never raises."""


def port_faults() -> tuple[type[Exception], ...]:
    """Give what a dead port raises: three kinds by the call, and two more when closed meanwhile."""
    faults: tuple[type[Exception], ...] = (OSError, TypeError, ValueError)
    with suppress(ImportError):
        import termios  # noqa: PLC0415  # not on Windows

        faults = (*faults, termios.error)
    return faults


PORT_FAULTS: Final = port_faults()


class SerialTransport:
    """A serial port by name, or `socket://host:port`."""

    def __init__(self, port: str, *, baud: int = 9600) -> None:
        """Name a port.

        Args:
            port: A serial port's name, `socket://host:port` or `loop://`.
            baud: Line speed; a TCP converter ignores it.

        Raises:
            WorldFault: if it is a URL of another kind; a shared settings file may not open those.
        """
        if "://" in port and not port.startswith(_ALLOWED_URLS):
            raise WorldFault(Message("scale.bad_port", {"port": port}))
        self.port = port
        self._baud = baud
        self._line: Any = None

    def open(self) -> None:
        """Open as 8N1, for this program alone."""
        line = serial.serial_for_url(
            self.port,
            do_not_open=True,
            baudrate=self._baud,
            timeout=READ_WAIT_S,
            write_timeout=_WRITE_WAIT_S,
        )
        if "://" not in self.port:
            line.exclusive = True
            # Set before opening, or some cables pulse the line and reset the device.
            line.dtr, line.rts = True, True
        line.open()
        self._line = line
        self._harden()
        line.reset_input_buffer()

    def _harden(self) -> None:
        """Shut other programs out of the port; let a dead TCP peer be noticed."""
        if self.port.startswith("socket://"):
            peer = getattr(self._line, "_socket", None)
            if isinstance(peer, socket.socket):
                peer.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        elif os.name == "posix":
            with suppress(*PORT_FAULTS):
                import fcntl  # noqa: PLC0415  # not on Windows

                fcntl.ioctl(self._line.fileno(), _TIOCEXCL)

    def read_chunk(self) -> bytes:
        """Give the bytes that have arrived, empty when a tenth of a second passed without any."""
        return bytes(self._line.read(self._line.in_waiting or 1))

    def close(self) -> None:
        """Close the port, dead or alive."""
        line, self._line = self._line, None
        if line is not None:
            with suppress(*PORT_FAULTS):
                line.close()
