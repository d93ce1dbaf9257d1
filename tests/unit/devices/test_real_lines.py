"""Lines that fail, on pseudo-terminals and sockets, in real time: each has a state and a recovery."""

import fcntl
import os
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from real_lines import (
    Cable,
    Ear,
    address,
    cable,
    reading,
    reset,
    send_until,
    serving,
)
from scripted import FRAME

from shedstation.devices.lines import watch
from shedstation.devices.lines.ports import Port
from shedstation.devices.lines.tcp import TcpTransport
from shedstation.devices.lines.transport import SerialTransport
from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.line_state import LineState
from shedstation.domain.reading import LineBack, LineLost, Reading, ScaleEvent

RECONNECTS = 500


def wait_for_weight(ear: Ear) -> None:
    assert str(ear.wait_for(Reading).mass) == "25.42 lb"


def at_once(_seconds: float) -> None:
    """Wait for nothing."""


# ---- cables


def test_that_a_cable_is_found_again_twenty_times_under_other_names() -> None:
    plugged: list[Port] = []
    transport = SerialTransport("usb:1234:5678:A1", ports=lambda: tuple(plugged), settle=at_once)
    names = set()
    kept = []
    with reading(transport) as ear:
        ear.wait_for_state(LineState.GONE)
        for _ in range(20):
            # The name stays taken, as by a program that did not let go: the next one is another.
            with cable() as line:
                kept.append(os.open(line.name, os.O_RDWR | os.O_NOCTTY))
                names.add(line.name)
                plugged[:] = [line.port]
                wait_for_weight(ear)
                plugged.clear()
                line.pull()
                ear.wait_for(LineLost)
    for each in kept:
        os.close(each)
    assert len(names) > 1


def test_that_an_equal_adapter_elsewhere_is_not_read_until_the_own_one_is_back() -> None:
    plugged: list[Port] = []
    transport = SerialTransport(
        "usb-at:1234:5678:1-1", ports=lambda: tuple(plugged), settle=at_once
    )
    with (
        cable(serial="", place="1-1") as own,
        cable(serial="", place="1-2", sends=b"ST,GS,+  99.99lb\r\n") as other,
        reading(transport, wait=lambda _s: time.sleep(0.05)) as ear,
    ):
        plugged[:] = [own.port, other.port]
        wait_for_weight(ear)
        plugged[:] = [other.port]
        own.pull()
        said = ear.wait_for_state(LineState.AMBIGUOUS)
        assert said.say.name == "line.elsewhere"
        with cable(serial="", place="1-1") as back:
            plugged[:] = [back.port, other.port]
            wait_for_weight(ear)


