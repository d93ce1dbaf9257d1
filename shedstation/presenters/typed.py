"""Read what people type into fields; what cannot be read is given back as it was typed."""

import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from shedstation.domain.intake import Tub
from shedstation.domain.mass import Mass, Unit, parse_mass

_BEFORE_UNIT: Final = re.compile(r"(?<=\d)(?=[a-z])")
_PERCENT: Final = re.compile(r"\d{1,3}(\.\d{1,4})?", re.ASCII)
_AFTER_SIGN: Final = re.compile(r"^([+-]) ")


def typed_mass(text: str, unit: Unit) -> Mass:
    """Read a mass; a bare number is in the bench's unit, which must be a simple one for that.

    Raises:
        ValueError: if it is not a mass above zero.
    """
    mass = typed_shown(text, unit)
    if mass.count <= 0:
        raise ValueError(text)
    return mass


def typed_shown(text: str, unit: Unit) -> Mass:
    """Read what a display shows, zero and below zero too; a bare number is in the bench's unit.

    Raises:
        ValueError: if it is not a mass.
    """
    # Where people write a decimal comma, they type one.
    pointed = text.replace(",", ".", 1) if "." not in text else text
    # A scale that types like a keyboard leaves the space out, or sends several.
    wanted = " ".join(_BEFORE_UNIT.sub(" ", pointed.lower()).split())
    digits = wanted.removeprefix("-").removeprefix("+").strip()
    wanted = _AFTER_SIGN.sub(r"\1", wanted).removeprefix("+")
    bare = digits.replace(".", "", 1).isdecimal() and unit is not Unit.LB_OZ
    try:
        return parse_mass(f"{wanted} {unit.value}" if bare else wanted)
    except ValueError:
        raise ValueError(text) from None


def typed_tub(text: str, unit: Unit) -> Tub:
    """Read a tub, `gross-tare`.

    Raises:
        ValueError: if it is not two masses of one unit, the first one heavier.
    """
    gross, _, tare = text.partition("-")
    tub = Tub(gross=typed_mass(gross, unit), tare=typed_mass(tare, unit))
    if not tub.is_possible:
        raise ValueError(text)
    return tub


def typed_day(text: str, today: date) -> date:
    """Read a date, or `0`, `1`, `2` days ago.

    Raises:
        ValueError: if it is neither.
    """
    text = text.strip()
    if text.isdecimal() and len(text) == 1:
        return today - timedelta(days=int(text))
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError(text) from None


def typed_count(text: str) -> int:
    """Read a number of fruit.

    Raises:
        ValueError: if it is not a whole number above zero.
    """
    if not text.isdecimal() or int(text) == 0:
        raise ValueError(text)
    return int(text)


def typed_time(text: str) -> str:
    """Read a time of day: `6`, `06`, `6:30` or `06:30` gives `06:30` and so on; else as it is."""
    hours, _, minutes = text.strip().partition(":")
    if not hours.isdecimal() or not (minutes or "0").isdecimal():
        return text.strip()
    return f"{int(hours):02d}:{int(minutes or 0):02d}"


def typed_percent(text: str, most: int) -> str | None:
    """Read a percentage as decimal text; nothing typed gives none.

    Raises:
        ValueError: if it is no number from 0 to `most`.
    """
    if not text.strip():
        return None
    wanted = text.strip().removesuffix("%").strip().replace(",", ".")
    if not _PERCENT.fullmatch(wanted) or Decimal(wanted) > most:
        raise ValueError(text)
    return wanted
