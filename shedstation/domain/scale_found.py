"""Say what was found on a scale's line: which language, which settings, how sure, why."""

from dataclasses import dataclass, replace
from enum import Enum

from shedstation.domain.message import Message


class Sure(Enum):
    """How sure a finding is."""

    SURE = "sure"
    LIKELY = "likely"
    NOT_SURE = "not sure"
    NOTHING = "nothing found"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found, or what was seen instead and what to try."""

    sure: Sure
    share: float = 0.0
    """Share of the frames that could be read, from 0 to 1."""

    language: str | None = None
    baud: int | None = None
    """Line speed; none for a capture or a network line, which have none of their own."""

    bits: str | None = None
    is_text: bool = False
    """Whether text came that is in no known language: its speed is right, it can be taught."""

    by_key: bool | None = None
    """Whether it came only once somebody had pressed the print key; none where that is not known."""

    why: tuple[Message, ...] = ()
    others: tuple[str, ...] = ()
    """Languages that read the same bytes as well."""

    to_try: tuple[Message, ...] = ()

    def at_speed(self, baud: int | None) -> "Found":
        """Say at which speed it was found, if anything was."""
        return replace(self, baud=baud) if self.language or self.is_text else self


@dataclass(frozen=True, slots=True)
class Looking:
    """How far the search is: a sentence, and what share of it is done."""

    say: Message
    done: float
    needs_a_hand: bool = False
    """Whether it waits for somebody to press a key at the scale."""


Step = Looking | Found
"""A search gives many of the first, then one of the second."""
