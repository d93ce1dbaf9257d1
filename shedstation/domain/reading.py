"""Say what one complete answer of the scale is, and what else a scale's line can report."""

from dataclasses import dataclass
from enum import Enum

from shedstation.domain.line_state import LineChanged, LineNotice
from shedstation.domain.mass import Mass


class State(Enum):
    """What the scale says of its own reading; over and under mean beyond its range."""

    STEADY = "steady"
    MOVING = "moving"
    OVER = "over"
    UNDER = "under"
    FAULT = "fault"
    UNKNOWN = "unknown"


class Mode(Enum):
    """Whether the scale shows the whole load or what is left after its own tare."""

    GROSS = "gross"
    NET = "net"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Reading:
    """One complete answer of the scale."""

    at_s: float
    """Seconds (monotonic, any zero) at which its last byte arrived."""

    mass: Mass | None
    """What the display shows; none beyond the scale's range."""

    state: State
    mode: Mode = Mode.UNKNOWN

    tare: Mass | None = None
    """The tare the scale itself sends, if it does."""

    judged: bool = False
    """Whether steadiness was judged here by time because the scale sends no mark."""

    typed: bool = False
    """Whether a person typed it; such a weight is recorded as by hand."""


@dataclass(frozen=True, slots=True)
class BadFrame:
    """A frame that is not in the scale's language; never a number."""

    at_s: float
    raw: bytes
    why: str


@dataclass(frozen=True, slots=True)
class LineLost:
    """The port went away; any part of a frame that had arrived is dropped."""

    at_s: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class LineBack:
    """The port returned."""

    at_s: float


ScaleEvent = Reading | BadFrame | LineLost | LineBack | LineChanged | LineNotice
"""Everything that can come from a scale's line, in the order it came."""
