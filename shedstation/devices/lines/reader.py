"""Read one scale in a thread of its own, through everything that can happen to its line."""

import threading
from collections.abc import Callable, Sequence
from typing import Final

from shedstation.devices.capture import CaptureWriter
from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import Decoder, FindingDecoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.backlog import Backlog
from shedstation.devices.lines.faults import LineFault, at_port, sentence
from shedstation.devices.lines.log import LineLog
from shedstation.devices.lines.poll import Poll
from shedstation.devices.lines.transport import Transport
from shedstation.devices.lines.watch import LineWatch
from shedstation.domain.line_state import LineChanged, LineNotice, LineState
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, LineBack, LineLost, Reading, ScaleEvent
from shedstation.domain.steadiness import SteadinessJudge

FIRST_WAIT_S: Final = 0.25
LONGEST_WAIT_S: Final = 5.0
_STOP_WAIT_S: Final = 2.0


class ScaleReader:
    """A scale that is being read until stopped; nothing that a port does ends it, nor a fault here."""

    def __init__(
        self,
        transport: Transport,
        language: Language | None,
        *,
        known: Sequence[Language] = LANGUAGES,
        bits: Bits | None = None,
        division: Mass,
        streams: bool = True,
        deliver: Callable[[ScaleEvent], None],
        now_s: Callable[[], float],
        wait: Callable[[float], object] | None = None,
        report: Callable[[Exception], str] = repr,
    ) -> None:
        """Prepare to read.

        Args:
            transport: Where the bytes come from.
            language: What the scale speaks; none finds out from its first frames.
            known: Among which languages it is found.
            bits: What the top bit of each byte is; none finds out.
            division: The scale's division, for judging steadiness where no mark is sent.
            streams: Whether it sends by itself, so that silence means something.
            deliver: Takes each event, called in the reader's thread.
            now_s: A monotonic clock in seconds; stamps what arrives.
            wait: Waits some seconds before the port is opened again; usually until stopped.
            report: Saves a fault of our own and says where.
        """
        self._transport = transport
        self._decoder = _decoder(language, known, bits)
        self._judge = SteadinessJudge(division)
        self._poll = self._poll_of(language, bits)
        self._watch = LineWatch(is_asked=self._poll is not None, streams=streams)
        self._backlog = Backlog()
        self.log = LineLog()
        self._deliver = deliver
        self._now_s = now_s
        self._stop = threading.Event()
        self._wait = wait or self._stop.wait
        self._report = report
        self._reported: set[str] = set()
        self._thread = threading.Thread(target=self._run, name="scale", daemon=True)
        self._is_heard = False
        self._capture: CaptureWriter | None = None
        self.changed = LineChanged(now_s(), LineState.OPENING, self._said(LineState.OPENING))
        """The state the line came into last."""

    def _poll_of(self, language: Language | None, bits: Bits | None) -> Poll | None:
        if language is None or language.ask is None:
            return None
        binary = language.is_binary
        return Poll(language.ask, bits, is_binary=binary, write=self._transport.write)

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

    @property
    def language(self) -> str | None:
        """Get the name of the language that is read; none while it is looked for."""
        spoken = self._spoken
        return None if spoken is None else spoken.name

    @property
    def _spoken(self) -> Language | None:
        decoder = self._decoder
        return decoder.language if isinstance(decoder, Decoder) else decoder.found

    def capture_to(self, capture: CaptureWriter | None) -> None:
        """Write what arrives to a capture from now on, or stop doing so."""
        self._capture = capture

    @property
    def is_capturing(self) -> bool:
        """Get whether what arrives is written to a capture."""
        return self._capture is not None

    def _run(self) -> None:
        self._wait_s = FIRST_WAIT_S
        while not self._stop.is_set():
            self._read_once()
            # A handle kept open keeps the port's name from coming back.
            self._transport.close()
            self._wait(self._wait_s)
            self._wait_s = min(self._wait_s * 2, LONGEST_WAIT_S)

    def _read_once(self) -> None:
        """Open and read until the line ends, whatever ends it."""
        try:
            with at_port(self._transport):
                self._transport.open()
            self._opened()
            self._read_on()
        except LineFault as fault:
            self._change(fault.state, fault.message)
            self._lost(fault.why)
        except Exception as fault:  # noqa: BLE001  # told, and tried again: a bench must not go deaf
            self._failed(fault)

    def _failed(self, fault: Exception) -> None:
        """Report a fault of our own, once for each kind."""
        kind = repr(fault)
        where = self._report(fault) if kind not in self._reported else ""
        self._reported.add(kind)
        try:
            state = LineState.OUR_FAULT
            self._change(state, sentence(state, self._transport.port, where or kind))
            self._lost(kind)
        except Exception:  # noqa: BLE001  # it may have been the delivery itself that failed
            self._is_heard = False

    def _opened(self) -> None:
        now_s = self._now_s()
        self._forget()
        self._watch.opened(now_s)
        self._backlog.restart(now_s)
        self.log.opened()
        if self._poll is not None:
            self._poll.restart()
        self._tell_state()

    def _forget(self) -> None:
        self._decoder.restart()
        self._judge.restart()

    def _read_on(self) -> None:
        while not self._stop.is_set():
            with at_port(self._transport):
                if self._poll is not None:
                    self._poll.ask_if_due(self._now_s())
                data = self._transport.read_chunk()
            now_s = self._now_s()
            if data:
                self._take(now_s, data)
            else:
                self._rest(now_s)
            self._tell_state()
            if self._watch.is_given_up(now_s):
                self._wait_s = FIRST_WAIT_S
                if self._watch.is_steady_stream:
                    self._lost("silent")
                return

    def _rest(self, now_s: float) -> None:
        self._backlog.found(now_s, 0)
        ended = self._decoder.idle(now_s)
        if ended:
            self._note(now_s, b"", ended, is_fresh=True)
            self._pass_on(now_s, ended)
        self._watch.quiet(now_s)

    def _take(self, now_s: float, data: bytes) -> None:
        read = self._decoder.feed(now_s, data)
        fresh = self._backlog.found(now_s, len(read))
        self._note(now_s, data, read, is_fresh=bool(fresh or not read))
        stale = len(read) - fresh
        self.log.dropped(stale)
        if stale and not fresh:
            self._piled_up(now_s, data)
            return
        self._heard(now_s)
        self._write(lambda capture: capture.chunk(now_s, data))
        self._pass_on(now_s, read[stale:])

    def _note(
        self, now_s: float, data: bytes, read: list[Reading | BadFrame], *, is_fresh: bool
    ) -> None:
        knows = self.language is not None
        self.log.chunk(now_s, data, read, is_fresh=is_fresh, is_counted=knows)

    def _piled_up(self, now_s: float, data: bytes) -> None:
        """Take what had piled up for a break: nobody was listening, and it has no time that is known."""
        self._lost("piled up")
        self._write(lambda capture: capture.note(f"{len(data)} bytes that had piled up left out"))
        self._forget()
        self._watch.heard(now_s, good=0, bad=0)

    def _pass_on(self, now_s: float, read: list[Reading | BadFrame]) -> None:
        good = sum(isinstance(each, Reading) for each in read)
        if self._poll is not None and read:
            self._poll.answered()
        self._watch.heard(now_s, good=good, bad=len(read) - good)
        self._tell_state()
        if good:
            self._wait_s = FIRST_WAIT_S
        spoken = self._spoken
        self._judge.mark_may_be_missing = spoken is not None and spoken.may_never_say_steady
        for event in read:
            if isinstance(event, BadFrame) or self._watch.is_believed:
                self._deliver(self._judge.judged(event))

    def _heard(self, now_s: float) -> None:
        """Say that the line is back at its first bytes: a port that opens may still be dead."""
        if not self._is_heard:
            self._is_heard = True
            self._write(lambda capture: capture.mark(now_s, lost=False))
            self._deliver(LineBack(now_s))

    def _lost(self, why: str) -> None:
        if self._is_heard and not self._stop.is_set():
            self._is_heard = False
            now_s = self._now_s()
            self._write(lambda capture: capture.mark(now_s, lost=True))
            self._deliver(LineLost(now_s, why))

    def _tell_state(self) -> None:
        state = self._watch.state
        if state is not self.changed.state:
            self._change(state, self._said(state))

    def _said(self, state: LineState) -> Message:
        if state is LineState.SILENT and not self._watch.is_steady_stream:
            name = "line.paused" if self._watch.was_read else "line.unheard"
            return Message(name, {"port": self._transport.port})
        return sentence(state, self._transport.port)

    def _change(self, state: LineState, say: Message) -> None:
        before, self.changed = self.changed, LineChanged(self._now_s(), state, say)
        if (before.state, before.say) != (state, say) and not self._stop.is_set():
            self._deliver(self.changed)

    def _write(self, what: Callable[[CaptureWriter], None]) -> None:
        """Write to the capture; a full disk ends the capture, never the reading."""
        capture = self._capture
        if capture is None:
            return
        try:
            what(capture)
        except (OSError, ValueError) as fault:  # ValueError: its end was asked for meanwhile
            if self._capture is not capture:
                return
            self._capture = None
            values = {"file": capture.name, "why": getattr(fault, "strerror", None) or str(fault)}
            self._deliver(LineNotice(self._now_s(), Message("line.capture_stopped", values)))


def _decoder(
    language: Language | None, known: Sequence[Language], bits: Bits | None
) -> Decoder | FindingDecoder:
    if language is not None and bits is not None:
        return Decoder(language, bits)
    return FindingDecoder(known if language is None else (language,))
