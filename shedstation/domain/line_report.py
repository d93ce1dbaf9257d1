"""Say how well a scale's line does: figures, the last readings, the ports to choose from."""

from dataclasses import dataclass

from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """Figures of one line; frames are counted over the last ones only."""

    frames: int = 0
    bad: int = 0
    """How many of the frames could not be read."""

    stale: int = 0
    """Readings left out because they had piled up unread, since the line was connected."""

    reconnects: int = 0
    """How often the port was opened again, since the line was connected."""

    period_s: float | None = None
    """Usual time from one reading to the next; none before some came."""

    @property
    def good_permille(self) -> int | None:
        """Get the share of good frames in thousandths, rounded down; none before there was one."""
        return None if not self.frames else (self.frames - self.bad) * 1000 // self.frames


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Bytes as they came, and what was read from them."""

    at_s: float
    raw: bytes
    read: tuple[Reading | BadFrame, ...]
    is_stale: bool = False
    """Whether they had piled up, so that nothing was taken from them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineReport:
    """A line at one moment."""

    state: LineState
    say: Message
    quality: Quality = Quality()
    heard: tuple[Heard, ...] = ()
    """The last ones, oldest first."""

    language: str | None = None
    """The language that is read; none while it is looked for."""

    capture: str | None = None
    """The file the bytes are caught in, if any."""


@dataclass(frozen=True, slots=True)
class PortChoice:
    """A port that exists."""

    identity: str
    """What is remembered: it stays the same when the system names the port otherwise."""

    title: Message
