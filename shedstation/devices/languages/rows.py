"""List the languages scales speak, one row each, named by their structure.

Facts about the families are common knowledge of the trade, from memory (no published source).
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

OUNCES_IN_POUND: Final = 16

Meaning = tuple[Mass | None, State, Mode]
Parse = Callable[[re.Match[bytes]], Meaning | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """How one family of scales writes a reading on the line."""

    name: str
    grammar: re.Pattern[bytes]
    """What a whole frame must match, terminator left out."""

    parse: Parse
    """Gives mass, state and mode; none for a well-formed frame that is no reading."""

    sample: str
    """A frame as people would see it."""

    shows_its_start: bool = False
    """Whether every frame begins with a header, so that no tail of a frame can pass for one."""


_UNITS: Final[Mapping[bytes, Unit]] = {
    b"lb": Unit.LB, b"LB": Unit.LB, b"kg": Unit.KG, b"KG": Unit.KG,
    b"oz": Unit.OZ, b"OZ": Unit.OZ, b"g": Unit.G, b"G": Unit.G,
}  # fmt: skip
_HEADERS: Final[Mapping[bytes, State]] = {
    b"ST": State.STEADY, b"US": State.MOVING, b"OL": State.OVER,
    b"UL": State.UNDER, b"UF": State.UNDER,
}  # fmt: skip
_MODES: Final[Mapping[bytes | None, Mode]] = {
    b"GS": Mode.GROSS, b"NT": Mode.NET, None: Mode.UNKNOWN,
}  # fmt: skip
_MARKS: Final[Mapping[bytes, State]] = {
    b"S": State.STEADY, b"": State.MOVING, b"?": State.MOVING, b"*": State.MOVING,
    b"M": State.MOVING,
}  # fmt: skip
_BEYOND: Final = frozenset({State.OVER, State.UNDER})


def _number(sign: bytes, whole: bytes, part: bytes | None, unit: Unit) -> Mass:
    digits = whole if part is None else whole + part
    count = int(digits)
    return Mass(-count if sign == b"-" else count, len(part or b""), unit)


def _pounds_ounces(sign: bytes, pounds: bytes, ounces: bytes, part: bytes | None) -> Mass | None:
    """Count the ounces; 16 is allowed (the display rounds up before it carries), more is not."""
    decimals = len(part or b"")
    small, carry = int(ounces + (part or b"")), OUNCES_IN_POUND * 10**decimals
    if small > carry:
        return None
    count = int(pounds) * carry + small
    return Mass(-count if sign == b"-" else count, decimals, Unit.LB_OZ)


def _status_comma(found: re.Match[bytes]) -> Meaning | None:
    header, mode, sign, whole, part, unit, lb_sign, pounds, ounces, oz_part = found.groups()
    state = _HEADERS[header]
    if state in _BEYOND:
        return None, state, _MODES[mode]
    if whole is not None:
        return _number(sign, whole, part, _UNITS[unit]), state, _MODES[mode]
    if pounds is None:
        return None
    mass = _pounds_ounces(lb_sign, pounds, ounces, oz_part)
    return None if mass is None else (mass, state, _MODES[mode])


def _fixed_columns(found: re.Match[bytes]) -> Meaning | None:
    sign, whole, part, unit, mark, word = found.groups()
    if word is not None:
        return None, _word_state(word), Mode.UNKNOWN
    return _number(sign, whole, part, _UNITS[unit]), _MARKS[mark], Mode.UNKNOWN


def _word_state(word: bytes) -> State:
    """Read what stands in place of a number: `^` over, `_` under, anything else a fault."""
    if word[:1] == b"^":
        return State.OVER
    return State.UNDER if word[:1] == b"_" else State.FAULT


def _compound(found: re.Match[bytes]) -> Meaning | None:
    sign, pounds, ounces, part, word = found.groups()
    if word is not None:
        return None, _word_state(word), Mode.UNKNOWN
    mass = _pounds_ounces(sign, pounds, ounces, part)
    return None if mass is None else (mass, State.UNKNOWN, Mode.UNKNOWN)


_VALUE: Final = rb"([+\- ]) *(\d{1,7})(?:\.(\d{1,4}))?,? *(lb|LB|kg|KG|oz|OZ|g|G) *"
_LB_OZ: Final = rb"([+\- ]?) *(\d{1,4}) ?(?:lb *|: *)(\d{1,2})(?:\.(\d{1,2}))?(?: ?oz)?"

LANGUAGES: Final[tuple[Language, ...]] = (
    Language(
        name="status-comma",
        grammar=re.compile(
            rb"(ST|US|OL|UL|UF),(?:(GS|NT),)?"
            rb"(?:"
            + _VALUE
            + rb"|"
            + _LB_OZ
            + rb" *|[+\- ]*[9\-_^ .]*,? *(?:lb|LB|kg|KG|oz|OZ|g|G)? *)"
        ),
        parse=_status_comma,
        sample="ST,GS,+  25.42lb",
        shows_its_start=True,
    ),
    Language(
        name="fixed-columns",
        grammar=re.compile(
            rb" *([+\-]?) *(\d{1,7})(?:\.(\d{1,4}))? *(lb|LB|kg|KG|oz|OZ|g|G) *([S?*M]?)"
            rb"| *([\^]{3,9}|_{3,9}|-{3,9}|Err ?\d{0,2}) *(?:lb|LB|kg|KG|oz|OZ|g|G)? *[S?*M]?"
        ),
        parse=_fixed_columns,
        sample="   25.42 lb S",
    ),
    Language(
        name="pounds-ounces",
        grammar=re.compile(
            rb" *([+\-]?) *(\d{1,4})(?: ?lb *|: *)(\d{1,2})(?:\.(\d{1,2}))?(?: ?oz)? *"
            rb"| *([\^]{3,9}|_{3,9}|-{3,9}|Err ?\d{0,2}) *"
        ),
        parse=_compound,
        sample="25 lb  6.2 oz",
    ),
)


def language(name: str) -> Language:
    """Find a language by name.

    Raises:
        KeyError: if no language has that name.
    """
    return {each.name: each for each in LANGUAGES}[name]
