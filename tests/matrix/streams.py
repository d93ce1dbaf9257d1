"""What voices send, frame by frame, and what a reader makes of such bytes in whatever pieces."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from matrix.displays import displays_for

from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.rows import language
from shedstation.devices.practice.voices.table import VOICES
from shedstation.devices.practice.voices.voice import Voice
from shedstation.domain.mass import Unit
from shedstation.domain.reading import BadFrame, Mode, Reading, State

Said = tuple[str | None, State, Mode]


@dataclass(frozen=True)
class Stream:
    """One voice in one unit: a frame for each different display."""

    voice: Voice
    unit: Unit
    frames: tuple[bytes, ...]

    @property
    def language(self) -> Language:
        return language(self.voice.language)

    @property
    def end(self) -> bytes:
        """Get what ends a frame."""
        ends = {"bracketed-reply": b"\x03", "ticket-lines": b"\r\n\r\n"}
        return ends.get(self.voice.language, b"\r\n")

    def __str__(self) -> str:
        return f"{self.voice.name}, {self.unit.value}"


def _frames(voice: Voice, unit: Unit) -> tuple[bytes, ...]:
    shown = (each for each, _ in groupby(displays_for(voice, unit)))
    weights = [each for each in shown if not voice.prints_only or each.state is State.STEADY]
    return tuple(voice.write(each) for each in weights)


STREAMS = tuple(
    Stream(voice, unit, _frames(voice, unit)) for voice in VOICES for unit in voice.units
)
ONE_A_VOICE = tuple(next(group) for _, group in groupby(STREAMS, key=attrgetter("voice.name")))


def events(
    spoken: Language, pieces: Iterable[bytes], bits: Bits = Bits.PLAIN
) -> list[Reading | BadFrame]:
    """Read pieces that come at once, one behind the other, to their end."""
    decoder = Decoder(spoken, bits)
    got = [event for piece in pieces for event in decoder.feed(0.0, piece)]
    return [*got, *decoder.finish()]


def readings(spoken: Language, pieces: Iterable[bytes], bits: Bits = Bits.PLAIN) -> list[Said]:
    """Give only what was read."""
    return [said(event) for event in events(spoken, pieces, bits) if isinstance(event, Reading)]


def said(reading: Reading) -> Said:
    return None if reading.mass is None else str(reading.mass), reading.state, reading.mode


def is_part_of(some: Sequence[Said], every: Sequence[Said]) -> bool:
    """Tell whether some are left of all, in their order."""
    rest = iter(every)
    return all(any(one == other for other in rest) for one in some)
