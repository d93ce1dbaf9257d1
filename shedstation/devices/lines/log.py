"""Keep what a line sent last and how good it was, for whoever looks at it."""

import threading
from collections import deque
from collections.abc import Sequence
from statistics import median
from typing import Final

from shedstation.domain.line_report import Heard, Quality
from shedstation.domain.reading import BadFrame, Reading

KEPT_CHUNKS: Final = 2000
_KEPT_HEARD: Final = 200
_COUNTED_FRAMES: Final = 1000
_PERIODS: Final = 49
_MOST_UNREAD_BYTES: Final = 256


class LineLog:
    """What one line sent last; written in the reader's thread, read in any."""

    def __init__(self) -> None:
        """Start with nothing."""
        self._lock = threading.Lock()
        self._chunks: deque[tuple[float, bytes]] = deque(maxlen=KEPT_CHUNKS)
        self._heard: deque[Heard] = deque(maxlen=_KEPT_HEARD)
        self._frames: deque[bool] = deque(maxlen=_COUNTED_FRAMES)
        self._periods: deque[float] = deque(maxlen=_PERIODS)
        self._unread = b""
        self._last_s: float | None = None
        self._stale = 0
        self._opened = 0

    def opened(self) -> None:
        """Note that the port was opened."""
        with self._lock:
            self._opened += 1
            self._unread, self._last_s = b"", None

    def chunk(
        self,
        at_s: float,
        data: bytes,
        read: Sequence[Reading | BadFrame],
        *,
        is_fresh: bool,
        is_counted: bool,
    ) -> None:
        """Note bytes and what became whole with them.

        Args:
            at_s: When they came.
            data: The bytes.
            read: The frames they ended.
            is_fresh: Whether they may be used.
            is_counted: Whether they say how good the line is; not while the language is looked for.
        """
        with self._lock:
            self._chunks.append((at_s, data))
            self._unread = (self._unread + data)[-_MOST_UNREAD_BYTES:]
            if read:
                heard = Heard(at_s=at_s, raw=self._unread, read=tuple(read), is_stale=not is_fresh)
                self._heard.append(heard)
                self._unread = b""
                if is_counted:
                    self._frames.extend(isinstance(each, Reading) for each in read)
            if is_fresh and any(isinstance(each, Reading) for each in read):
                self._pace(at_s, len(read))

    def dropped(self, readings: int) -> None:
        """Note that readings were left out because they had piled up."""
        with self._lock:
            self._stale += readings

    def _pace(self, at_s: float, frames: int) -> None:
        if self._last_s is not None:
            self._periods.append((at_s - self._last_s) / frames)
        self._last_s = at_s

    def chunks(self) -> list[tuple[float, bytes]]:
        """Give the last chunks as they came, oldest first."""
        with self._lock:
            return list(self._chunks)

    def heard(self) -> tuple[Heard, ...]:
        """Give the last frames with their bytes, oldest first."""
        with self._lock:
            return tuple(self._heard)

    def quality(self) -> Quality:
        """Give the figures."""
        with self._lock:
            return Quality(
                frames=len(self._frames),
                bad=self._frames.count(False),
                stale=self._stale,
                reconnects=max(self._opened - 1, 0),
                period_s=median(self._periods) if self._periods else None,
            )
