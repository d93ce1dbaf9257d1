"""Pseudo-terminals and sockets that stand in for cables, and a reader on them in real time."""

import os
import queue
import socket
import struct
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any, TypeVar

import pytest
from scripted import DIVISION, FRAME

from shedstation.devices.languages.rows import language
from shedstation.devices.lines.ports import Port
from shedstation.devices.lines.reader import ScaleReader
from shedstation.devices.lines.transport import Transport
from shedstation.domain.line_state import LineChanged, LineState
from shedstation.domain.reading import ScaleEvent

E = TypeVar("E", bound=ScaleEvent)

pty = pytest.importorskip("pty", reason="pseudo-terminals are a Unix thing")

LONG_S = 20.0
PAUSE_S = 0.02


class Cable:
    """A pseudo-terminal with a scale at its far end, which sends until it is pulled."""

    def __init__(self, *, serial: str = "A1", place: str = "1-1", sends: bytes = FRAME) -> None:
        self.master, slave = pty.openpty()
        self.name = os.ttyname(slave)
        self._slave = slave
        self.serial, self.place = serial, place
        self.sends = sends
        self.is_silent = False
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._send)
        self._thread.start()

    @property
    def port(self) -> Port:
        return Port(device=self.name, kind="1234:5678", serial=self.serial, place=self.place)

    def _send(self) -> None:
        os.set_blocking(self.master, False)
        while not self._stop.wait(PAUSE_S):
            # What nobody reads fills the line up; a scale does not mind.
            with suppress(BlockingIOError):
                if not self.is_silent:
                    os.write(self.master, self.sends)

    def pull(self) -> None:
        """Pull the cable out."""
        self._stop.set()
        self._thread.join()
        for end in (self._slave, self.master):
            os.close(end)


@contextmanager
def cable(**kind: Any) -> Iterator[Cable]:
    made = Cable(**kind)
    try:
        yield made
    finally:
        with suppress(OSError):
            made.pull()


class Ear:
    """What a reader delivers, in the order it came."""

    def __init__(self) -> None:
        self.events: queue.Queue[ScaleEvent] = queue.Queue()

    def wait_for(self, kind: type[E], fits: Callable[[E], bool] = lambda _event: True) -> E:
        end = time.monotonic() + LONG_S
        while time.monotonic() < end:
            event = self.events.get(timeout=LONG_S)
            if isinstance(event, kind) and fits(event):
                return event
        raise AssertionError(kind)

    def wait_for_state(self, state: LineState) -> LineChanged:
        return self.wait_for(LineChanged, lambda event: event.state is state)


@contextmanager
def reading(transport: Transport, spoken: str = "status-comma", **rest: Any) -> Iterator[Ear]:
    ear = Ear()
    options = {"deliver": ear.events.put, **rest}
    reader = ScaleReader(
        transport,
        language(spoken),
        division=DIVISION,
        now_s=time.monotonic,
        **options,
    )
    reader.start()
    try:
        yield ear
    finally:
        reader.stop()
        assert not reader.is_alive


def reset(peer: socket.socket) -> None:
    """End a connection as a converter does that lost its power: with a reset."""
    peer.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    peer.close()


def address(server: socket.socket) -> str:
    return f"socket://127.0.0.1:{server.getsockname()[1]}"


@contextmanager
def serving(server: socket.socket, serve: Callable[[], None]) -> Iterator[None]:
    """Serve in a thread of its own while the test goes on."""
    server.settimeout(LONG_S)
    thread = threading.Thread(target=serve)
    thread.start()
    try:
        yield
    finally:
        thread.join(LONG_S)


def send_until(peer: socket.socket, done: threading.Event) -> None:
    with suppress(OSError):
        while not done.wait(PAUSE_S):
            peer.sendall(FRAME)
