"""Hold a price for a mass exactly, and say what a mass is worth; money is rounded once, at the end."""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Final

from shedstation.domain.mass import Mass, Unit

_PRICE: Final = re.compile(r"(\d{1,9})(?:\.(\d{1,6}))? ([A-Z]{3})/(lb|oz|kg|g)", re.ASCII)
_USUAL_PLACES: Final = 2
_PLACES: Final = {
    "BHD": 3, "CLP": 0, "GNF": 0, "IQD": 3, "JOD": 3, "JPY": 0, "KMF": 0, "KRW": 0, "KWD": 3, "OMR": 3,
    "PYG": 0, "RWF": 0, "TND": 3, "UGX": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
}  # fmt: skip
"""Decimals of the currencies that do not have two (ISO 4217 minor units, from memory)."""


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in whole smallest parts of a currency."""

    count: int
    decimals: int
    currency: str

    def __str__(self) -> str:
        """Give the amount with its currency, such as `8.93 USD`."""
        sign = "-" if self.count < 0 else ""
        whole, part = divmod(abs(self.count), 10**self.decimals)
        point = f".{part:0{self.decimals}d}" if self.decimals else ""
        return f"{sign}{whole}{point} {self.currency}"


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit of mass costs: `count` times 10 to the minus `decimals` of the currency."""

    count: int
    decimals: int
    currency: str
    """Three capital letters, as ISO 4217 has them."""

    unit: Unit

    def __str__(self) -> str:
        """Give the fixed text form, such as `1.20 USD/lb`; all decimals are kept."""
        whole, part = divmod(self.count, 10**self.decimals)
        point = f".{part:0{self.decimals}d}" if self.decimals else ""
        return f"{whole}{point} {self.currency}/{self.unit.value}"

    def worth(self, mass: Mass) -> Fraction:
        """Give what a mass is worth, exactly, in whole units of the currency."""
        return mass.measured_in(self.unit) * Fraction(self.count, 10**self.decimals)


def parse_price(text: str) -> Price:
    """Read a price as text, `1.20 USD/lb`.

    Raises:
        ValueError: if the text is not an amount above zero, a currency and a unit.
    """
    found = _PRICE.fullmatch(text)
    if found is None or not int(found.group(1) + (found.group(2) or "")):
        msg = f"{text!r} is not a price: expected an amount above zero for a unit, such as 1.20 USD/lb."
        raise ValueError(msg)
    whole, part, currency, unit = found.groups(default="")
    return Price(int(whole + part), len(part), currency, Unit(unit))


def rounded(amount: Fraction, currency: str) -> Money:
    """Give an exact amount in the currency's smallest parts; half a part goes up, away from zero.

    Half up is what a person with a pocket calculator gets; as each sum is rounded only once, it adds
    no drift that half-even would take away (choice of this program).
    """
    places = _PLACES.get(currency, _USUAL_PLACES)
    parts = floor(abs(amount) * 10**places + Fraction(1, 2))
    return Money(-parts if amount < 0 else parts, places, currency)
