"""Cut a scale's bytes into frames, whatever the pieces they come in."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple, Protocol

MOST_FRAME_BYTES: Final = 128
MOST_TICKET_BYTES: Final = 512
TICKET_SILENCE_S: Final = 0.5
BROKEN_AFTER_S: Final = 1.5
"""No frame takes a rest this long: what came before is half of one, what comes next is a new one."""

_ENDS: Final = re.compile(rb"[\r\n]+")
_TICKET_ENDS: Final = re.compile(rb"(?>\r\n|\n\r|\r|\n){2,}|\f")
"""An empty line; a CR LF counts as one end, however it is looked at."""


class Cut(Enum):
    """Whether a frame may be read."""

    WHOLE = "whole"
    TOO_LONG = "longer than any frame"
    TAIL = "shorter than the frame after it, so perhaps its tail only"
    BETWEEN = "between two frames"
    BROKEN = "broken off by a silence"


class First(Enum):
    """What is done with the first frame after a start, which may be a tail."""

    DROPPED = "dropped"
    HELD = "held"
    TAKEN = "taken"


class Frame(NamedTuple):
    """Bytes between two ends, and the time of the chunk that held the last of them."""

    at_s: float
    raw: bytes
    cut: Cut = Cut.WHOLE


class Framer(Protocol):
    """Cuts bytes into frames."""

    def feed(self, at_s: float, data: bytes) -> Iterator[Frame]:
        """Give each frame that became whole with these bytes."""

    def idle(self, at_s: float) -> Iterator[Frame]:
        """Give what a silence up to this moment made whole."""

    def finish(self) -> Iterator[Frame]:
        """Give what is whole because nothing follows."""

    def restart(self) -> None:
        """Drop a partial frame and start again."""


@dataclass(frozen=True, slots=True)
class Ending:
    """Frames that end with a run of certain bytes."""

    ends: re.Pattern[bytes]

    def framer(self, first: First) -> Framer:
        """Make what cuts them."""
        return EndingFramer(self.ends, first)


LINES: Final = Ending(_ENDS)
"""Frames that end with CR, LF or any run of both."""


@dataclass(frozen=True, slots=True)
class Block:
    """Frames of one length that begin with a certain byte."""

    start: bytes
    """What each begins with; nothing if it begins in no certain way."""

    length: int
    is_frame: Callable[[bytes], object]
    """Tells whether bytes look like one; where they do not, the next start is looked for."""

    def framer(self, first: First) -> Framer:
        """Make what cuts them; a block shows its own start."""
        del first
        return BlockFramer(self)


@dataclass(frozen=True, slots=True)
class Ticket:
    """Several lines printed together; an empty line, a form feed or a silence ends them."""

    holds: re.Pattern[bytes]
    """What the lines of a weight hold; other lines are no weight and no fault."""

    def framer(self, first: First) -> Framer:
        """Make what cuts them."""
        return TicketFramer(self, first)


class Framing(Protocol):
    """How a language's bytes are cut."""

    def framer(self, first: First) -> Framer:
        """Make what cuts them."""


class EndingFramer:
    """Cuts at terminators.

    A frame is complete at its first terminator. What comes first after a start may be the tail of a
    frame (`2.34 lb` of `12.34 lb`): it is held until the next one shows whether it is as long, or
    dropped, or taken as it is where a language's frames show their own beginning.
    """

    def __init__(self, ends: re.Pattern[bytes], first: First) -> None:
        """Start cutting."""
        self._ends = ends
        self._first = first
        self.restart()

    def restart(self) -> None:
        """Drop a partial frame and start again."""
        self._rest, self._skipping = b"", False
        self._in_step = self._first is not First.DROPPED
        self._holds_first = self._first is First.HELD
        self._held: Frame | None = None
        self._last_s: float | None = None

    def feed(self, at_s: float, data: bytes) -> Iterator[Frame]:
        """Give each frame that became whole with these bytes."""
        yield from self.idle(at_s)
        self._last_s = at_s
        pieces = self._ends.split(self._rest + data)
        self._rest = pieces.pop()
        for piece in pieces:
            if self._skipping or not self._in_step:
                self._skipping, self._in_step = False, True
            elif piece:
                yield from self._frame(at_s, piece)
        if len(self._rest) > MOST_FRAME_BYTES:
            yield from self._give_up(at_s)

    def idle(self, at_s: float) -> Iterator[Frame]:
        """Give what a silence broke off; whatever comes after it begins a frame."""
        if self._last_s is None:
            self._last_s = at_s
        if at_s - self._last_s > BROKEN_AFTER_S:
            rest, self._rest = self._rest, b""
            self._skipping, self._in_step = False, True
            if rest:
                yield Frame(self._last_s, rest[:MOST_FRAME_BYTES], Cut.BROKEN)

    def finish(self) -> Iterator[Frame]:
        """Give a held first frame after which nothing came."""
        if self._held is not None:
            yield self._held
            self._held = None

    def _frame(self, at_s: float, piece: bytes) -> Iterator[Frame]:
        if self._holds_first and self._held is None:
            self._held = Frame(at_s, piece)
            return
        if self._held is not None:
            first, self._held, self._holds_first = self._held, None, False
            is_tail = len(first.raw) < len(piece)
            yield Frame(first.at_s, first.raw, Cut.TAIL if is_tail else Cut.WHOLE)
        whole = len(piece) <= MOST_FRAME_BYTES
        yield Frame(at_s, piece[:MOST_FRAME_BYTES], Cut.WHOLE if whole else Cut.TOO_LONG)

    def _give_up(self, at_s: float) -> Iterator[Frame]:
        if not self._skipping and self._in_step:
            yield Frame(at_s, self._rest[:MOST_FRAME_BYTES], Cut.TOO_LONG)
        self._rest, self._skipping = b"", True


