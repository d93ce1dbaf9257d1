"""Build, check and read GS1 element strings for produce cases.

Sources: GS1 Barcode Syntax Dictionary (GS1 AISBL, Apache-2.0, main branch after release
2026-01-27) for the rows below; GS1 General Specifications for separators, the 48 characters of a
symbol and, from memory (high), that an indicator 9 GTIN and a net weight belong together.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

FNC1: Final = "\x1d"
"""A separator in raw text: the group separator, character 29."""

MOST_SYMBOL_CHARACTERS: Final = 48
GTIN_LENGTHS: Final = (8, 12, 13, 14)

_SET_82: Final = frozenset(
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
)
_VARIABLE_MEASURE: Final = "9"
_CENTURY: Final = 100
_LATER: Final = 51
_EARLIER: Final = -50


@dataclass(frozen=True, slots=True, kw_only=True)
class Identifier:
    """One row of the dictionary."""

    ai: str
    title: str
    least: int
    most: int
    is_number: bool
    needs_separator: bool
    """Whether a separator must follow it when another element comes after."""

    checks: str = ""
    """`check_digit` or `day`."""

    needs: tuple[str, ...] = ()
    """One of these must stand on the same label; `00+02` means both."""

    excludes: tuple[str, ...] = ()


_WITH_GTIN: Final = ("01", "02")


def _measure(ai: str, title: str) -> Identifier:
    return Identifier(
        ai=ai, title=title, least=6, most=6, is_number=True, needs_separator=False, needs=_WITH_GTIN
    )


def _row(  # reads as a table row
    ai: str, title: str, least: int, most: int, kind: str, **rest: object
) -> Identifier:
    separator = least != most
    return Identifier(
        ai=ai,
        title=title,
        least=least,
        most=most,
        is_number=kind == "N",
        needs_separator=separator,
        **rest,  # type: ignore[arg-type]  # the row's own keywords
    )


IDENTIFIERS: Final[Mapping[str, Identifier]] = {
    row.ai: row
    for row in (
        _row("00", "SSCC", 18, 18, "N", checks="check_digit"),
        _row("01", "GTIN", 14, 14, "N", checks="check_digit", excludes=("02", "37")),
        _row("02", "CONTENT", 14, 14, "N", checks="check_digit", needs=("37",), excludes=("01",)),
        _row("10", "BATCH/LOT", 1, 20, "X", needs=_WITH_GTIN),
        _row("11", "PROD DATE", 6, 6, "N", checks="day", needs=_WITH_GTIN),
        _row("13", "PACK DATE", 6, 6, "N", checks="day", needs=_WITH_GTIN),
        _row("15", "BEST BEFORE", 6, 6, "N", checks="day", needs=_WITH_GTIN),
        _row("17", "USE BY", 6, 6, "N", checks="day", needs=_WITH_GTIN),
        _row("21", "SERIAL", 1, 20, "X", needs=("01",)),
        _row("30", "VAR. COUNT", 1, 8, "N", needs=_WITH_GTIN),
        _row("37", "COUNT", 1, 8, "N", needs=("00+02",), excludes=("01",)),
        _row("90", "INTERNAL", 1, 30, "X"),
        *(_measure(f"310{n}", f"NET WEIGHT kg, {n} decimals") for n in range(6)),
        *(_measure(f"320{n}", f"NET WEIGHT lb, {n} decimals") for n in range(6)),
    )
}
"""The identifiers that a produce case may carry."""

Elements = Sequence[tuple[str, str]]


class BadElements(ValueError):
    """Element strings that GS1's rules do not allow; says level, found and expected."""

    def __init__(self, level: str, found: str, expected: str) -> None:
        """Carry which rule refused: syntax, content, association, symbol or policy."""
        super().__init__(f"Cannot use {found!r}: expected {expected}.")
        self.level = level


def check_digit(digits: str) -> int:
    """Give the check digit that belongs behind the digits: weights 3, 1, 3, 1 from the right.

    Source: GS1 General Specifications; 629104150021 has weighted sum 57 and check digit 3.
    """
    total = sum(int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(digits)))
    return -total % 10


def has_check_digit(number: str) -> bool:
    """Tell whether the last digit is the right check digit; all zeros are refused by rule."""
    if not number.isascii() or not number.isdigit() or not number.strip("0"):
        return False
    return check_digit(number[:-1]) == int(number[-1])


def is_gtin(number: str) -> bool:
    """Tell whether a number is a GTIN of 8, 12, 13 or 14 digits."""
    return len(number) in GTIN_LENGTHS and has_check_digit(number)


def yymmdd(day: date) -> str:
    """Write a date as GS1 does."""
    return day.strftime("%y%m%d")


def year_of(two_digits: int, now: int) -> int:
    """Give the full year of a two-digit one, seen from the year `now` (GS1 century rule)."""
    century, this = divmod(now, _CENTURY)
    apart = two_digits - this
    if apart >= _LATER:
        century -= 1
    elif apart <= _EARLIER:
        century += 1
    return century * _CENTURY + two_digits


