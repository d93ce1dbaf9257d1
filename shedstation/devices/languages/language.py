"""Say what a scale's language is: how frames are cut, what they match, what they mean."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Final, NamedTuple

from shedstation.devices.languages.framing import LINES, Framing
from shedstation.domain.mass import Mass
from shedstation.domain.reading import Mode, State


@dataclass(frozen=True, slots=True)
class Bare:
    """A number sent without its unit; it has the unit that was sent last."""

    count: int
    decimals: int


class Meaning(NamedTuple):
    """What one frame says."""

    mass: Mass | Bare | None
    """None beyond the scale's range."""

    state: State
    mode: Mode = Mode.UNKNOWN
    tare: Mass | None = None
    """The tare the scale itself sends, if it does."""


Parse = Callable[[re.Match[bytes]], Meaning | None]
"""Gives what a matching frame says; none for a well-formed frame that is no reading."""


class Wire(Enum):
    """What a scale's bytes come over."""

    SERIAL = "serial"
    NETWORK = "network"
    USB = "USB"


CABLES: Final = frozenset({Wire.SERIAL, Wire.NETWORK})
"""A converter on the network carries what a serial line does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """How one family of scales writes a reading on the line."""

    name: str
    grammar: re.Pattern[bytes]
    """What a whole frame must match, terminators left out."""

    parse: Parse
    sample: bytes
    """A frame as it is sent, terminators included."""

    framing: Framing = LINES
    shows_its_start: bool = False
    """Whether every frame begins with a header, so that no tail of a frame can pass for one."""

    has_check: bool = False
    """Whether a check in the frame catches every single damaged byte."""

    is_binary: bool = False
    """Whether it needs all eight bits of a byte; all others are text of seven."""

    proof: re.Pattern[bytes] | None = None
    """A frame that only this one of several near relatives writes; it is not found before one came."""

    may_never_say_steady: bool = False
    """Whether some scales of the family mark movement and yet never say that it is over."""

    wires: frozenset[Wire] = CABLES
    """What it can come over."""

    is_learned: bool = False
    """Whether it was learned here or by a neighbour; a shipped one that reads as much comes first."""

    ask: bytes | None = None
    """What makes it send one reading, changing nothing at the scale; none if it is never asked."""
