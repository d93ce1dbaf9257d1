"""Move bytes to and from a scale behind a converter on the network."""

import errno
import socket
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Final
from urllib.parse import urlsplit

from shedstation.devices.lines.transport import READ_WAIT_S, SETTLE_S
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

PREFIX: Final = "socket://"
_CONNECT_WAIT_S: Final = 1.5
"""Shorter than the time a reader is given to stop."""

_MOST_BYTES: Final = 65536
_MOST_OLD_CHUNKS: Final = 100
"""A peer that never stops sending must not hold the opening up."""

_KEEP_ALIVE: Final = (("TCP_KEEPIDLE", 5), ("TCP_KEEPINTVL", 2), ("TCP_KEEPCNT", 3))
"""Ask a silent peer after 5 s, three times 2 s apart: one that lost its power is noticed in 11 s."""


class TcpTransport:
    """`socket://host:port`; the bytes are the scale's own, with nothing added."""

    def __init__(self, port: str, *, settle: Callable[[float], object] = time.sleep) -> None:
        """Name an address.

        Args:
            port: `socket://host:port`.
            settle: Waits some seconds.

        Raises:
            WorldFault: if the address is of another form.
        """
        self._address = _address(port)
        self.port = port
        self._settle = settle
        self._line: socket.socket | None = None

    def open(self) -> None:
        """Connect, and throw away what piled up before."""
        self._line = socket.create_connection(self._address, timeout=_CONNECT_WAIT_S)
        self._line.settimeout(READ_WAIT_S)
        self._line.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        for name, value in _KEEP_ALIVE:
            with suppress(AttributeError, OSError):  # not every system has all three
                self._line.setsockopt(socket.IPPROTO_TCP, getattr(socket, name), value)
        self._settle(SETTLE_S)
        self._drop_old(self._line)

    def _drop_old(self, line: socket.socket) -> None:
        line.settimeout(0)
        with suppress(BlockingIOError):
            for _ in range(_MOST_OLD_CHUNKS):
                self._whole(line.recv(_MOST_BYTES))
        line.settimeout(READ_WAIT_S)

    def read_chunk(self) -> bytes:
        """Give the bytes that have arrived, empty when a tenth of a second passed without any."""
        if self._line is None:
            raise ConnectionResetError(errno.ECONNRESET, "not connected")
        try:
            return self._whole(self._line.recv(_MOST_BYTES))
        except TimeoutError:
            return b""

    def _whole(self, data: bytes) -> bytes:
        """Give what was received; nothing at all means that the peer ended the connection."""
        if not data:
            raise ConnectionResetError(errno.ECONNRESET, "the other side ended the connection")
        return data

    def write(self, data: bytes) -> None:
        """Send bytes to the scale."""
        if self._line is not None:
            self._line.sendall(data)

    def close(self) -> None:
        """Close the connection, dead or alive."""
        line, self._line = self._line, None
        if line is not None:
            with suppress(OSError):
                line.close()


def _address(port: str) -> tuple[str, int]:
    found = urlsplit(port)
    with suppress(ValueError):
        if port.startswith(PREFIX) and found.hostname and found.port and not found.path.strip("/"):
            return found.hostname, found.port
    raise WorldFault(Message("scale.bad_port", {"port": port}))