def test_that_a_port_taken_by_another_program_is_read_once_it_is_free() -> None:
    holds = (
        "import fcntl, os, sys\n"
        "port = os.open(sys.argv[1], os.O_RDWR | os.O_NOCTTY)\n"
        "fcntl.flock(port, fcntl.LOCK_EX)\n"
        "print('held', flush=True)\n"
        "sys.stdin.readline()\n"
    )
    with cable() as line:
        child = subprocess.Popen(
            [sys.executable, "-c", holds, line.name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        assert child.stdout is not None
        assert child.stdout.readline() == b"held\n"
        with reading(SerialTransport(line.name, ports=lambda: ())) as ear:
            said = ear.wait_for_state(LineState.TAKEN)
            if Path("/proc").is_dir():
                assert said.say.name == "line.taken_by"
                assert str(said.say.values["program"]).startswith("python")
            child.communicate(b"\n")
            wait_for_weight(ear)


def test_that_a_port_that_is_read_is_shut_to_others() -> None:
    with cable() as line, reading(SerialTransport(line.name, ports=lambda: ())) as ear:
        wait_for_weight(ear)
        other = os.open(line.name, os.O_RDWR | os.O_NOCTTY) if os.geteuid() == 0 else None
        if other is None:
            with pytest.raises(OSError, match="busy"):
                os.open(line.name, os.O_RDWR | os.O_NOCTTY)
            return
        # The system's own user may open any port; the lock still tells it.
        with pytest.raises(BlockingIOError):
            fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
        os.close(other)


def test_that_a_scale_that_falls_silent_is_told_and_read_on_at_the_same_port() -> None:
    with cable() as line, reading(SerialTransport(line.name, ports=lambda: ())) as ear:
        wait_for_weight(ear)
        line.is_silent = True
        ear.wait_for_state(LineState.SILENT)
        line.is_silent = False
        ear.wait_for_state(LineState.LIVE)
        wait_for_weight(ear)


def test_that_what_piles_up_while_the_program_is_held_up_is_dropped() -> None:
    held_up = threading.Event()
    stale: list[str] = []
    ear = Ear()

    def deliver(event: ScaleEvent) -> None:
        if isinstance(event, Reading) and not held_up.is_set():
            held_up.set()
            time.sleep(0.8)
            line.sends = FRAME
            return
        if isinstance(event, Reading):
            stale.append(str(event.mass))
        ear.events.put(event)

    with (
        cable(sends=b"ST,GS,+   1.11lb\r\n") as line,
        reading(SerialTransport(line.name, ports=lambda: ()), deliver=deliver),
    ):
        assert ear.wait_for(LineLost).why == "piled up"
        wait_for_weight(ear)
    assert "1.11 lb" not in stale


def test_that_a_scale_which_answers_only_when_asked_is_read() -> None:
    with cable() as line:
        line.is_silent = True
        answered = threading.Event()

        def answer() -> None:
            asked = b""
            while not answered.is_set():
                try:
                    asked += os.read(line.master, 64)
                except BlockingIOError:
                    time.sleep(0.005)
                    continue
                *wholes, asked = asked.split(b"\r")
                for whole in wholes:
                    assert whole == b"W"
                    os.write(line.master, b"\n25.42 lb\r\nS00\r\x03")

        thread = threading.Thread(target=answer)
        thread.start()
        transport = SerialTransport(line.name, ports=lambda: ())
        with reading(transport, "bracketed-reply") as ear:
            for _ in range(5):
                wait_for_weight(ear)
            answered.set()
            thread.join()
            ear.wait_for_state(LineState.SILENT)


# ---- addresses


def test_that_a_scale_behind_a_socket_is_read_after_each_end_of_the_connection() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        heard = [threading.Event(), threading.Event(), threading.Event()]
        ends = [reset, socket.socket.close, reset]

        def serve() -> None:
            for done, end in zip(heard, ends, strict=True):
                peer, _ = server.accept()
                send_until(peer, done)
                end(peer)

        with serving(server, serve), reading(TcpTransport(address(server))) as ear:
            for done in heard:
                ear.wait_for(LineBack)
                wait_for_weight(ear)
                done.set()
                ear.wait_for_state(LineState.HUNG_UP)


def test_that_a_converter_that_turns_the_station_away_is_read_once_it_listens() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        done = threading.Event()

        def serve() -> None:
            peer, _ = taken.accept()
            with peer:
                send_until(peer, done)

        with reading(TcpTransport(address(taken))) as ear:
            ear.wait_for_state(LineState.TURNED_AWAY)
            taken.listen()
            with serving(taken, serve):
                wait_for_weight(ear)
                done.set()


def test_that_a_peer_that_stops_sending_without_a_word_is_called_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(watch, "REOPEN_STREAM_S", 1.3)
    with socket.create_server(("127.0.0.1", 0)) as server:
        done = [threading.Event(), threading.Event()]
        peers = []

        def serve() -> None:
            for each in done:
                peer, _ = server.accept()
                peers.append(peer)
                send_until(peer, each)

        with serving(server, serve), reading(TcpTransport(address(server))) as ear:
            for _ in range(10):
                wait_for_weight(ear)
            done[0].set()
            ear.wait_for_state(LineState.SILENT)
            assert ear.wait_for(LineLost).why == "silent"
            wait_for_weight(ear)
            done[1].set()
        for peer in peers:
            peer.close()


def test_that_a_peer_that_takes_the_call_and_says_nothing_is_called_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(watch, "REOPEN_UNHEARD_S", 1.3)
    with socket.create_server(("127.0.0.1", 0)) as server:
        done = threading.Event()
        peers = []

        def serve() -> None:
            peers.append(server.accept()[0])
            peers.append(server.accept()[0])
            send_until(peers[1], done)

        with serving(server, serve), reading(TcpTransport(address(server))) as ear:
            assert ear.wait_for_state(LineState.SILENT).say.name == "line.unheard"
            wait_for_weight(ear)
            done.set()
        for peer in peers:
            peer.close()


def test_that_an_address_where_nobody_takes_the_call_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0), backlog=0) as server:
        callers = []
        # Those who wait fill the queue; the system lets further calls ring until they give up.
        for _ in range(3):
            caller = socket.socket()
            caller.setblocking(False)
            caller.connect_ex(server.getsockname())
            callers.append(caller)
        with reading(TcpTransport(address(server))) as ear:
            ear.wait_for_state(LineState.NO_ANSWER)
        for caller in callers:
            caller.close()


def test_that_the_practice_scale_is_read_like_any_other() -> None:
    server = PracticeServer(PracticeSetup(), seed=3, now_s=time.monotonic)
    server.start()
    try:
        with reading(TcpTransport(server.address)) as ear:
            ear.wait_for(Reading)
            server.put_box()
            ear.wait_for(Reading, lambda each: each.mass is not None and each.mass.count >= 150)
            server.plug(out=True)
            ear.wait_for(LineLost)
    finally:
        server.stop()


# ---- nothing is left over


def open_files() -> int:
    return len(os.listdir("/proc/self/fd"))


@pytest.mark.skipif(
    not Path("/proc/self/fd").is_dir(), reason="the system does not list open files"
)
def test_that_500_reconnects_leave_no_descriptor_and_no_thread() -> None:
    plugged: list[Port] = []
    transport = SerialTransport("usb:1234:5678:A1", ports=lambda: tuple(plugged), settle=at_once)
    files, threads = open_files(), threading.active_count()
    with reading(transport, wait=lambda _s: time.sleep(0.001)) as ear:
        for _ in range(RECONNECTS):
            line = Plug()
            plugged[:] = [line.port]
            ear.wait_for_state(LineState.LISTENING)
            plugged.clear()  # its name may be given to another pseudo-terminal at once
            line.pull()
            ear.wait_for_state(LineState.GONE)
    assert open_files() == files
    assert threading.active_count() == threads


class Plug(Cable):
    """A cable with a scale that is switched off, so that it needs no thread of its own."""

    def _send(self) -> None:
        """Send nothing."""


@pytest.mark.skipif(
    not Path("/proc/self/fd").is_dir(), reason="the system does not list open files"
)
def test_that_500_connections_that_end_leave_no_descriptor_and_no_thread() -> None:
    files, threads = open_files(), threading.active_count()
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            for number in range(RECONNECTS):
                peer, _ = server.accept()
                reset(peer) if number % 2 else peer.close()

        transport = TcpTransport(address(server), settle=at_once)
        with reading(transport, wait=at_once) as ear, serving(server, serve):
            ear.wait_for_state(LineState.HUNG_UP)
    assert open_files() == files
    assert threading.active_count() == threads
