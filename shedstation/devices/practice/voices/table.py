"""List the voices a practice scale can speak with."""

from typing import Final

from shedstation.devices.practice.voices.blocks import BLOCK_VOICES
from shedstation.devices.practice.voices.columns import COLUMN_VOICES
from shedstation.devices.practice.voices.commas import COMMA_VOICES
from shedstation.devices.practice.voices.replies import REPLY_VOICES
from shedstation.devices.practice.voices.voice import Voice

VOICES: Final[tuple[Voice, ...]] = (*COMMA_VOICES, *COLUMN_VOICES, *BLOCK_VOICES, *REPLY_VOICES)


def voice(name: str) -> Voice:
    """Find a voice by name.

    Raises:
        KeyError: if no voice has that name.
    """
    return {each.name: each for each in VOICES}[name]
