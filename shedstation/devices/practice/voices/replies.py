"""Write what scales answer to a question, and what they print on a key."""

from typing import Final

from shedstation.devices.practice.voices.shown import (
    Shown,
    ascii_line,
    padded_pounds,
    sign,
    spaced_pounds,
)
from shedstation.devices.practice.voices.voice import (
    ALL_UNITS,
    EVERY_STATE,
    SIMPLE_UNITS,
    WEIGHTS_ONLY,
    Voice,
)
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

ETX: Final = "\x03"
_NIBBLE: Final = 0x30
_MOTION, _AT_ZERO = 0x01, 0x02
_UNDER, _OVER, _FAULT = 0x01, 0x02, 0x04
_NET: Final = 0x04
"""In the third status character; which bit it is was settled from memory."""


def _bracketed(shown: Shown, *, has_third: bool) -> bytes:
    """Write `LF value unit CR LF S status CR ETX`."""
    status = [_motion(shown), _trouble(shown)]
    if has_third:
        status.append(_NET if shown.mode is Mode.NET else 0)
    letters = "".join(chr(_NIBBLE | each) for each in status)
    return f"\n{_field(shown)}\r\nS{letters}\r{ETX}".encode("ascii")


def _motion(shown: Shown) -> int:
    return _MOTION * (shown.state is State.MOVING) | _AT_ZERO * (shown.mass.count == 0)


def _trouble(shown: Shown) -> int:
    return {State.UNDER: _UNDER, State.OVER: _OVER, State.FAULT: _FAULT}.get(shown.state, 0)


def _field(shown: Shown) -> str:
    if shown.mass.unit is Unit.LB_OZ:
        return _pounds_field(shown)
    unit = str(shown.mass.unit.value).upper()
    if not shown.has_digits:
        return _BARS[shown.state] + unit
    return f"{sign(shown.mass)}{abs(shown.mass).number():>6}{unit}"


_BARS: Final = {State.OVER: "^" * 7, State.UNDER: "_" * 7, State.FAULT: "-" * 7}


def _pounds_field(shown: Shown) -> str:
    if not shown.has_digits:
        return _BARS[shown.state]
    return (
        f"{sign(shown.mass)}{padded_pounds(shown.mass).replace(' lb', 'lb').replace(' oz', 'oz')}"
    )


def _echoed(shown: Shown) -> bytes:
    """Write `S S      25.42 lb`: the echoed letter, the state, ten columns, the unit."""
    if not shown.has_digits:
        return ascii_line(f"S {_STATES[shown.state]}")
    return ascii_line(f"S {_STATES[shown.state]} {_ten(shown.mass)}")


_STATES: Final = {
    State.STEADY: "S", State.MOVING: "D", State.OVER: "+", State.UNDER: "-",
}  # fmt: skip


def _ten(mass: Mass) -> str:
    if mass.unit is not Unit.LB_OZ:
        return f"{mass.number():>10} {mass.unit.value}"
    minus = "-" if mass.count < 0 else ""
    pounds, _, ounces = spaced_pounds(mass).removesuffix(" oz").partition(" lb ")
    width = len("00") + bool(mass.decimals) + mass.decimals
    return f"{f'{minus}{pounds}:{ounces:>0{width}}':>10} lb:oz"


def _ticket(shown: Shown) -> bytes:
    """Write labelled lines and an empty one."""
    tare = shown.own_tare
    lines = (f"Gross: {shown.mass + tare}", f"Tare: {tare}", f"Net: {shown.mass}", "")
    return ascii_line("\r\n".join(lines))


def _long_ticket(shown: Shown) -> bytes:
    """Write a ticket with a date, a number and columns, and a form feed at its end."""
    tare = shown.own_tare
    lines = (
        "Date: 2026-06-18  Time: 06:12",
        "ID: 000123",
        f"GROSS  {shown.mass + tare!s:>14}",
        f"TARE   {tare!s:>14}",
        f"NET    {shown.mass!s:>14}",
    )
    return ascii_line("\r\n".join(lines), end="\r\n\f")


def _bracketed_voice(name: str, *, has_third: bool, units: tuple[Unit, ...] = ALL_UNITS) -> Voice:
    return Voice(
        name=name,
        language="bracketed-reply",
        write=lambda shown: _bracketed(shown, has_third=has_third),
        units=units,
        states=EVERY_STATE,
        tells_mode=has_third,
        puzzled=f"\n?\r{ETX}".encode("ascii"),
    )


REPLY_VOICES: Final = (
    _bracketed_voice("bracketed-reply", has_third=False),
    _bracketed_voice("bracketed-reply-third", has_third=True),
    Voice(
        name="mnemonic-reply",
        language="mnemonic-reply",
        write=_echoed,
        question=b"SI\r\n",
        puzzled=b"ES\r\n",
    ),
    *(
        Voice(
            name=name,
            language="ticket-lines",
            write=write,
            units=units,
            states=WEIGHTS_ONLY,
            marks_steady=False,
            tells_mode=True,
            tells_tare=True,
            question=b"P\r",
            prints_only=True,
        )
        for name, write, units in (
            ("ticket-lines", _ticket, ALL_UNITS),
            ("ticket-lines-dated", _long_ticket, SIMPLE_UNITS),
        )
    ),
)
