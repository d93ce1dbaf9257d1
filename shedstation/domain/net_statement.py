"""Write the net weight as a label must say it, and how large.

Sources, as quoted in public rule texts: 15 USC 1453 (both systems of units), 16 CFR 500.19(b)
(three digits, two below 100 g, a converted figure may be rounded down), a NIST labelling sheet
(never overstate), 16 CFR 500.21(b) and 21 CFR 101.7(i) (letter height by panel area),
16 CFR 500.21(a)(1) (panel area of a box: the whole side that carries the label).
Check with the local weights-and-measures official before you rely on a label.
"""

from fractions import Fraction
from typing import Final

from shedstation.domain.farm import NetOnLabel
from shedstation.domain.mass import Mass, Unit

_DIGITS: Final = 3
_SMALL_KG: Final = Fraction(1, 10)
_POUND_DECIMALS: Final = 2
_OUNCES: Final = 16

_HEIGHTS: Final = (
    (Fraction(5), Fraction(1, 16)),
    (Fraction(25), Fraction(1, 8)),
    (Fraction(100), Fraction(3, 16)),
    (Fraction(400), Fraction(1, 4)),
)
"""Largest panel area in square inches, and the least height of letters in inches."""

_LARGEST_HEIGHT: Final = Fraction(1, 2)
_US_FIRST: Final = frozenset({Unit.LB, Unit.OZ, Unit.LB_OZ})


def net_statement(net: Mass, kind: NetOnLabel) -> str:
    """Give the statement, such as `NET WT 25 LB (11.3 kg)`; the second unit is never rounded up.

    Args:
        net: The mass to print. A declared one loses zeros at its end; a box's own keeps the
            decimals of the scale.
        kind: Whether the mass is declared or the box's own.
    """
    shown = _without_zeros(net) if kind is NetOnLabel.DECLARED else net
    second = metric_cut(net) if net.unit in _US_FIRST else pounds_cut(net)
    return f"NET WT {first_unit(shown)} ({second})"


def _without_zeros(mass: Mass) -> Mass:
    decimals = mass.decimals
    while decimals and mass.count % 10 ** (mass.decimals - decimals + 1) == 0:
        decimals -= 1
    return mass.with_decimals(decimals)


def first_unit(mass: Mass) -> str:
    """Give the mass with its unit as labels write it: `25 LB 6.2 OZ`, `11.3 kg`."""
    if mass.unit is Unit.LB_OZ:
        return _pounds_ounces(mass)
    unit = mass.unit.value
    return f"{mass.number()} {unit.upper() if mass.unit in _US_FIRST else unit}"


def _pounds_ounces(mass: Mass) -> str:
    pounds, rest = divmod(mass.count, _OUNCES * 10**mass.decimals)
    if rest == 0:
        return f"{pounds} LB"
    return f"{pounds} LB {_without_zeros(Mass(rest, mass.decimals, Unit.OZ)).number()} OZ"


def metric_cut(mass: Mass) -> str:
    """Give kilograms (grams below one) cut to three digits, two below 100 g."""
    kilograms = mass.measured_in(Unit.KG)
    if kilograms >= 1:
        return str(mass.in_unit(Unit.KG, _decimals_for(kilograms, _DIGITS)))
    digits = _DIGITS if kilograms >= _SMALL_KG else _DIGITS - 1
    grams = mass.measured_in(Unit.G)
    return str(mass.in_unit(Unit.G, _decimals_for(grams, digits)))


def _decimals_for(amount: Fraction, digits: int) -> int:
    whole = len(str(amount.numerator // amount.denominator))
    return max(digits - whole, 0)


def pounds_cut(mass: Mass) -> str:
    """Give decimal pounds cut to two places."""
    return f"{mass.in_unit(Unit.LB, _POUND_DECIMALS).number()} LB"


def letter_height_in(panel_in: tuple[str, str]) -> Fraction:
    """Give the least height of the net weight's letters in inches for a panel's width and height."""
    area = Fraction(panel_in[0]) * Fraction(panel_in[1])
    return next((height for most, height in _HEIGHTS if area <= most), _LARGEST_HEIGHT)
