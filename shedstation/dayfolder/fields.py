"""Check single values of a file, and say what was expected of each."""

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from shedstation.domain.air import celsius, share
from shedstation.domain.mass import Mass, parse_mass
from shedstation.domain.moisture import COLDEST_C, WARMEST_C
from shedstation.domain.price import Price, parse_price

MOST_TEXT: Final = 200
MOST_CODE: Final = 32
MOST_ITEMS: Final = 2000
MOST_FRUIT: Final = 100_000
_MOST_DECIMALS: Final = 9
"""Nothing that a person enters has more; `1e-9999999` written out would fill the memory."""

_MOST_NANOGRAMS: Final = 20_000 * 1_000_000_000_000
"""Twenty tonnes: more than a small shed's day in one entry is a slip of the hand."""

_CONTROL: Final = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufeff]"
)
_SERIAL: Final = re.compile(r"[A-Z][A-Z0-9]{0,3}-\d{6,9}|#[1-9]\d{0,6}|last", re.ASCII)
_RANGE: Final = re.compile(r"([A-Z][A-Z0-9]{0,3})-\d{6,9}\.\.\1-\d{6,9}", re.ASCII)

Check = Callable[[Any], Any]


class WrongValue(ValueError):
    """A value that is not what the field holds."""

    def __init__(self, expected: str, **values: object) -> None:
        """Carry the name of what was expected."""
        super().__init__(expected)
        self.expected = expected
        self.values = values


@dataclass(frozen=True, slots=True)
class Field:
    """How one field of a file is checked."""

    check: Check
    is_needed: bool = True


def needed(check: Check) -> Field:
    """Make a field that must be there."""
    return Field(check)


def optional(check: Check) -> Field:
    """Make a field that may be missing."""
    return Field(check, is_needed=False)


def a_text(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check text for people: not empty, not long, no control characters."""
    if not isinstance(value, str) or not value.strip() or len(value) > MOST_TEXT:
        raise WrongValue("text", most=MOST_TEXT)
    if _CONTROL.search(value):
        raise WrongValue("no_control")
    return value.strip()


def a_code(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a short code."""
    if not isinstance(value, str) or not 0 < len(value.strip()) <= MOST_CODE:
        raise WrongValue("code", most=MOST_CODE)
    return a_text(value)


def one_of(codes: Collection[str]) -> Check:
    """Make a check for one of the codes that are set up."""

    def check(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
        if not isinstance(value, str) or value not in codes:
            raise WrongValue("one_of", codes=sorted(codes))
        return value

    return check


def a_mass(value: Any) -> Mass:  # noqa: ANN401  # from a file, it can be anything
    """Check a mass as text, above zero."""
    mass = _mass(value)
    if mass.count <= 0 or mass.nanograms > _MOST_NANOGRAMS:
        raise WrongValue("mass_above_zero")
    return mass


def a_mass_or_zero(value: Any) -> Mass:  # noqa: ANN401  # from a file, it can be anything
    """Check a mass as text, zero allowed."""
    mass = _mass(value)
    if mass.count < 0 or mass.nanograms > _MOST_NANOGRAMS:
        raise WrongValue("mass_not_negative")
    return mass


def _mass(value: object) -> Mass:
    if not isinstance(value, str):
        raise WrongValue("mass")
    try:
        return parse_mass(value)
    except ValueError:
        raise WrongValue("mass") from None


def a_date(value: Any) -> date:  # noqa: ANN401  # from a file, it can be anything
    """Check an ISO date, as text or as TOML's own."""
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise WrongValue("date")


def a_time(value: Any) -> time:  # noqa: ANN401  # from a file, it can be anything
    """Check a local time, `06:00` or `06:00:30`."""
    if isinstance(value, str) and re.fullmatch(r"\d\d:\d\d(:\d\d)?", value):
        try:
            return time.fromisoformat(value)
        except ValueError:
            pass
    raise WrongValue("time")


def a_flag(value: Any) -> bool:  # noqa: ANN401  # from a file, it can be anything
    """Check true or false."""
    if not isinstance(value, bool):
        raise WrongValue("flag")
    return value


def a_count(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
    """Check a number of fruit, from 1."""
    return _whole(value, 1)


def a_count_or_zero(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
    """Check a number of fruit, from 0."""
    return _whole(value, 0)


def _whole(value: object, least: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= MOST_FRUIT:
        raise WrongValue("count", least=least, most=MOST_FRUIT)
    return value


def a_number(least: str, most: str) -> Check:
    """Make a check for a decimal number, which stays text so that no digit is lost."""

    def check(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
        good = isinstance(value, int | Decimal) and not isinstance(value, bool)
        if not good or not Decimal(least) <= Decimal(value) <= Decimal(most):
            raise WrongValue("number", least=least, most=most)
        return written_out(value)

    return check


def written_out(value: int | Decimal) -> str:
    """Give a finite number as plain digits.

    Raises:
        WrongValue: if it has more decimals than a person enters.
    """
    places = Decimal(value).as_tuple().exponent
    if not isinstance(places, int) or places < -_MOST_DECIMALS:
        raise WrongValue("decimals", most=_MOST_DECIMALS)
    return f"{Decimal(value):f}"


def a_temperature(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a temperature, `60 F` or `15.6 C`."""
    try:
        celsius(value if isinstance(value, str) else "")
    except ValueError:
        raise WrongValue("temperature") from None
    return str(value)


def a_room_temperature(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check the temperature of a room for fruit."""
    text = a_temperature(value)
    if not COLDEST_C <= celsius(text) <= WARMEST_C:
        raise WrongValue("room_temperature", least=COLDEST_C, most=WARMEST_C)
    return text


def a_share(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a share, `85 %`."""
    try:
        share(value if isinstance(value, str) else "")
    except ValueError:
        raise WrongValue("percent") from None
    return str(value)


def a_small_share(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a share of boxes that may be light: above 0 and at most a half."""
    if not 0 < share(a_share(value)) <= Fraction(1, 2):
        raise WrongValue("small_percent")
    return str(value)


def a_price(value: Any) -> Price:  # noqa: ANN401  # from a file, it can be anything
    """Check a price, `1.20 USD/lb`."""
    try:
        return parse_price(value if isinstance(value, str) else "")
    except ValueError:
        raise WrongValue("price") from None


def a_serial(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a serial, `#n` or `last`."""
    if not isinstance(value, str) or not _SERIAL.fullmatch(value):
        raise WrongValue("serial")
    return value


def a_serial_or_range(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a serial, `#n`, `last` or a range of serials."""
    if isinstance(value, str) and _RANGE.fullmatch(value):
        return value
    return a_serial(value)


def several(check: Check) -> Check:
    """Make a check for a list with at least one item."""

    def check_all(value: Any) -> tuple[Any, ...]:  # noqa: ANN401  # from a file, anything
        if not isinstance(value, list) or not 0 < len(value) <= MOST_ITEMS:
            raise WrongValue("list", most=MOST_ITEMS)
        return tuple(check(each) for each in value)

    return check_all


def one_or_several(check: Check) -> Check:
    """Make a check for one item or a list of them."""

    def check_all(value: Any) -> tuple[Any, ...]:  # noqa: ANN401  # from a file, anything
        checked: tuple[Any, ...] = several(check)(value if isinstance(value, list) else [value])
        return checked

    return check_all
