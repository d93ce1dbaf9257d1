"""Write lines whose fields are parted by commas."""

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import reduce
from operator import xor
from typing import Final

from shedstation.devices.practice.voices.shown import (
    Shown,
    ascii_line,
    colon_pounds,
    glued_pounds,
    padded_pounds,
    sign,
    spaced_pounds,
)
from shedstation.devices.practice.voices.voice import SIMPLE_UNITS, Voice
from shedstation.domain.mass import Unit
from shedstation.domain.reading import Mode, State

HEADERS: Final = {
    State.STEADY: "ST", State.MOVING: "US", State.OVER: "OL", State.UNDER: "UL",
}  # fmt: skip
_SWITCHED_ON: Final = datetime(2026, 6, 18, 6, 0, 0)  # noqa: DTZ001  # a scale knows no zone
_ID: Final = "01"


def _mode(shown: Shown) -> str:
    return "NT" if shown.mode is Mode.NET else "GS"


def _plain(shown: Shown) -> str:
    """Write `ST,GS,+  25.42lb`: a sign, seven characters, the unit glued to them."""
    unit = shown.mass.unit
    if not shown.has_digits:
        return f"{HEADERS[shown.state]},{_mode(shown)},{_nines(shown)}{_word(unit)}"
    head = f"{HEADERS[shown.state]},{_mode(shown)},{sign(shown.mass, '+')}"
    if unit is Unit.LB_OZ:
        return f"{head} {spaced_pounds(shown.mass)}"
    return f"{head}{abs(shown.mass).number():>7}{unit.value}"


def _nines(shown: Shown) -> str:
    return "-9999999" if shown.state is State.UNDER else "+9999999"


def _word(unit: Unit) -> str:
    return "lb" if unit is Unit.LB_OZ else unit.value


def _without_mode(shown: Shown) -> str:
    """Write `ST,+0025.42 lb`: no mode field, leading zeros, a space before the unit."""
    head, unit = HEADERS[shown.state], shown.mass.unit
    if not shown.has_digits:
        return f"{head},--------"
    if unit is Unit.LB_OZ:
        return f"{head},{sign(shown.mass, '+')}{glued_pounds(shown.mass)}"
    return f"{head},{sign(shown.mass, '+')}{abs(shown.mass).number():>07} {unit.value}"


def _unit_apart(shown: Shown) -> str:
    """Write `ST,GS,+  25.42,lb`: the unit is a field of its own, two characters wide."""
    unit = shown.mass.unit
    head = f"{_under_f(shown)},{_mode(shown)},"
    if not shown.has_digits:
        return f"{head}        ,{_word(unit):>2}"
    if unit is Unit.LB_OZ:
        return f"{head}{sign(shown.mass, '+')}{padded_pounds(shown.mass)}"
    return f"{head}{sign(shown.mass, '+')}{abs(shown.mass).number():>7},{unit.value:>2}"


def _under_f(shown: Shown) -> str:
    return "UF" if shown.state is State.UNDER else HEADERS[shown.state]


def _blank_sign(shown: Shown) -> str:
    """Write `ST,GS,   25.42lb `: a blank for plus, the unit padded to three characters."""
    unit = shown.mass.unit
    head = f"{HEADERS[shown.state]},{_mode(shown)},"
    if not shown.has_digits:
        return f"{head} -------{_word(unit):<3}"
    if unit is Unit.LB_OZ:
        return f"{head}{sign(shown.mass)}{colon_pounds(shown.mass)}"
    return f"{head}{sign(shown.mass)}{abs(shown.mass).number():>7}{unit.value:<3}"


def _fields(shown: Shown) -> str:
    """Write `id,date,time,state,gross,tare,net,unit`."""
    moment = _SWITCHED_ON + timedelta(seconds=shown.at_s)
    tare = shown.own_tare
    weights: tuple[str, ...] = ("", "", "")
    if shown.has_digits:
        weights = tuple(each.number() for each in (shown.mass + tare, tare, shown.mass))
    stamp = (_ID, f"{moment:%Y-%m-%d}", f"{moment:%H:%M:%S}", HEADERS[shown.state])
    return ",".join((*stamp, *weights, shown.mass.unit.value))


def xor_hex(text: str) -> str:
    """Give the exclusive or of all characters as two hexadecimal digits."""
    return f"{reduce(xor, text.encode('ascii'), 0):02X}"


def _record_checked(shown: Shown) -> str:
    """Check everything before the asterisk."""
    head = _fields(shown) + ","
    return f"{head}*{xor_hex(head)}"


def _record_checked_after_comma(shown: Shown) -> str:
    """Check everything before the last comma."""
    head = _fields(shown)
    return f"{head},*{xor_hex(head)}"


def _line(text: Callable[[Shown], str]) -> Callable[[Shown], bytes]:
    return lambda shown: ascii_line(text(shown))


def _status(name: str, text: Callable[[Shown], str], *, tells_mode: bool = True) -> Voice:
    return Voice(name=name, language="status-comma", write=_line(text), tells_mode=tells_mode)


def _records(name: str, language: str, text: Callable[[Shown], str]) -> Voice:
    return Voice(
        name=name,
        language=language,
        write=_line(text),
        units=SIMPLE_UNITS,
        tells_mode=True,
        tells_tare=True,
    )


COMMA_VOICES: Final = (
    _status("status-comma", _plain),
    _status("status-comma-no-mode", _without_mode, tells_mode=False),
    _status("status-comma-unit-apart", _unit_apart),
    _status("status-comma-blank-sign", _blank_sign),
    _records("comma-record-unchecked", "comma-record", _fields),
    _records("comma-record", "comma-record", _record_checked),
    _records("comma-record-after-comma", "comma-record-after-comma", _record_checked_after_comma),
)
