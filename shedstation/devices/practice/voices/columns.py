"""Write lines whose fields stand in columns."""

from collections.abc import Callable
from typing import Final

from shedstation.devices.practice.voices.shown import (
    Shown,
    ascii_line,
    colon_pounds,
    glued_pounds,
    padded_pounds,
    sign,
)
from shedstation.devices.practice.voices.voice import (
    ALL_UNITS,
    BEYOND_RANGE,
    EVERY_STATE,
    SIMPLE_UNITS,
    WEIGHTS_ONLY,
    Voice,
)
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import State

_WORDS: Final = {State.OVER: "^^^^^^", State.UNDER: "______", State.FAULT: "Err 4"}
_HEADERS: Final = {
    State.STEADY: "ST", State.MOVING: "US", State.OVER: "OL", State.UNDER: "UL",
}  # fmt: skip


def _headed(shown: Shown) -> str:
    """Write `ST   25.42 lb`: a status header, then a number in nine columns."""
    head = _HEADERS[shown.state]
    if not shown.has_digits:
        return f"{head}   ------ {_word(shown.mass.unit)}"
    return f"{head}{_right(shown.mass)}"


def _word(unit: Unit) -> str:
    return "lb" if unit is Unit.LB_OZ else unit.value


def _right(mass: Mass) -> str:
    """Write a number with the sign glued to it, and its unit."""
    if mass.unit is Unit.LB_OZ:
        return f"{mass!s:>16}"
    return f"{mass.number():>9} {mass.unit.value}"


def _sign_first(mass: Mass) -> str:
    """Write a number with the sign in the first column, and its unit in three."""
    if mass.unit is Unit.LB_OZ:
        return f"{sign(mass)}{padded_pounds(mass):>15}"
    return f"{sign(mass)}{abs(mass).number():>13} {mass.unit.value:<3}"


def _trailing_s(shown: Shown) -> str:
    """Write `    25.42 lb S`, a blank in place of the S while it moves."""
    if not shown.has_digits:
        return f"  {_WORDS[shown.state]}  "
    return f"{_right(shown.mass)} {'S' if shown.state is State.STEADY else ' '}"


def _trailing_s_or_mark(shown: Shown) -> str:
    """Write `-        1.64 lb  S`, a question mark in place of the S while it moves."""
    if not shown.has_digits:
        return f" {_WORDS[shown.state]:>13}"
    return f"{_sign_first(shown.mass)} {'S' if shown.state is State.STEADY else '?'}"


def _moving_mark(mark: str) -> Callable[[Shown], str]:
    """Write `    25.42 lb  `, a mark at the end while it moves."""

    def write(shown: Shown) -> str:
        if not shown.has_digits:
            return f"  {_WORDS[shown.state]}  "
        return f"{_right(shown.mass)} {mark if shown.state is State.MOVING else ' '}"

    return write


def _no_mark(shown: Shown) -> str:
    """Write `    25.42 lb` whether it moves or not."""
    return _right(shown.mass) if shown.has_digits else f"   {_WORDS[shown.state]}   "


def _no_mark_sign_first(shown: Shown) -> str:
    """Write ` 25.42 lb ` with the sign in the first column."""
    return _sign_first(shown.mass) if shown.has_digits else f" {_WORDS[shown.state]:>13}"


def _unit_when_steady(shown: Shown) -> str:
    """Write `-      1.640 kg `, the unit's three columns blank while it moves."""
    if not shown.has_digits:
        return f" {_WORDS[shown.state]:>13}"
    text = _sign_first(shown.mass)
    return text if shown.state is State.STEADY else text[:-3] + "   "


def _pounds(spell: Callable[[Mass], str], width: int) -> Callable[[Shown], str]:
    def write(shown: Shown) -> str:
        if not shown.has_digits:
            return f"  {_WORDS[shown.state]}  "
        minus = "-" if shown.mass.count < 0 else ""
        return f"{minus + spell(shown.mass):>{width}}"

    return write


def _spoken(
    name: str,
    language: str,
    text: Callable[[Shown], str],
    *,
    units: tuple[Unit, ...] = SIMPLE_UNITS,
    states: frozenset[State] = EVERY_STATE,
    marks_steady: bool = True,
) -> Voice:
    def write(shown: Shown) -> bytes:
        return ascii_line(text(shown))

    return Voice(
        name=name,
        language=language,
        write=write,
        units=units,
        states=states,
        marks_steady=marks_steady,
    )


def _spelled(name: str, spell: Callable[[Mass], str], width: int = 0) -> Voice:
    return _spoken(
        name, "pounds-ounces", _pounds(spell, width), units=(Unit.LB_OZ,), marks_steady=False
    )


COLUMN_VOICES: Final = (
    _spoken("header-columns", "header-columns", _headed, units=ALL_UNITS, states=BEYOND_RANGE),
    _spoken("fixed-columns", "fixed-columns", _trailing_s, units=ALL_UNITS),
    _spoken("fixed-columns-sign-first", "fixed-columns", _trailing_s_or_mark),
    _spoken("columns-moving-mark", "columns-moving-mark", _moving_mark("?")),
    _spoken("columns-moving-mark-star", "columns-moving-mark", _moving_mark("*")),
    _spoken("columns-moving-mark-m", "columns-moving-mark", _moving_mark("M"), states=WEIGHTS_ONLY),
    _spoken("plain-columns", "plain-columns", _no_mark, marks_steady=False),
    _spoken("plain-columns-sign-first", "plain-columns", _no_mark_sign_first, marks_steady=False),
    _spoken("unit-when-steady", "unit-when-steady", _unit_when_steady),
    _spelled("pounds-ounces", lambda mass: str(abs(mass)), 16),
    _spelled("pounds-ounces-glued", glued_pounds),
    _spelled("pounds-ounces-colon", colon_pounds, 9),
)
