"""Say how far the teaching of a scale's language is."""

from dataclasses import dataclass

from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, Reading


@dataclass(frozen=True, slots=True)
class LoadShown:
    """A load, what the display showed of it, and the last bytes that came meanwhile."""

    shown: Mass | None
    """None where the display showed no number, beyond its range."""

    raw: bytes


@dataclass(frozen=True, slots=True)
class InDoubt:
    """Something that could not be learned for certain."""

    about: Message
    settle: Message | None
    """What to do at the scale to settle it, if anything can."""

    blocks: bool
    """Whether the language cannot be used before it is settled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonSoFar:
    """What was shown and what was learned from it."""

    loads: tuple[LoadShown, ...] = ()
    words: tuple[Message, ...] = ()
    """What is certain, part by part."""

    doubts: tuple[InDoubt, ...] = ()
    may_be_used: bool = False
    tried: Reading | BadFrame | None = None
    """What the language makes of the last bytes that came; none before there is one."""