class BlockFramer:
    """Cuts by a start byte and a length; what does not look like a frame is passed over."""

    def __init__(self, block: Block) -> None:
        """Start cutting."""
        self._block = block
        self.restart()

    def restart(self) -> None:
        """Drop a partial frame and start again."""
        self._rest = b""
        self._between = b""
        self._in_step = False

    def feed(self, at_s: float, data: bytes) -> Iterator[Frame]:
        """Give each frame that became whole with these bytes, however many there are."""
        for start in range(0, len(data), MOST_FRAME_BYTES):
            yield from self._lot(at_s, data[start : start + MOST_FRAME_BYTES])

    def _lot(self, at_s: float, data: bytes) -> Iterator[Frame]:
        self._rest += data
        while self._rest:
            passed = self._passed()
            yield from self._pass_over(at_s, passed)
            if passed:
                continue
            if len(self._rest) < self._block.length:
                return
            raw, self._rest = self._rest[: self._block.length], self._rest[self._block.length :]
            yield from self._told_between(at_s)
            self._in_step = True
            yield Frame(at_s, raw)

    def idle(self, at_s: float) -> Iterator[Frame]:
        """Give nothing: a silence ends no frame."""
        del at_s
        return iter(())

    def finish(self) -> Iterator[Frame]:
        """Give nothing: a block is whole at its last byte."""
        return iter(())

    def _passed(self) -> int:
        """Tell how many bytes are no beginning of a frame."""
        at = self._rest.find(self._block.start)
        if at != 0:
            return len(self._rest) if at < 0 else at
        head = self._rest[: self._block.length]
        whole = len(head) == self._block.length
        return 1 if whole and not self._block.is_frame(head) else 0

    def _pass_over(self, at_s: float, count: int) -> Iterator[Frame]:
        """Note bytes between frames."""
        self._between += self._rest[:count]
        self._rest = self._rest[count:]
        if len(self._between) > MOST_FRAME_BYTES:
            yield from self._told_between(at_s)

    def _told_between(self, at_s: float) -> Iterator[Frame]:
        """Give what lay between; little before the first frame is the tail of one that is missed."""
        is_tail = not self._in_step and len(self._between) < self._block.length
        if self._between and not is_tail:
            yield Frame(at_s, self._between[:MOST_FRAME_BYTES], Cut.BETWEEN)
        self._between = b""


class TicketFramer:
    """Cuts between groups of lines.

    What comes first after a start may be the lower half of a ticket, unless a silence came before it.
    """

    def __init__(self, ticket: Ticket, first: First) -> None:
        """Start cutting."""
        self._ticket = ticket
        self._first = first
        self.restart()

    def restart(self) -> None:
        """Drop a partial ticket and start again."""
        self._text = b""
        self._last_s: float | None = None
        self._in_step = self._first is not First.DROPPED

    def feed(self, at_s: float, data: bytes) -> Iterator[Frame]:
        """Give each ticket that ended with these bytes or with the silence before them."""
        yield from self.idle(at_s)
        if data.strip():
            self._last_s = at_s
        *tickets, self._text = _TICKET_ENDS.split(self._text + data)
        for ticket in tickets:
            yield from self._whole(ticket)
        if len(self._text) > MOST_TICKET_BYTES:
            yield from self.finish()
            self._in_step = False

    def idle(self, at_s: float) -> Iterator[Frame]:
        """Give the ticket that a silence ended; one that stops within a line is broken off."""
        last_s = self._last_s = at_s if self._last_s is None else self._last_s
        if at_s - last_s <= TICKET_SILENCE_S:
            return
        if not self._text or self._text.endswith((b"\r", b"\n")):
            yield from self.finish()
            self._in_step = True
        elif at_s - last_s > BROKEN_AFTER_S:
            text, self._text, self._in_step = self._text, b"", True
            yield Frame(last_s, text[:MOST_FRAME_BYTES], Cut.BROKEN)

    def finish(self) -> Iterator[Frame]:
        """Give what was printed so far as one ticket."""
        text, self._text = self._text, b""
        if text:
            yield from self._whole(text)

    def _whole(self, text: bytes) -> Iterator[Frame]:
        is_half, self._in_step = not self._in_step, True
        at_s = self._last_s or 0.0
        if is_half:
            return
        if len(text) > MOST_TICKET_BYTES:
            yield Frame(at_s, text[:MOST_FRAME_BYTES], Cut.TOO_LONG)
        elif self._ticket.holds.search(text):
            yield Frame(at_s, text.strip(b"\r\n"))
