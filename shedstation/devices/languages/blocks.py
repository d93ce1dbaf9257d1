"""Read frames whose parts stand at fixed places after a start byte."""

import re
from collections.abc import Mapping
from typing import Final

from shedstation.devices.languages.language import Meaning
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

_BODY: Final = (
    rb"\x02(?P<a>[\x20-\x3f])(?P<b>[\x20-\x3f\x60-\x7f])(?P<c>[\x20-\x3f])"
    rb"(?P<shown>[ \d]{6})(?P<tare>[ \d]{6})\r"
)
STATUS_BLOCK: Final = re.compile(_BODY)
CHECKED_BLOCK: Final = re.compile(_BODY + rb"[\x00-\x7f]")

# The first status byte: decimals of the shown weight, by its lowest three bits. 0 and 1 stand for
# hundreds and tens, so two and one zeros are added.
_DECIMALS: Final = {0: -2, 1: -1, 2: 0, 3: 1, 4: 2, 5: 3, 6: 4}
_NET, _NEGATIVE, _BEYOND, _MOVING, _KG, _NO_ZERO = 0x01, 0x02, 0x04, 0x08, 0x10, 0x40
# The third: a unit of its own, or 0 for what the second says.
_OTHER_UNITS: Final[Mapping[int, Unit]] = {1: Unit.G, 3: Unit.OZ}
_EXTRA_DIGIT: Final = 0x10
_DIGITS: Final = re.compile(rb" *\d+")
_SEVEN_BITS: Final = 0x7F


def status_block(found: re.Match[bytes]) -> Meaning | None:
    """Read a block with three status bytes, six digits shown and six of tare, no decimal point."""
    a, b, c = found["a"][0], found["b"][0], found["c"][0]
    decimals, unit = _DECIMALS.get(a & 0x07), _block_unit(b, c)
    if decimals is None or unit is None or c & _EXTRA_DIGIT:
        return None
    mode = Mode.NET if b & _NET else Mode.GROSS
    beyond = _out_of_range(b)
    if beyond is not None:
        return Meaning(None, beyond, mode)
    if not _DIGITS.fullmatch(found["shown"]):
        return None
    state = State.MOVING if b & _MOVING else State.STEADY
    shown = _implied(found["shown"], decimals, unit)
    has_tare = b & _NET and _DIGITS.fullmatch(found["tare"])
    tare = _implied(found["tare"], decimals, unit) if has_tare else None
    return Meaning(-shown if b & _NEGATIVE else shown, state, mode, tare)


def checked_block(found: re.Match[bytes]) -> Meaning | None:
    """Read a block whose bytes, the check included, add up to nothing in seven bits."""
    return None if sum(found[0]) & _SEVEN_BITS else status_block(found)


def _out_of_range(b: int) -> State | None:
    """Tell over and under apart by the sign; a zero not yet captured makes every weight worthless."""
    if b & _BEYOND:
        return State.UNDER if b & _NEGATIVE else State.OVER
    return State.FAULT if b & _NO_ZERO else None


def _block_unit(b: int, c: int) -> Unit | None:
    other = c & 0x07
    if other:
        return _OTHER_UNITS.get(other)
    return Unit.KG if b & _KG else Unit.LB


def _implied(digits: bytes, decimals: int, unit: Unit) -> Mass:
    count = int(digits)
    if decimals < 0:
        return Mass(count * 10**-decimals, 0, unit)
    return Mass(count, decimals, unit)


_LETTERS: Final[Mapping[bytes, Unit]] = {
    b"L": Unit.LB, b"K": Unit.KG, b"G": Unit.G, b"O": Unit.OZ,
}  # fmt: skip
_VALUE: Final = re.compile(rb" *(\d{1,7})(?:\.(\d{1,4}))?")


def short_stx(found: re.Match[bytes]) -> Meaning | None:
    """Read a sign, seven places of value, letters for unit and mode, and a mark for movement."""
    mode = Mode.NET if found["mode"] == b"N" else Mode.GROSS
    if found["state"] == b"O":
        return Meaning(None, State.UNDER if found["sign"] == b"-" else State.OVER, mode)
    if found["state"] == b"I":
        return Meaning(None, State.FAULT, mode)
    value = _VALUE.fullmatch(found["value"])
    if value is None:
        return None
    whole, part = value.groups()
    count = int(whole + (part or b""))
    mass = Mass(
        -count if found["sign"] == b"-" else count, len(part or b""), _LETTERS[found["unit"]]
    )
    return Meaning(mass, State.MOVING if found["state"] == b"M" else State.STEADY, mode)
