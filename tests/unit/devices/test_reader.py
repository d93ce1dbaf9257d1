"""The reader's thread on fake lines, pseudo-terminals and sockets."""

import io
import os
import queue
import random
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from shedstation.devices.capture import CaptureWriter
from shedstation.devices.languages.rows import language
from shedstation.devices.lines.reader import ScaleReader
from shedstation.devices.lines.transport import SerialTransport
from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import BadFrame, LineBack, LineLost, Reading, ScaleEvent

DIVISION = Mass(1, 2, Unit.LB)
FRAME = b"ST,GS,+  25.42lb\r\n"
LONG_S = 20.0

pty = pytest.importorskip("pty", reason="pseudo-terminals are a Unix thing")


class Faulty:
    """A line that fails in every way a port can, in turn, and then sends."""

    def __init__(self, faults: list[Exception]) -> None:
        self.faults = faults
        self.opened = 0

    def open(self) -> None:
        self.opened += 1
        if self.faults and self.opened % 2:
            raise self.faults.pop(0)

    def read_chunk(self) -> bytes:
        if self.faults:
            raise self.faults.pop(0)
        return b"\r\n" + FRAME

    def close(self) -> None:
        """Close without a word."""


@contextmanager
def reading(transport: object) -> Iterator["queue.Queue[ScaleEvent]"]:
    events: queue.Queue[ScaleEvent] = queue.Queue()
    reader = ScaleReader(
        transport,  # type: ignore[arg-type]  # fakes too
        language("status-comma"),
        division=DIVISION,
        deliver=events.put,
        now_s=time.monotonic,
    )
    reader.start()
    try:
        yield events
    finally:
        reader.stop()
        assert not reader.is_alive


def wait_for(events: "queue.Queue[ScaleEvent]", kind: type[ScaleEvent]) -> ScaleEvent:
    end = time.monotonic() + LONG_S
    while time.monotonic() < end:
        event = events.get(timeout=LONG_S)
        if isinstance(event, kind):
            return event
    raise AssertionError(kind)


def send_until_heard(master: int, events: "queue.Queue[ScaleEvent]") -> None:
    """Send frames until the line is back; what came before it was open is thrown away."""
    for _ in range(int(LONG_S / 0.02)):
        os.write(master, b"12lb\r\n" + FRAME)
        try:
            event = events.get(timeout=0.02)
        except queue.Empty:
            continue
        if isinstance(event, LineBack):
            return
    raise AssertionError


def test_that_nothing_a_port_raises_ends_the_reader() -> None:
    import termios  # noqa: PLC0415  # Unix only, like the rest of this file

    faults: list[Exception] = [OSError(5, "gone"), TypeError("closed"), termios.error(5, "gone")]
    with reading(Faulty(faults)) as events:
        reading_ = wait_for(events, Reading)
        assert isinstance(reading_, Reading)
        assert str(reading_.mass) == "25.42 lb"


def test_that_a_cable_can_be_pulled_and_plugged_twenty_times() -> None:
    link = f"/tmp/shedstation-test-{os.getpid()}-{random.randrange(10**9)}"  # noqa: S108  # a link to a pty

    def plug() -> int:
        master, slave = pty.openpty()
        os.symlink(os.ttyname(slave), f"{link}.new")
        os.replace(f"{link}.new", link)
        os.close(slave)
        return int(master)

    master = plug()
    try:
        with reading(SerialTransport(link)) as events:
            for _ in range(20):
                send_until_heard(master, events)
                assert str(getattr(wait_for(events, Reading), "mass", "")) == "25.42 lb"
                os.close(master)
                wait_for(events, LineLost)
                master = plug()
    finally:
        os.close(master)
        os.unlink(link)


def test_that_a_scale_behind_a_socket_is_read_and_read_again() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]

        heard = [threading.Event(), threading.Event()]

        def serve() -> None:
            for done in heard:
                peer, _ = server.accept()
                with peer:
                    # What had arrived before the port was open is thrown away: send until heard.
                    while not done.wait(0.02):
                        peer.sendall(b"half\r\n" + FRAME * 3 + b"ST,GS,+ nonsense\r\n")

        thread = threading.Thread(target=serve)
        thread.start()
        with reading(SerialTransport(f"socket://127.0.0.1:{port}")) as events:
            for done in heard:
                wait_for(events, LineBack)
                wait_for(events, Reading)
                wait_for(events, BadFrame)
                done.set()
                wait_for(events, LineLost)
        thread.join(LONG_S)


def test_that_the_practice_scale_is_read_like_any_other() -> None:
    server = PracticeServer(PracticeSetup(), seed=3, now_s=time.monotonic)
    server.start()
    try:
        with reading(SerialTransport(server.address)) as events:
            wait_for(events, Reading)
            server.put_box()
            mass = None
            while mass is None or mass.count < 150:
                event = wait_for(events, Reading)
                assert isinstance(event, Reading)
                mass = event.mass
            server.plug(out=True)
            wait_for(events, LineLost)
    finally:
        server.stop()


@pytest.mark.parametrize("port", ["spy://x?file=/etc/passwd", "http://example.com", "hwgrep://x"])
def test_that_urls_of_other_kinds_are_not_opened(port: str) -> None:
    with pytest.raises(WorldFault, match=r"scale\.bad_port"):
        SerialTransport(port)


def test_that_a_full_disk_ends_a_capture_and_not_the_reading() -> None:
    class Full(io.StringIO):
        def write(self, text: str) -> int:
            raise OSError(28, "No space left on device", text)

    events: queue.Queue[ScaleEvent] = queue.Queue()
    reader = ScaleReader(
        Faulty([]),
        language("status-comma"),
        division=DIVISION,
        deliver=events.put,
        now_s=time.monotonic,
    )
    reader.capture_to(CaptureWriter(Full(), zero_s=0.0))
    reader.start()
    try:
        assert isinstance(wait_for(events, Reading), Reading)
        assert reader.is_alive
    finally:
        reader.stop()
