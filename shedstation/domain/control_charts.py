"""Tell chance from trouble: control charts of fill (X-bar and R) and of culls (p and u).

Sources: constants as printed in textbook tables of control chart factors; formulas NIST/SEMATECH
e-Handbook of Statistical Methods 6.3.2 and 6.3.3. A point on a limit is not out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from statistics import mean
from typing import Final

FIRM_FROM: Final = 20
"""Limits from fewer subgroups than this are not firm yet (common practice, no published source)."""

_THREE_SIGMA: Final = 3


@dataclass(frozen=True, slots=True)
class Factors:
    """Three-sigma factors for subgroups of one size."""

    a2: Fraction
    d2: Fraction
    d3: Fraction
    d4: Fraction


FACTORS: Final = {
    size: Factors(Fraction(a2), Fraction(d2), Fraction(d3), Fraction(d4))
    for size, a2, d2, d3, d4 in (
        (2, "1.880", "1.128", "0", "3.267"),
        (3, "1.023", "1.693", "0", "2.574"),
        (4, "0.729", "2.059", "0", "2.282"),
        (5, "0.577", "2.326", "0", "2.114"),
        (6, "0.483", "2.534", "0", "2.004"),
        (7, "0.419", "2.704", "0.076", "1.924"),
        (8, "0.373", "2.847", "0.136", "1.864"),
        (9, "0.337", "2.970", "0.184", "1.816"),
        (10, "0.308", "3.078", "0.223", "1.777"),
    )
}
"""By subgroup size; some books print 2.115 for D4 of five."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One subgroup or sample on a chart, with the limits that hold for it."""

    value: float
    lower: float | None
    """None where the limit would lie below nothing, for what cannot be negative."""

    upper: float
    is_out: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A control chart."""

    center: float
    points: tuple[Point, ...]

    @property
    def is_firm(self) -> bool:
        """Tell whether there are enough points to believe the limits."""
        return len(self.points) >= FIRM_FROM


@dataclass(frozen=True, slots=True, kw_only=True)
class FillCharts:
    """The mean and the range of fills in subgroups, and the spread the ranges show."""

    mean: Chart
    range: Chart
    sigma: float
    """Standard deviation of single fills: mean range over d2."""


def fill_charts(subgroups: Sequence[Sequence[Fraction]]) -> FillCharts:
    """Chart subgroups of fills: grand mean +- A2 times the mean range; D3 and D4 times the mean range.

    Args:
        subgroups: Fills in any one unit, subgroup by subgroup in the order of time; all of one size.

    Raises:
        ValueError: if there are none, sizes differ, or a size has no factors.
    """
    sizes = {len(each) for each in subgroups}
    if len(sizes) != 1 or not sizes <= set(FACTORS):
        msg = f"Cannot chart subgroups of {sorted(sizes)} fills: expected one size from 2 to 10."
        raise ValueError(msg)
    factors = FACTORS[sizes.pop()]
    means = [mean(each) for each in subgroups]
    ranges = [max(each) - min(each) for each in subgroups]
    mean_range = mean(ranges)
    middle, reach = mean(means), factors.a2 * mean_range
    lowest = factors.d3 * mean_range if factors.d3 else None
    return FillCharts(
        mean=_flat_chart(means, middle, middle - reach, middle + reach),
        range=_flat_chart(ranges, mean_range, lowest, factors.d4 * mean_range),
        sigma=float(mean_range / factors.d2),
    )


def _flat_chart(
    values: Sequence[Fraction], center: Fraction, lower: Fraction | None, upper: Fraction
) -> Chart:
    points = tuple(
        Point(
            value=float(value),
            lower=None if lower is None else float(lower),
            upper=float(upper),
            is_out=value > upper or (lower is not None and value < lower),
        )
        for value in values
    )
    return Chart(center=float(center), points=points)


def share_chart(counts: Sequence[int], sizes: Sequence[int]) -> Chart:
    """Chart the share of fruit culled (a p chart): pbar +- 3 sqrt(pbar (1 - pbar)/n) for each sample.

    Args:
        counts: Fruit culled, sample by sample.
        sizes: Fruit looked at, sample by sample.

    Raises:
        ValueError: if counts and sizes do not belong together.
    """
    for count, size in zip(counts, sizes, strict=True):
        if not 0 <= count <= size or size == 0:
            msg = f"Cannot chart {count} culls of {size} fruit: expected none to all of some."
            raise ValueError(msg)
    share = _share(counts, sizes)
    return _varying_chart(counts, sizes, share, share * (1 - share), most=Fraction(1))


def rate_chart(counts: Sequence[int], sizes: Sequence[int]) -> Chart:
    """Chart defects a unit (a u chart): ubar +- 3 sqrt(ubar/n) for each sample.

    Args:
        counts: Defects found, sample by sample; a unit may have several.
        sizes: Units looked at, sample by sample.

    Raises:
        ValueError: if counts and sizes do not belong together.
    """
    for count, size in zip(counts, sizes, strict=True):
        if count < 0 or size < 1:
            msg = f"Cannot chart {count} defects on {size} units: expected none or more on some."
            raise ValueError(msg)
    rate = _share(counts, sizes)
    return _varying_chart(counts, sizes, rate, rate)


def _share(counts: Sequence[int], sizes: Sequence[int]) -> Fraction:
    """Give the share of all, not the mean of shares: samples differ in size.

    Raises:
        ValueError: if there is no sample.
    """
    if not sizes:
        msg = "Cannot chart no sample: expected at least one."
        raise ValueError(msg)
    return Fraction(sum(counts), sum(sizes))


def _varying_chart(
    counts: Sequence[int],
    sizes: Sequence[int],
    center: Fraction,
    variance: Fraction,
    most: Fraction | None = None,
) -> Chart:
    points = tuple(
        _varying_point(Fraction(count, size), size, center, variance, most)
        for count, size in zip(counts, sizes, strict=True)
    )
    return Chart(center=float(center), points=points)


def _varying_point(
    value: Fraction, size: int, center: Fraction, variance: Fraction, most: Fraction | None
) -> Point:
    """Judge by squares, which compare exactly where roots would not."""
    reach_squared = _THREE_SIGMA**2 * variance / size
    reach = sqrt(reach_squared)
    lower = float(center) - reach
    upper = float(center) + reach
    return Point(
        value=float(value),
        lower=None if center**2 <= reach_squared else lower,
        upper=upper if most is None else min(upper, float(most)),
        is_out=(value - center) ** 2 > reach_squared,
    )
