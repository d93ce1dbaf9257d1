"""Say what could not be learned for certain, and which further load would settle it."""

from dataclasses import dataclass

from shedstation.domain.message import Message


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that is not certain."""

    about: Message
    """What is not known, and what the station does about it meanwhile."""

    settle: Message | None = None
    """What to do at the scale to settle it."""

    blocks: bool = False
    """Whether nothing can be read before it is settled."""


def blocking(name: str, settle: str | None = None, /, **values: object) -> Doubt:
    """Make a doubt that keeps the language from being used."""
    return Doubt(Message(name, values), None if settle is None else Message(settle), blocks=True)


def open_doubt(name: str, settle: str | None = None, /, **values: object) -> Doubt:
    """Make a doubt with which the language can be used: what is in doubt becomes a bad frame."""
    return Doubt(Message(name, values), None if settle is None else Message(settle))
