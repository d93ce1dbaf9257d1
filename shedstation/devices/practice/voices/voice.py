"""Say what a voice is: how one scale writes its display, and how it answers."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from shedstation.devices.practice.voices.shown import Shown
from shedstation.domain.mass import Unit
from shedstation.domain.reading import State

Write = Callable[[Shown], bytes]
"""Gives the bytes of one display state, ends and all."""

SIMPLE_UNITS: Final = (Unit.LB, Unit.KG, Unit.OZ, Unit.G)
ALL_UNITS: Final = (*SIMPLE_UNITS, Unit.LB_OZ)
WEIGHTS_ONLY: Final = frozenset({State.STEADY, State.MOVING})
BEYOND_RANGE: Final = WEIGHTS_ONLY | {State.OVER, State.UNDER}
EVERY_STATE: Final = BEYOND_RANGE | {State.FAULT}


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """How one kind of scale speaks; several kinds may speak one language in their own way."""

    name: str
    """The language's name, then what sets this way of speaking it apart."""

    language: str
    write: Write
    units: tuple[Unit, ...] = ALL_UNITS
    states: frozenset[State] = BEYOND_RANGE
    """What it can say at all."""

    marks_steady: bool = True
    """Whether a frame tells steady from moving."""

    tells_mode: bool = False
    tells_tare: bool = False
    question: bytes = b"W\r"
    """What makes it send its display once."""

    puzzled: bytes = b""
    """What it sends when it does not know a question; most say nothing."""

    prints_only: bool = False
    """Whether it only ever sends on a key or a command, one steady weight at a time."""
