"""Decide when a scale sends what its display shows: always, when asked, on a key, or once a load."""

from enum import Enum
from typing import Final

from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.voice import Voice
from shedstation.domain.reading import State

_SEVEN_BITS: Final = bytes(byte & 0x7F for byte in range(256))
_MOST_HEARD: Final = 32


class Sending(Enum):
    """When a scale sends."""

    STREAM = "stream"
    POLL = "poll"
    PRINT_KEY = "print-key"
    STABLE_ONLY = "stable-only"


class Speaker:
    """The side of a scale that is on the line."""

    def __init__(self, voice: Voice, sending: Sending) -> None:
        """Start silent."""
        self.voice = voice
        self.sending = sending
        self._heard = b""
        self._questions: list[bytes] = []
        self._presses = 0
        self._has_sent_load = True

    def hear(self, data: bytes) -> None:
        """Take bytes that came from the other side, whatever their top bits."""
        *questions, rest = (self._heard + data.translate(_SEVEN_BITS)).split(b"\r")
        self._heard = rest[-_MOST_HEARD:]
        self._questions += [each.strip(b"\n") for each in questions]

    def press_print(self) -> None:
        """Press the print key; it prints once the display is steady."""
        self._presses = 1

    def say(self, shown: Shown) -> list[bytes]:
        """Give what is sent at one update of the display."""
        match self.sending:
            case Sending.STREAM:
                return [self.voice.write(shown)]
            case Sending.POLL:
                return self._answers(shown)
            case Sending.PRINT_KEY:
                return self._print(shown)
            case Sending.STABLE_ONLY:
                return self._new_load(shown)

    def _answers(self, shown: Shown) -> list[bytes]:
        questions, self._questions = self._questions, []
        known = self.voice.question.strip(b"\r\n")
        answers = [
            self.voice.write(shown) if each == known else self.voice.puzzled for each in questions
        ]
        return [each for each in answers if each]

    def _print(self, shown: Shown) -> list[bytes]:
        if shown.state is not State.STEADY or not self._presses:
            return []
        self._presses = 0
        return [self.voice.write(shown)]

    def _new_load(self, shown: Shown) -> list[bytes]:
        """Send a load once when it comes to rest; an empty pan is none."""
        if shown.state is not State.STEADY:
            self._has_sent_load = False
            return []
        is_due, self._has_sent_load = not self._has_sent_load and shown.mass.count != 0, True
        return [self.voice.write(shown)] if is_due else []
