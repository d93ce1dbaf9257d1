"""Root the family of errors: the world's faults apart from our own."""

from shedstation.domain.message import Message


class ShedError(Exception):
    """Root of everything this program raises on purpose."""


class WorldFault(ShedError):
    """Something outside is at fault (cable, paper, disk, file); the person can act on it."""

    def __init__(self, message: Message) -> None:
        """Carry the sentence to show as a message name with its values."""
        super().__init__(message)
        self.message = message

    def __str__(self) -> str:
        """Give the name and values, for logs; the screen asks the words for the sentence."""
        return str(self.message)


class Refused(ShedError):
    """What was asked is well formed but the state of the shed does not allow it."""

    def __init__(self, code: str, **values: object) -> None:
        """Carry the refusal's code and what its sentence needs."""
        super().__init__(code)
        self.code = code
        self.message = Message(f"refused.{code}", values)
