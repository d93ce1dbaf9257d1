"""A core's share at 50 frames a second without painting, beside the bare loop of pyserial on the same line."""

import os
import pty
import queue
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import serial
from driving import Driver, Spool
from measuring import report
from scripted import DIVISION

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.devices.languages.rows import language
from shedstation.devices.lines.reader import ScaleReader
from shedstation.devices.lines.transport import SerialTransport
from shedstation.domain.reading import Reading, ScaleEvent

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"
FRAMES_PER_S = 50
ROUNDS, ROUND_S, SETTLE_S = 3, 6.0, 1.0
SCALE = """
import os, sys, time
line, period = int(sys.argv[1]), 1 / int(sys.argv[2])
start = time.monotonic()
for number in range(10**9):
    time.sleep(max(start + number * period - time.monotonic(), 0))
    os.write(line, b"ST,GS,+%7.2flb\\r\\n" % (number % 2500 / 100))
"""
"""Another process, so that its work is not counted."""


@contextmanager
def scale() -> Iterator[str]:
    master, slave = pty.openpty()
    words = [sys.executable, "-c", SCALE, str(master), str(FRAMES_PER_S)]
    child = subprocess.Popen(words, pass_fds=[master])
    try:
        yield os.ttyname(slave)
    finally:
        child.kill()
        child.wait()
        os.close(master)
        os.close(slave)


def share(work: Callable[[float], int]) -> float:
    """Give the share of a core that a piece of work takes for some seconds."""
    work(SETTLE_S)
    busy = time.process_time()
    frames = work(ROUND_S)
    share_of_core = (time.process_time() - busy) / ROUND_S
    assert abs(frames / ROUND_S - FRAMES_PER_S) < FRAMES_PER_S / 10, frames
    return share_of_core


def bare(port: str) -> float:
    """Read with pyserial in a thread, decoding nothing."""
    ends, stop = [0], threading.Event()

    def run() -> None:
        with serial.Serial(port, timeout=0.1) as line:
            while not stop.is_set():
                ends[0] += line.read(line.in_waiting or 1).count(b"\n")

    def work(seconds: float) -> int:
        before = ends[0]
        time.sleep(seconds)
        return ends[0] - before

    thread = threading.Thread(target=run)
    thread.start()
    try:
        return share(work)
    finally:
        stop.set()
        thread.join()


def ours(port: str, hear: Callable[[ScaleEvent], None]) -> float:
    """Read as the desktop does; what arrives is heard in this thread, as in the desktop's own."""
    events: queue.SimpleQueue[ScaleEvent] = queue.SimpleQueue()
    reader = ScaleReader(
        SerialTransport(port, ports=lambda: ()),
        language("status-comma"),
        division=DIVISION,
        deliver=events.put,
        now_s=time.monotonic,
    )

    def work(seconds: float) -> int:
        end, read = time.monotonic() + seconds, 0
        while (left := end - time.monotonic()) > 0:
            try:
                event = events.get(timeout=left)
            except queue.Empty:
                break
            hear(event)
            read += isinstance(event, Reading)
        return read

    reader.start()
    try:
        return share(work)
    finally:
        reader.stop()


def ignore(event: ScaleEvent) -> None:
    del event


def main() -> None:
    setup = read_station_file(SAMPLE / "station.toml")
    with tempfile.TemporaryDirectory() as made, open_ledger(Path(made)) as ledger:
        bench = Driver(ledger, setup, Spool())
        bench.open_day()
        ways: dict[str, Callable[[str], float]] = {
            "bare": bare,
            "reader": lambda port: ours(port, ignore),
            "station": lambda port: ours(port, lambda event: bench.station.hear("B1", event)),
        }
        found: dict[str, list[float]] = {name: [] for name in ways}
        for _ in range(ROUNDS):
            for name, way in ways.items():
                with scale() as port:
                    found[name].append(way(port))
    core = {name: statistics.median(each) for name, each in found.items()}
    report("50 frames/s: the bare loop of pyserial", core["bare"] * 100, "% of a core", "figure")
    report("50 frames/s: the reader", core["reader"] * 100, "% of a core", "under 3")
    report(
        "50 frames/s: the reader and the station", core["station"] * 100, "% of a core", "under 3"
    )
    report(
        "50 frames/s: the reader beside the bare loop",
        core["reader"] / core["bare"],
        "times",
        "figure",
    )


if __name__ == "__main__":
    main()
