"""Write frames that begin with the control character STX."""

from dataclasses import dataclass
from typing import Final

from shedstation.devices.practice.voices.shown import BEYOND, Shown
from shedstation.devices.practice.voices.voice import BEYOND_RANGE, EVERY_STATE, SIMPLE_UNITS, Voice
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

STX: Final = b"\x02"
CR: Final = b"\r"
_ALWAYS: Final = 0x20
_ONES: Final = 2
"""The code of the decimal position that shows whole numbers; 3 shows tenths, 1 tens."""

_STEP_1, _STEP_2, _STEP_5 = 0x08, 0x10, 0x18
_NET, _NEGATIVE, _BEYOND, _MOTION, _KG = 0x01, 0x02, 0x04, 0x08, 0x10
_UNIT_CODES: Final = {Unit.LB: 0, Unit.KG: 0, Unit.G: 1, Unit.OZ: 3}
_LETTERS: Final = {Unit.LB: "L", Unit.KG: "K", Unit.G: "G", Unit.OZ: "O"}
_SEVEN_BITS: Final = 0x7F


@dataclass(frozen=True, slots=True)
class _Block:
    """A block with three status bytes, six digits of weight and six of tare."""

    is_checked: bool = False
    tens: int = 0
    """How many last digits, always nought, are not sent."""

    step: int = _STEP_1

    def __call__(self, shown: Shown) -> bytes:
        """Write the display."""
        status = bytes([self._point(shown.mass), _flags(shown), self._unit(shown.mass.unit)])
        block = STX + status + self._digits(shown.mass) + self._digits(shown.own_tare) + CR
        return block + bytes([checksum(block)]) if self.is_checked else block

    def _point(self, mass: Mass) -> int:
        return _ALWAYS | self.step | (_ONES + mass.decimals - self.tens)

    def _unit(self, unit: Unit) -> int:
        return _ALWAYS | _UNIT_CODES[unit]

    def _digits(self, mass: Mass) -> bytes:
        return f"{abs(mass.count) // 10**self.tens:>6}".encode("ascii")


def _flags(shown: Shown) -> int:
    return (
        _ALWAYS
        | _NET * (shown.mode is Mode.NET)
        | _NEGATIVE * (shown.mass.count < 0 or shown.state is State.UNDER)
        | _BEYOND * (shown.state in BEYOND)
        | _MOTION * (shown.state is State.MOVING)
        | _KG * (shown.mass.unit is Unit.KG)
    )


def checksum(block: bytes) -> int:
    """Give what makes the low seven bits of the sum of all bytes nought."""
    return -sum(block) & _SEVEN_BITS


_SHORT_MARKS: Final = {
    State.STEADY: " ", State.MOVING: "M", State.OVER: "O", State.UNDER: "O", State.FAULT: "I",
}  # fmt: skip


def _short(shown: Shown) -> bytes:
    """Write `STX, sign, seven characters, unit letter, G or N, status`."""
    minus = shown.mass.count < 0 or shown.state is State.UNDER
    letters = _LETTERS[shown.mass.unit] + ("N" if shown.mode is Mode.NET else "G")
    text = (
        f"{'-' if minus else ' '}{abs(shown.mass).number():>7}{letters}{_SHORT_MARKS[shown.state]}"
    )
    return STX + text.encode("ascii")


def _block(name: str, language: str, write: _Block, *units: Unit) -> Voice:
    return Voice(
        name=name,
        language=language,
        write=write,
        units=units or SIMPLE_UNITS,
        states=BEYOND_RANGE,
        tells_mode=True,
        tells_tare=True,
    )


def _short_voice(name: str, end: bytes) -> Voice:
    return Voice(
        name=name,
        language="short-stx",
        write=lambda shown: _short(shown) + end,
        units=SIMPLE_UNITS,
        states=EVERY_STATE,
        tells_mode=True,
    )


BLOCK_VOICES: Final = (
    _block("status-block", "status-block", _Block()),
    _block("status-block-checked", "status-block-checked", _Block(is_checked=True)),
    _block("status-block-tens", "status-block", _Block(tens=1), Unit.G),
    _block("status-block-fives", "status-block", _Block(step=_STEP_5), Unit.KG),
    _block(
        "status-block-checked-twos",
        "status-block-checked",
        _Block(is_checked=True, step=_STEP_2),
        Unit.OZ,
    ),
    _short_voice("short-stx", b"\r\n"),
    _short_voice("short-stx-cr", b"\r"),
)
