"""Read what a person typed from the scale's own display."""

import re
from typing import Final

from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.message import Message

_MOST: Final = 40
_BEYOND: Final = re.compile(r"[-_^ ]{2,}|OL|UL|Err?", re.IGNORECASE)
"""What displays show in place of a number; a bare minus is no such thing."""

_PLAIN: Final = re.IGNORECASE | re.ASCII
_SIMPLE: Final = re.compile(r"([+-]?) *(\d{1,9})(?:[.,](\d{1,6}))? *(lb|oz|kg|g)?", _PLAIN)
_COMPOUND: Final = re.compile(
    r"([+-]?) *(\d{1,6}) *(?:lb *:?|:| ) *(\d{1,2})(?:[.,](\d{1,6}))? *(?:oz|lb:oz)?", _PLAIN
)


def shown_on_display(text: str, unit: Unit) -> Mass | None:
    """Read what the display shows: `25.42 lb`, `25 lb 6.2 oz`, `25:06.2`, `-0.40`, `----`.

    Args:
        text: As it was typed.
        unit: The unit of a number typed without one.

    Returns:
        The mass with the decimals that were typed; none for what shows no number.

    Raises:
        WorldFault: if it is none of these.
    """
    wanted = text.strip()
    if len(wanted) <= _MOST and _BEYOND.fullmatch(wanted):
        return None
    mass = _simple(wanted, unit) or _compound(wanted, unit) if len(wanted) <= _MOST else None
    if mass is None:
        raise WorldFault(Message("teach.bad_typed", {"typed": wanted[:_MOST]}))
    return mass


def _simple(text: str, unit: Unit) -> Mass | None:
    found = _SIMPLE.fullmatch(text)
    if found is None or (found[4] is None and unit is Unit.LB_OZ):
        return None
    sign, whole, part, spelled = found.groups()
    count = int(whole + (part or ""))
    said = unit if spelled is None else Unit(spelled.lower())
    return Mass(-count if sign == "-" else count, len(part or ""), said)


def _compound(text: str, unit: Unit) -> Mass | None:
    found = _COMPOUND.fullmatch(text)
    if found is None or (unit is not Unit.LB_OZ and "lb" not in text.lower() and ":" not in text):
        return None
    sign, pounds, ounces, part = found.groups()
    decimals = f".{part}" if part else ""
    try:
        return parse_mass(f"{sign.strip('+')}{pounds} lb {ounces}{decimals} oz")
    except ValueError:
        return None