def is_day(text: str, now: int) -> bool:
    """Tell whether six digits are a date; day 00 means the end of the month."""
    year, month, day = year_of(int(text[:2]), now), int(text[2:4]), int(text[4:])
    try:
        date(year, month, day or 1)
    except ValueError:
        return False
    return True


_BRACKETED: Final = re.compile(r"\(([^()]*)\)([^()]*)")


def parse_bracketed(text: str) -> tuple[tuple[str, str], ...]:
    """Read `(01)...(10)...` into identifiers and values.

    Raises:
        BadElements: if the text is not made of known identifiers with values.
    """
    if not text or _BRACKETED.sub("", text):
        raise BadElements("syntax", text, "identifiers in brackets, each with a value")
    elements = tuple(_BRACKETED.findall(text))
    for ai, value in elements:
        _check_syntax(ai, value)
    return elements


def _check_syntax(ai: str, value: str) -> None:
    row = IDENTIFIERS.get(ai)
    if row is None:
        raise BadElements("syntax", ai, "an identifier that a produce case may carry")
    if not value or "^" in value:
        raise BadElements("syntax", value, f"a value behind ({ai})")
    if row.least == row.most and len(value) != row.most:
        raise BadElements("syntax", value, f"{row.most} characters behind ({ai})")


def check_elements(elements: Elements, *, now: int) -> None:
    """Check what GS1's rules ask of the elements of one label.

    Args:
        elements: Identifiers and values in their order.
        now: The current year, for the century of dates.

    Raises:
        BadElements: naming the rule that refuses.
    """
    for ai, value in elements:
        _check_syntax(ai, value)
        _check_content(IDENTIFIERS[ai], value, now)
    _check_association([ai for ai, _ in elements])
    gtin = dict(elements).get("01", "")
    weighed = any(ai[:3] in ("310", "320") for ai, _ in elements)
    if gtin and weighed != gtin.startswith(_VARIABLE_MEASURE):
        raise BadElements("policy", gtin, "a net weight with indicator 9 and only with it")


def _check_content(row: Identifier, value: str, now: int) -> None:
    if not row.least <= len(value) <= row.most or not _fits_set(row, value):
        kind = "digits" if row.is_number else "characters of set 82"
        raise BadElements("content", value, f"{row.least} to {row.most} {kind} behind ({row.ai})")
    if row.checks == "check_digit" and not has_check_digit(value):
        raise BadElements("content", value, f"a right check digit behind ({row.ai})")
    if row.checks == "day" and not is_day(value, now):
        raise BadElements("content", value, f"a date YYMMDD behind ({row.ai})")


def _fits_set(row: Identifier, value: str) -> bool:
    if row.is_number:
        return value.isascii() and value.isdigit()
    return set(value) <= _SET_82


def _check_association(ais: list[str]) -> None:
    families = [ai[:3] if ai[:2] in ("31", "32") else ai for ai in ais]
    if len(set(families)) < len(families):
        raise BadElements("association", str(ais), "each identifier once")
    for ai in ais:
        row = IDENTIFIERS[ai]
        if row.needs and not any(set(need.split("+")) <= set(ais) for need in row.needs):
            raise BadElements("association", ai, f"({') or ('.join(row.needs)}) on the same label")
        if set(row.excludes) & set(ais):
            raise BadElements("association", ai, f"no ({') or ('.join(row.excludes)}) beside it")


def bracketed(elements: Elements) -> str:
    """Write elements as people read them below a code."""
    return "".join(f"({ai}){value}" for ai, value in elements)


def raw(elements: Elements) -> str:
    """Write elements as a symbol carries them, separators only where GS1 asks for them."""
    parts = []
    for index, (ai, value) in enumerate(elements):
        is_last = index == len(elements) - 1
        parts.append(ai + value + (FNC1 if IDENTIFIERS[ai].needs_separator and not is_last else ""))
    return "".join(parts)


def check_symbol(elements: Elements) -> None:
    """Check that the elements fit one GS1-128 symbol.

    Raises:
        BadElements: if they are more than 48 characters, separators counted.
    """
    length = len(raw(elements))
    if length > MOST_SYMBOL_CHARACTERS:
        raise BadElements(
            "symbol", bracketed(elements), f"at most {MOST_SYMBOL_CHARACTERS} characters"
        )


def parse_raw(text: str) -> tuple[tuple[str, str], ...]:
    """Read what a scanner gives: raw text, with or without the symbology identifier `]C1`.

    Raises:
        BadElements: if it is not made of known identifiers.
    """
    rest = text.removeprefix("]C1").removeprefix("]d2").removeprefix("]Q3").lstrip(FNC1)
    found = []
    while rest:
        row = _leading(rest)
        body = rest[len(row.ai) :]
        value = body[: row.most] if not row.needs_separator else body.partition(FNC1)[0]
        _check_syntax(row.ai, value)
        found.append((row.ai, value))
        rest = body[len(value) :].removeprefix(FNC1)
    if not found:
        raise BadElements("syntax", text, "element strings")
    return tuple(found)


def _leading(text: str) -> Identifier:
    for length in (2, 3, 4):
        row = IDENTIFIERS.get(text[:length])
        if row is not None:
            return row
    raise BadElements("syntax", text[:4], "an identifier that a produce case may carry")
