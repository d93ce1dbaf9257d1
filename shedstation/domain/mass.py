"""Hold masses exactly: a whole number of decimal parts of a unit, never a float."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

# NIST Handbook 44, Appendix C: 1 lb = 0.45359237 kg and 1 oz = 28.349523125 g, both exact.
_NANOGRAMS: Final = {
    "lb": 453_592_370_000,
    "oz": 28_349_523_125,
    "lb-oz": 28_349_523_125,
    "kg": 1_000_000_000_000,
    "g": 1_000_000_000,
}
_OUNCES_IN_POUND: Final = 16


class Unit(Enum):
    """A unit as a scale shows it; pounds-and-ounces counts ounces and shows both."""

    LB = "lb"
    OZ = "oz"
    LB_OZ = "lb-oz"
    KG = "kg"
    G = "g"

    @property
    def nanograms(self) -> int:
        """Get the exact mass of one unit (of one ounce for pounds-and-ounces) in nanograms."""
        return _NANOGRAMS[self.value]


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass of `count` times 10 to the minus `decimals` of its unit."""

    count: int
    decimals: int
    unit: Unit

    def __str__(self) -> str:
        """Give the fixed text form, such as `25.42 lb` or `25 lb 6.2 oz`."""
        if self.unit is Unit.LB_OZ:
            return self._compound()
        return f"{self.number()} {self.unit.value}"

    def number(self) -> str:
        """Give the number without its unit (ounces for pounds-and-ounces), all decimals shown."""
        return _decimal_text(self.count, self.decimals)

    def _compound(self) -> str:
        pound = _OUNCES_IN_POUND * 10**self.decimals
        pounds, rest = divmod(abs(self.count), pound)
        sign = "-" if self.count < 0 else ""
        return f"{sign}{pounds} lb {_decimal_text(rest, self.decimals)} oz"

    @property
    def nanograms(self) -> Fraction:
        """Get the exact mass in nanograms."""
        return Fraction(self.count * self.unit.nanograms, 10**self.decimals)

    def measured_in(self, unit: Unit) -> Fraction:
        """Give how many of a unit the mass is, exactly (ounces for pounds-and-ounces)."""
        return self.nanograms / unit.nanograms

    def with_decimals(self, decimals: int) -> "Mass":
        """Give the same mass counted in finer parts.

        Raises:
            ValueError: if `decimals` would lose digits.
        """
        if decimals == self.decimals:
            return self
        shift = decimals - self.decimals
        if shift >= 0:
            return Mass(self.count * 10**shift, decimals, self.unit)
        count, rest = divmod(self.count, 10**-shift)
        if rest:
            msg = f"Cannot write {self} with {decimals} decimals: expected no digit to be lost."
            raise ValueError(msg)
        return Mass(count, decimals, self.unit)

    def _aligned(self, other: "Mass") -> tuple[int, int, int]:
        if self.unit is not other.unit:
            msg = f"Cannot combine {self} with {other}: expected one unit, got two."
            raise ValueError(msg)
        if self.decimals == other.decimals:
            return self.count, other.count, self.decimals
        decimals = max(self.decimals, other.decimals)
        mine, theirs = self.with_decimals(decimals), other.with_decimals(decimals)
        return mine.count, theirs.count, decimals

    def __add__(self, other: "Mass") -> "Mass":
        """Add exactly.

        Raises:
            ValueError: if the units differ.
        """
        mine, theirs, decimals = self._aligned(other)
        return Mass(mine + theirs, decimals, self.unit)

    def __sub__(self, other: "Mass") -> "Mass":
        """Subtract exactly.

        Raises:
            ValueError: if the units differ.
        """
        mine, theirs, decimals = self._aligned(other)
        return Mass(mine - theirs, decimals, self.unit)

    def __neg__(self) -> "Mass":
        """Turn the sign."""
        return Mass(-self.count, self.decimals, self.unit)

    def __abs__(self) -> "Mass":
        """Drop the sign."""
        return Mass(abs(self.count), self.decimals, self.unit)

    def __mul__(self, times: int) -> "Mass":
        """Take the mass a whole number of times."""
        return Mass(self.count * times, self.decimals, self.unit)

    def _weighed(self, other: "Mass") -> tuple[int, int]:
        if self.unit is other.unit and self.decimals == other.decimals:
            return self.count, other.count
        mine = self.count * self.unit.nanograms * 10**other.decimals
        return mine, other.count * other.unit.nanograms * 10**self.decimals

    def __lt__(self, other: "Mass") -> bool:
        """Compare exactly, whatever the units."""
        mine, theirs = self._weighed(other)
        return mine < theirs

    def __le__(self, other: "Mass") -> bool:
        """Compare exactly, whatever the units."""
        mine, theirs = self._weighed(other)
        return mine <= theirs

    def __gt__(self, other: "Mass") -> bool:
        """Compare exactly, whatever the units."""
        return other < self

    def __ge__(self, other: "Mass") -> bool:
        """Compare exactly, whatever the units."""
        return other <= self

    def same_as(self, other: "Mass") -> bool:
        """Tell whether both are the same amount, however they are written."""
        mine, theirs = self._weighed(other)
        return mine == theirs

    def is_multiple_of(self, step: "Mass") -> bool:
        """Tell whether the mass is a whole number of steps of its own unit."""
        mine, whole, _ = self._aligned(step)
        return mine % whole == 0

    def in_unit(self, unit: Unit, decimals: int) -> "Mass":
        """Give the mass in another unit, cut towards zero to `decimals`."""
        exact = abs(self.nanograms) * 10**decimals / unit.nanograms
        count = exact.numerator // exact.denominator
        return Mass(-count if self.count < 0 else count, decimals, unit)


