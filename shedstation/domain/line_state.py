"""Say how a scale's line does, as a state and a sentence."""

from dataclasses import dataclass
from enum import Enum

from shedstation.domain.message import Message


class LineState(Enum):
    """What a scale's line is doing, or why it cannot be read."""

    CLOSED = "closed"
    """Nothing is read."""

    OPENING = "opening"
    LISTENING = "listening"
    """Open; no whole reading so far."""

    LIVE = "live"
    SILENT = "silent"
    """Open, but nothing comes."""

    WRONG_DATA = "wrong_data"
    """Much of what comes cannot be read, so nothing of it is believed."""

    TAKEN = "taken"
    """Another program has the port."""

    NOT_ALLOWED = "not_allowed"
    GONE = "gone"
    """The port is not there: the cable is out."""

    AMBIGUOUS = "ambiguous"
    """Several adapters could be the one that is meant."""

    UNFIT = "unfit"
    """What goes by the name is no scale's port."""

    TURNED_AWAY = "turned_away"
    """The address answers, but nothing takes the call there."""

    NO_ANSWER = "no_answer"
    """Nobody answers at the address."""

    HUNG_UP = "hung_up"
    """The other side ended the connection."""

    OUR_FAULT = "our_fault"
    """The program itself failed while reading, and tries again."""


NEEDS_A_LOOK = frozenset(LineState) - {
    LineState.CLOSED, LineState.OPENING, LineState.LISTENING, LineState.LIVE, LineState.SILENT,
    LineState.GONE, LineState.HUNG_UP,
}  # fmt: skip
"""States of which cable and power are not the reason: the page of the scale says what is."""


@dataclass(frozen=True, slots=True)
class LineChanged:
    """The line came into another state."""

    at_s: float
    state: LineState
    say: Message
    """What is wrong and what to do."""


@dataclass(frozen=True, slots=True)
class LineNotice:
    """Something about the line that a person should be told once."""

    at_s: float
    say: Message
