"""Follow the state of an open line from what comes and what does not."""

from collections import deque
from typing import Final

from shedstation.domain.line_state import LineState
from shedstation.domain.pace import LEAST_SILENCE_S, Pace

WINDOW_S: Final = 5.0
LEAST_FRAMES: Final = 5
MOST_BAD: Final = 0.2
"""A larger share of bad frames within the window, and nothing is believed (design)."""

REOPEN_STREAM_S: Final = 5.0
"""A streaming or asked scale this long silent is opened anew: a dead line may never report an error."""

REOPEN_UNHEARD_S: Final = 30.0
"""A line that never sent anything; one that prints now and then is left alone, a pause is its way."""


class LineWatch:
    """What an open line is doing; time comes with each call."""

    def __init__(self, *, is_asked: bool = False, streams: bool = True) -> None:
        """Start before the line is open.

        Args:
            is_asked: Whether the scale is asked for each reading, so that silence means something.
            streams: Whether it sends by itself; keys pressed evenly look like a stream too.
        """
        self._streams = streams
        self._is_asked = is_asked
        self._frames: deque[tuple[float, bool]] = deque()
        self.opened(0.0)

    def opened(self, now_s: float) -> None:
        """Start listening at a line that was just opened."""
        self.state = LineState.LISTENING
        self._pace = Pace()
        self._frames.clear()
        self._bad = 0
        self._last_s = now_s
        self._unread_s: float | None = None
        self._is_heard = False

    def heard(self, now_s: float, *, good: int, bad: int) -> None:
        """Note bytes, and how many frames became whole with them."""
        self._is_heard = True
        self._last_s = now_s
        if self._unread_s is None:
            self._unread_s = now_s
        if good:
            self._pace.hear(now_s)
            self._unread_s = None
        self._count(now_s, good, bad)
        self._judge(now_s, is_good=good > 0)

    def quiet(self, now_s: float) -> None:
        """Note that nothing came for a moment."""
        too_long = not self.is_steady_stream or self._pace.is_silent(now_s)
        if too_long and now_s - self._last_s > LEAST_SILENCE_S:
            self.state = LineState.SILENT
            self._unread_s = None

    def is_given_up(self, now_s: float) -> bool:
        """Tell whether the line should be opened anew."""
        silent_s = now_s - self._last_s
        if not self._is_heard:
            return silent_s > REOPEN_UNHEARD_S
        return silent_s > REOPEN_STREAM_S and self.is_steady_stream

    @property
    def is_steady_stream(self) -> bool:
        """Get whether the scale sends, or answers, at an even pace, so that silence is a fault."""
        return self._streams and (self._pace.is_streaming or (self._is_asked and self._is_heard))

    @property
    def was_read(self) -> bool:
        """Get whether a reading came since the line was opened."""
        return self._pace.last_s is not None

    @property
    def is_believed(self) -> bool:
        """Get whether readings may be used."""
        return self.state is LineState.LIVE

    def _count(self, now_s: float, good: int, bad: int) -> None:
        if self.state in (LineState.LIVE, LineState.WRONG_DATA):
            self._frames.extend([(now_s, True)] * good + [(now_s, False)] * bad)
            self._bad += bad
        while self._frames and now_s - self._frames[0][0] > WINDOW_S:
            self._bad -= not self._frames.popleft()[1]

    def _judge(self, now_s: float, *, is_good: bool) -> None:
        enough = len(self._frames) >= LEAST_FRAMES
        bad = self._bad / max(len(self._frames), 1)
        if self._unread_s is not None and now_s - self._unread_s > WINDOW_S:
            self.state = LineState.WRONG_DATA
        elif self.state is LineState.WRONG_DATA:
            self.state = LineState.LIVE if is_good and bad <= MOST_BAD else self.state
        elif enough and bad > MOST_BAD:
            self.state = LineState.WRONG_DATA
        elif is_good:
            self.state = LineState.LIVE
        elif self.state is LineState.SILENT or self._pace.is_silent(now_s):
            self.state = LineState.LISTENING
