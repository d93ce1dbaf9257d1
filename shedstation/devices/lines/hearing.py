"""Keep what came at one setting of a port, and tell when it is enough to go by."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.language import Language
from shedstation.devices.lines.judging import PLAIN_PORT, judged, text_of
from shedstation.domain.scale_found import Found, Sure

_GARBLED_S: Final = 0.3
"""Rubbish that came over so long is none because only the tail of a frame was heard."""

_CONTINUOUS_S: Final = 1.0
_QUIET_S: Final = 0.1
_PAUSE_S: Final = 0.03
"""Longer than a converter holds bytes back: here one frame ended and another began."""

_LITTLE_S: Final = 1.2
_LEAST_BYTES: Final = 12
_LONGEST_S: Final = 6.0
_UNKNOWN_TEXT_S: Final = 2.0
_LONGEST_PRINT_S: Final = 2.0
_AFTER_KEY_S: Final = 0.5

_USUAL: Final = frozenset(b"0123456789 .,+-\r\n\x02\x03")
"""What most of any weight is made of."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How a port is opened."""

    baud: int | None
    """None for a line that has no speed of its own."""

    bits: str = PLAIN_PORT
    """`8N1`, or `8E1` or `8O1`, where the port itself takes the parity off."""


@dataclass(slots=True)
class Heard:
    """What came at one setting."""

    setting: Setting
    chunks: list[Chunk] = field(default_factory=list)
    found: Found = field(default_factory=lambda: Found(sure=Sure.NOTHING))

    def take(self, at_s: float, data: bytes) -> None:
        """Keep bytes that came."""
        self.chunks.append(Chunk(at_s, data))

    def judge(self, languages: Sequence[Language]) -> Found:
        """Judge all that came so far."""
        if self.chunks:
            found = judged(self.chunks, languages, port=self.setting.bits)
            self.found = found.at_speed(self.setting.baud)
        return self.found

    @property
    def is_stream(self) -> bool:
        """Get whether it went on longer than what one press of a key prints."""
        if not self.chunks:
            return False
        lasted_s = self.chunks[-1].at_s - self.chunks[0].at_s
        return self.found.sure is Sure.SURE or lasted_s > _LONGEST_PRINT_S

    @property
    def data(self) -> bytes:
        """Get all bytes that came."""
        return b"".join(chunk.data for chunk in self.chunks)

    @property
    def likeness(self) -> float:
        """Get how much of it, top bits left aside, is what most of any weight is made of."""
        data = self.data
        return sum(byte & 0x7F in _USUAL for byte in data) / max(len(data), 1)

    def is_enough(self, now_s: float, *, by_key: bool) -> bool:
        """Tell whether more would change nothing, as far as one can wait for it."""
        if not self.chunks:
            return False
        first_s, last_s = self.chunks[0].at_s, self.chunks[-1].at_s
        if self.found.sure is Sure.SURE or now_s - first_s > _LONGEST_S:
            return True
        if by_key:
            return now_s - last_s > _AFTER_KEY_S
        if self.found.language is not None:
            return False
        if text_of(self.data) is not None:
            return now_s - first_s > _UNKNOWN_TEXT_S
        return self._is_rubbish(first_s, last_s, now_s)

    def _is_rubbish(self, first_s: float, last_s: float, now_s: float) -> bool:
        """Tell whether more than the tail of a frame came, and no sense in it."""
        pauses = sum(b.at_s - a.at_s > _PAUSE_S for a, b in pairwise(self.chunks))
        if last_s - first_s < _GARBLED_S or not (pauses or len(self.data) >= _LEAST_BYTES):
            return now_s - first_s > _LITTLE_S
        is_steady = last_s - first_s > _CONTINUOUS_S or pauses > 1
        return is_steady or now_s - last_s > _QUIET_S
