"""Write exact numbers as decimal text, for facts and records that hold no floats."""

from decimal import Decimal
from fractions import Fraction
from typing import Final

_MOST_PLACES: Final = 6


def rounded(value: Fraction | float, places: int) -> str:
    """Give a number with so many decimals; a tie goes to the even digit."""
    count = round(Fraction(value) * 10**places)
    return f"{Decimal(count).scaleb(-places):f}"


def plain(value: Fraction) -> str:
    """Give a number with as many decimals as it has, six at the most."""
    ways = range(_MOST_PLACES + 1)
    exact = (places for places in ways if (value * 10**places).denominator == 1)
    return rounded(value, next(exact, _MOST_PLACES))


def places_of(step: Fraction) -> int:
    """Give how many decimals whole steps need; one more than its size says if it is no round one."""
    places = next(places for places in range(_MOST_PLACES + 1) if step * 10**places >= 1)
    return places if (step * 10**places).denominator == 1 else places + 1
