"""Read one scale in a thread of its own, through unplugging and plugging in again."""

import threading
from collections import deque
from collections.abc import Callable
from typing import Final

from shedstation.devices.capture import CaptureWriter
from shedstation.devices.languages.decode import FindingDecoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.transport import PORT_FAULTS, Transport
from shedstation.domain.mass import Mass
from shedstation.domain.reading import LineBack, LineLost, ScaleEvent
from shedstation.domain.steadiness import SteadinessJudge

FIRST_WAIT_S: Final = 0.25
LONGEST_WAIT_S: Final = 5.0
REOPEN_AFTER_S: Final = 5.0
"""A streaming scale this long silent is opened anew: a half-open TCP line never reports an error."""

KEPT_CHUNKS: Final = 2000
_STOP_WAIT_S: Final = 2.0


class ScaleReader:
    """A scale that is being read until stopped; nothing that a port does ends it."""

    def __init__(
        self,
        transport: Transport,
        language: Language | None,
        *,
        division: Mass,
        deliver: Callable[[ScaleEvent], None],
        now_s: Callable[[], float],
    ) -> None:
        """Prepare to read.

        Args:
            transport: Where the bytes come from.
            language: What the scale speaks; none finds out from its first frames.
            division: The scale's division, for judging steadiness where no mark is sent.
            deliver: Takes each event, called in the reader's thread.
            now_s: A monotonic clock in seconds; stamps what arrives.
        """
        self._transport = transport
        self._decoder = FindingDecoder(LANGUAGES if language is None else (language,))
        self._judge = SteadinessJudge(division)
        self._deliver = deliver
        self._now_s = now_s
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="scale", daemon=True)
        self._is_heard = False
        self._capture: CaptureWriter | None = None
        self.raw: deque[tuple[float, bytes]] = deque(maxlen=KEPT_CHUNKS)
        """The last chunks as they came."""

    def start(self) -> None:
        """Start reading."""
        self._thread.start()

    def stop(self) -> None:
        """Stop reading; the thread closes the port itself."""
        self._stop.set()
        self._thread.join(_STOP_WAIT_S)

    @property
    def is_alive(self) -> bool:
        """Get whether the thread still runs."""
        return self._thread.is_alive()

    def capture_to(self, capture: CaptureWriter | None) -> None:
        """Write what arrives to a capture from now on, or stop doing so."""
        self._capture = capture

    def _run(self) -> None:
        wait_s = FIRST_WAIT_S
        while not self._stop.is_set():
            try:
                self._transport.open()
                self._opened()
                wait_s = FIRST_WAIT_S
                self._read_on()
                why = "silent"
            except PORT_FAULTS as fault:
                why = str(fault)
            # A handle kept open keeps the port's name from coming back.
            self._transport.close()
            self._lost(why)
            self._stop.wait(wait_s)
            wait_s = min(wait_s * 2, LONGEST_WAIT_S)

    def _opened(self) -> None:
        self._decoder.restart()
        self._judge.restart()

    def _heard(self, now_s: float) -> None:
        """Say that the line is back at its first bytes: a port that opens may still be dead."""
        if not self._is_heard:
            self._is_heard = True
            self._mark(lost=False)
            self._deliver(LineBack(now_s))

    def _lost(self, why: str) -> None:
        if self._is_heard and not self._stop.is_set():
            self._is_heard = False
            self._mark(lost=True)
            self._deliver(LineLost(self._now_s(), why))

    def _read_on(self) -> None:
        last_s = self._now_s()
        while not self._stop.is_set():
            data = self._transport.read_chunk()
            now_s = self._now_s()
            if data:
                last_s = now_s
                self._take(now_s, data)
            elif now_s - last_s > REOPEN_AFTER_S:
                return

    def _take(self, now_s: float, data: bytes) -> None:
        self._heard(now_s)
        self.raw.append((now_s, data))
        self._write(lambda capture: capture.chunk(now_s, data))
        for event in self._decoder.feed(now_s, data):
            self._deliver(self._judge.judged(event))

    def _mark(self, *, lost: bool) -> None:
        self._write(lambda capture: capture.mark(self._now_s(), lost=lost))

    def _write(self, what: Callable[[CaptureWriter], None]) -> None:
        """Write to the capture; a full disk ends the capture, never the reading."""
        if self._capture is None:
            return
        try:
            what(self._capture)
        except (OSError, ValueError):  # ValueError: the file was closed meanwhile
            self._capture = None