def counted_in(mass: Mass, unit: Unit) -> Mass:
    """Give the same mass in another unit if at most six decimals can say it; else as it is."""
    if mass.unit is unit:
        return mass
    ways = (mass.in_unit(unit, decimals) for decimals in range(mass.decimals, 7))
    return next((each for each in ways if each.same_as(mass)), mass)


def zero(unit: Unit, decimals: int = 0) -> Mass:
    """Give no mass at all in the unit."""
    return Mass(0, decimals, unit)


def add_up(masses: Iterable[Mass]) -> Mass | None:
    """Add masses exactly, in the unit of the first; none at all give none.

    Where units differ, the exact sum is cut once, to the most decimals of the first one's unit.
    """
    every = list(masses)
    if not every:
        return None
    unit = every[0].unit
    decimals = max(mass.decimals for mass in every if mass.unit is unit)
    exact = sum((mass.nanograms for mass in every), Fraction(0)) * 10**decimals / unit.nanograms
    return Mass(int(exact), decimals, unit)


def _decimal_text(count: int, decimals: int) -> str:
    if decimals == 0:
        return str(count)
    sign = "-" if count < 0 else ""
    digits = str(abs(count)).rjust(decimals + 1, "0")
    return f"{sign}{digits[:-decimals]}.{digits[-decimals:]}"


_SIMPLE: Final = re.compile(r"(-?)(\d{1,9})(?:\.(\d{1,6}))? (lb|oz|kg|g)", re.ASCII)
_COMPOUND: Final = re.compile(r"(-?)(\d{1,9}) lb (\d{1,2})(?:\.(\d{1,6}))? oz", re.ASCII)


def parse_mass(text: str) -> Mass:
    """Read a mass as text: `25.42 lb`, `11.340 kg`, `25 lb 6.2 oz`; decimals are kept.

    Raises:
        ValueError: if the text is not a number with a unit, saying what was expected.
    """
    if found := _SIMPLE.fullmatch(text):
        sign, whole, part, unit = found.groups()
        part = part or ""
        return Mass(int(sign + whole + part), len(part), Unit(unit))
    if found := _COMPOUND.fullmatch(text):
        sign, pounds, ounces, part = found.groups()
        part = part or ""
        count = int(pounds) * _OUNCES_IN_POUND * 10 ** len(part) + int(ounces + part)
        if int(ounces + part) <= _OUNCES_IN_POUND * 10 ** len(part):
            return Mass(-count if sign else count, len(part), Unit.LB_OZ)
    msg = f"{text!r} is not a mass: expected a number and a unit, such as 25.42 lb or 25 lb 6.2 oz."
    raise ValueError(msg)
