"""Lines that do what a test says, on a clock that only tests move."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from shedstation.devices.capture import CaptureWriter
from shedstation.devices.languages.rows import language
from shedstation.devices.lines.reader import ScaleReader
from shedstation.domain.line_state import LineChanged, LineState
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Reading, ScaleEvent

DIVISION = Mass(1, 2, Unit.LB)
FRAME = b"ST,GS,+  25.42lb\r\n"

Step = tuple[float, bytes | Exception]
"""Seconds that pass, then bytes that came, or none, or a fault."""

Session = Exception | Sequence[Step]
"""What opening raises, or what comes once it is open."""


@dataclass
class ScriptedLine:
    """Goes through sessions one after the other; after the last it stops the reader."""

    sessions: list[Session]
    now_s: float = 100.0
    opened: int = 0
    closed: int = 0
    waits: list[float] = field(default_factory=list)
    sent: list[tuple[float, bytes]] = field(default_factory=list)
    port: str = "COM1"
    stop: threading.Event = field(default_factory=threading.Event)
    _steps: list[Step] = field(default_factory=list)

    def open(self) -> None:
        self.opened += 1
        session = self.sessions.pop(0)
        if isinstance(session, Exception):
            raise session
        self._steps = list(session)

    def read_chunk(self) -> bytes:
        if not self._steps:
            if self.sessions:
                raise OSError(5, "gone")
            self.stop.set()
            return b""
        seconds, what = self._steps.pop(0)
        self.now_s += seconds
        if isinstance(what, Exception):
            raise what
        return what

    def write(self, data: bytes) -> None:
        self.sent.append((round(self.now_s, 3), data))

    def close(self) -> None:
        self.closed += 1

    def wait(self, seconds: float) -> None:
        self.waits.append(seconds)
        self.now_s += seconds
        if not self.sessions:
            self.stop.set()

    def clock(self) -> float:
        return self.now_s


@dataclass
class Heard:
    """What a reader delivered from a scripted line."""

    line: ScriptedLine
    reader: ScaleReader
    events: list[ScaleEvent]

    @property
    def weights(self) -> list[str]:
        return [str(each.mass) for each in self.events if isinstance(each, Reading)]

    @property
    def states(self) -> list[LineState]:
        return [each.state for each in self.events if isinstance(each, LineChanged)]

    @property
    def says(self) -> list[str]:
        return [each.say.name for each in self.events if isinstance(each, LineChanged)]

    def kinds(self, *kinds: type[ScaleEvent]) -> list[str]:
        return [type(each).__name__ for each in self.events if isinstance(each, kinds)]


def read(
    line: ScriptedLine,
    spoken: str = "status-comma",
    capture: CaptureWriter | None = None,
    **rest: Any,
) -> Heard:
    """Read a scripted line to its end, in this thread."""
    events: list[ScaleEvent] = []
    options = {"deliver": events.append, **rest}
    reader = ScaleReader(
        line,
        None if spoken == "auto" else language(spoken),
        division=DIVISION,
        now_s=line.clock,
        wait=line.wait,
        **options,
    )
    reader._stop = line.stop
    reader.capture_to(capture)
    reader._run()
    return Heard(line, reader, events)


def stream(number: int, *, every: float = 0.1, frame: bytes = FRAME) -> list[Step]:
    """Give a streaming scale's frames, each in a chunk of its own."""
    return [(every, frame)] * number


def quiet(seconds: float) -> list[Step]:
    """Give looks in vain for some seconds."""
    return [(0.1, b"")] * round(seconds * 10)
