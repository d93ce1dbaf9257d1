"""Cut a scale's bytes into frames, whatever the pieces they come in."""

import re
from collections.abc import Iterator
from enum import Enum
from typing import Final

MOST_FRAME_BYTES: Final = 128
_ENDS: Final = re.compile(rb"[\r\n]+")


class Cut(Enum):
    """Whether a frame may be read."""

    WHOLE = "whole"
    TOO_LONG = "longer than any frame"
    TAIL = "shorter than the frame after it, so perhaps its tail only"


class First(Enum):
    """What is done with the first frame after a start, which may be a tail."""

    DROPPED = "dropped"
    HELD = "held"
    TAKEN = "taken"


class LineFramer:
    """Frames that end with CR, LF or any run of both.

    A frame is complete at its first terminator. What comes first after a start may be the tail of a
    frame (`2.34 lb` of `12.34 lb`): it is held until the next one shows whether it is as long, or
    dropped, or taken as it is where a language's frames show their own beginning.
    """

    def __init__(self, first: First = First.DROPPED) -> None:
        """Start cutting."""
        self._first = first
        self.restart()

    def restart(self) -> None:
        """Drop a partial frame and start again."""
        self._rest, self._skipping = b"", False
        self._in_step = self._first is not First.DROPPED
        self._holds_first = self._first is First.HELD
        self._held: bytes | None = None

    @property
    def is_holding(self) -> bool:
        """Get whether a first frame is held."""
        return self._held is not None

    def feed(self, data: bytes) -> Iterator[tuple[bytes, Cut]]:
        """Give each frame with whether it may be read."""
        pieces = _ENDS.split(self._rest + data)
        self._rest = pieces.pop()
        for piece in pieces:
            if self._skipping or not self._in_step:
                self._skipping, self._in_step = False, True
            elif piece:
                yield from self._frame(piece)
        if len(self._rest) > MOST_FRAME_BYTES:
            yield from self._give_up()

    def finish(self) -> Iterator[tuple[bytes, Cut]]:
        """Give a held first frame after which nothing came."""
        if self._held is not None:
            yield self._held, Cut.WHOLE
            self._held = None

    def _frame(self, piece: bytes) -> Iterator[tuple[bytes, Cut]]:
        if self._holds_first and self._held is None:
            self._held = piece
            return
        if self._held is not None:
            first, self._held, self._holds_first = self._held, None, False
            yield first, Cut.WHOLE if len(first) >= len(piece) else Cut.TAIL
        whole = len(piece) <= MOST_FRAME_BYTES
        yield piece[:MOST_FRAME_BYTES], Cut.WHOLE if whole else Cut.TOO_LONG

    def _give_up(self) -> Iterator[tuple[bytes, Cut]]:
        if not self._skipping and self._in_step:
            yield self._rest[:MOST_FRAME_BYTES], Cut.TOO_LONG
        self._rest, self._skipping = b"", True
