"""Turn a matched frame into what it says: the parts that several languages share."""

import re
from collections.abc import Mapping
from typing import Final

from shedstation.devices.languages.language import Bare, Meaning, Parse
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

_OUNCES_IN_POUND: Final = 16

UNITS: Final[Mapping[bytes, Unit]] = {
    spelled: unit
    for unit, spellings in (
        (Unit.LB, (b"lb", b"LB", b"lbs", b"LBS")),
        (Unit.KG, (b"kg", b"KG", b"Kg")),
        (Unit.OZ, (b"oz", b"OZ")),
        (Unit.G, (b"g", b"G")),
    )
    for spelled in spellings
}
BEYOND: Final = frozenset({State.OVER, State.UNDER})

# Parts of grammars. A number's groups are `sign`, `whole` and `part`, the unit's is `unit`; pounds
# and ounces have `lb_sign`, `pounds`, `ounces` and `oz_part`; `word` stands in place of a number. Runs
# of blanks are never given back (`*+`), or a hostile frame would be tried in every way to share them out.
UNIT: Final = rb"(?P<unit>lbs?|LBS?|kg|KG|Kg|oz|OZ|g|G)"
NUMBER: Final = rb"(?P<sign>[+\-]?) *+(?P<whole>\d{1,7})(?:\.(?P<part>\d{1,4}))?"
LB_OZ: Final = (
    rb"(?P<lb_sign>[+\-]?) *+(?P<pounds>\d{1,4})(?: ?(?:lb|LB) *+:? *+| *+: *+)"
    rb"(?P<ounces>\d{1,2})(?:\.(?P<oz_part>\d{1,2}))?(?: ?(?:oz|OZ)| lb:oz)?"
)
WORD: Final = rb"(?P<word>[\^]{3,9}|_{3,9}|-{3,9}|Err ?\d{0,2})"


def mass_of(sign: bytes, whole: bytes, part: bytes | None, unit: Unit) -> Mass:
    """Give the mass whose digits stand before and after the point."""
    count = int(whole if part is None else whole + part)
    return Mass(-count if sign == b"-" else count, len(part or b""), unit)


def bare_of(sign: bytes, whole: bytes, part: bytes | None) -> Bare:
    """Give the number whose digits stand before and after the point."""
    count = int(whole if part is None else whole + part)
    return Bare(-count if sign == b"-" else count, len(part or b""))


def pounds_ounces(sign: bytes, pounds: bytes, ounces: bytes, part: bytes | None) -> Mass | None:
    """Count the ounces; 16 is allowed (the display rounds up before it carries), more is not."""
    decimals = len(part or b"")
    small, carry = int(ounces + (part or b"")), _OUNCES_IN_POUND * 10**decimals
    if small > carry:
        return None
    count = int(pounds) * carry + small
    return Mass(-count if sign == b"-" else count, decimals, Unit.LB_OZ)


def word_state(word: bytes) -> State:
    """Read what stands in place of a number: `^` over, `_` under, anything else a fault."""
    if word[:1] == b"^":
        return State.OVER
    return State.UNDER if word[:1] == b"_" else State.FAULT


def mass_in(found: re.Match[bytes]) -> Mass | None:
    """Give the mass in a frame that has the groups of a number, of pounds and ounces, or both."""
    groups = found.re.groupindex
    if "whole" in groups:
        sign, whole, part, unit = found.group("sign", "whole", "part", "unit")
        if whole is not None:
            return mass_of(sign, whole, part, UNITS[unit])
    if "pounds" in groups and found["pounds"] is not None:
        return pounds_ounces(*found.group("lb_sign", "pounds", "ounces", "oz_part"))
    return None


def marked(
    states: Mapping[bytes | None, State],
    modes: Mapping[bytes | None, Mode] | None = None,
) -> Parse:
    """Make a parser for frames with a number and marks for steadiness and mode.

    Args:
        states: What the group `state` means; the key none stands for a frame without it.
        modes: What the group `mode` means; none if the language sends no mode.
    """

    def parse(found: re.Match[bytes]) -> Meaning | None:
        groups = found.re.groupindex
        mode = Mode.UNKNOWN if modes is None else modes[found["mode"]]
        if "word" in groups and found["word"] is not None:
            return Meaning(None, word_state(found["word"]), mode)
        state = states[found["state"] if "state" in groups else None]
        if state in BEYOND:
            return Meaning(None, state, mode)
        mass = mass_in(found)
        return None if mass is None else Meaning(mass, state, mode)

    return parse
