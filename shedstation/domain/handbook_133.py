"""Judge a lot's net weights as NIST Handbook 133 does for Category A: fruit, not meat or poultry.

The packer's own control: officials decide. Figures of Tables 2-1 and 2-5 are from memory, supported by
arithmetic (each correction factor is t(0.975; n-1)/sqrt(n)), one row read; compare them with Handbook
133, Appendix A, before any claim.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import sqrt
from statistics import mean, variance
from typing import Final, NamedTuple

from shedstation.domain.mass import Mass, Unit

_SMALL_LOTS: Final = {
    2: "8.984",
    3: "2.484",
    4: "1.591",
    5: "1.241",
    6: "1.050",
    7: "0.925",
    8: "0.836",
    9: "0.769",
    10: "0.715",
    11: "0.672",
}
"""Handbook 133 Table 2-1, Category A: of so small a lot every package is weighed."""

_LOTS: Final = ((250, 12, "0.635", 0), (3200, 24, "0.422", 0), (None, 48, "0.291", 1))
"""Table 2-1: lots up to this many packages, packages in the sample, sample correction factor, how many
of the sample may be short by more than the MAV."""


class _MavTable(NamedTuple):
    """Table 2-5 in one unit: labels up to each limit, and the variation of that row.

    Below the least label, and above the last limit, the variation is a share of the label.
    """

    unit: Unit
    least: Fraction
    rows: tuple[tuple[str, str], ...]


_IN_POUNDS: Final = _MavTable(
    Unit.LB,
    Fraction("0.08"),
    (
        ("0.12", "0.008"),
        ("0.18", "0.012"),
        ("0.26", "0.016"),
        ("0.34", "0.02"),
        ("0.46", "0.024"),
        ("0.58", "0.028"),
        ("0.7", "0.032"),
        ("0.84", "0.036"),
        ("0.94", "0.04"),
        ("1.08", "0.044"),
        ("1.26", "0.048"),
        ("1.4", "0.052"),
        ("1.54", "0.056"),
        ("1.7", "0.06"),
        ("1.88", "0.064"),
        ("2.14", "0.07"),
        ("2.48", "0.078"),
        ("2.76", "0.086"),
        ("3.2", "0.094"),
        ("3.9", "0.11"),
        ("4.7", "0.12"),
        ("5.8", "0.14"),
        ("6.8", "0.15"),
        ("7.9", "0.17"),
        ("9.4", "0.19"),
        ("11.7", "0.22"),
        ("14.3", "0.25"),
        ("17.7", "0.28"),
        ("23.2", "0.31"),
        ("31.6", "0.37"),
        ("42.4", "0.44"),
        ("54.7", "0.5"),
    ),
)
_IN_GRAMS: Final = _MavTable(
    Unit.G,
    Fraction(36),
    (
        ("54", "3.6"),
        ("81", "5.4"),
        ("117", "7.2"),
        ("154", "9.0"),
        ("208", "10.8"),
        ("263", "12.7"),
        ("317", "14.5"),
        ("381", "16.3"),
        ("426", "18.1"),
        ("489", "19.9"),
        ("571", "21.7"),
        ("635", "23.5"),
        ("698", "25.4"),
        ("771", "27.2"),
        ("852", "29.0"),
        ("970", "31.7"),
        ("1120", "35.3"),
        ("1250", "39.0"),
        ("1450", "42.6"),
        ("1760", "49.8"),
        ("2130", "54.4"),
        ("2630", "63.5"),
        ("3080", "68.0"),
        ("3580", "77.1"),
        ("4260", "86.1"),
        ("5300", "99.7"),
        ("6480", "113"),
        ("8020", "127"),
        ("10520", "140"),
        ("14330", "167"),
        ("19230", "199"),
        ("24810", "226"),
    ),
)
"""For labels in metric units; the handbook cuts limits and variations, and does not round them."""

_SHARE_BELOW: Final = Fraction(1, 10)
_SHARE_ABOVE: Final = Fraction(2, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingPlan:
    """How many packages of a lot are weighed, and what they are judged with."""

    lot: int
    sample: int
    factor: Fraction | None
    """The sample correction factor; none for a single package."""

    allowed_over_mav: int


class Finding(Enum):
    """What one test, or the whole, says of the lot."""

    PASS = "pass"  # noqa: S105  # no password
    GREY = "grey area"
    """Short by more than chance, but by no more than what moisture may have taken: no decision."""

    FAIL = "fail"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotJudgement:
    """A lot judged, with every figure on the way; fractions are in units of the label's own unit."""

    plan: SamplingPlan
    label: Mass
    mav: Fraction
    errors: tuple[Fraction, ...]
    """Net less label, package by package."""

    over_mav: int
    average: Fraction
    spread: float | None
    """The sample's standard deviation, divisor n-1; none for a single package."""

    error_limit: float | None
    """How far the average may lie below the label by chance: factor times spread."""

    individual: Finding
    by_average: Finding

    @property
    def lot(self) -> Finding:
        """Get what the lot comes to: it must stand both tests."""
        both = (self.individual, self.by_average)
        return next((each for each in (Finding.FAIL, Finding.GREY) if each in both), Finding.PASS)


def sampling_plan(lot: int) -> SamplingPlan:
    """Give the plan for a lot of so many packages (Table 2-1, Category A).

    Raises:
        ValueError: if the lot has no package.
    """
    if lot < 1:
        msg = f"Cannot sample a lot of {lot} packages: expected at least one."
        raise ValueError(msg)
    if lot < 12:  # noqa: PLR2004  # Table 2-1: smaller lots are weighed whole
        small = _SMALL_LOTS.get(lot)
        factor = None if small is None else Fraction(small)
        return SamplingPlan(lot=lot, sample=lot, factor=factor, allowed_over_mav=0)
    row = next(row for row in _LOTS if row[0] is None or lot <= row[0])
    return SamplingPlan(lot=lot, sample=row[1], factor=Fraction(row[2]), allowed_over_mav=row[3])


def maximum_allowable_variation(label: Mass) -> Fraction:
    """Give by how much a package may be short of its label, in the label's own unit (Table 2-5).

    Args:
        label: What the label says, in the unit it is stated in: that decides which limits hold.
    """
    table = _IN_GRAMS if label.unit in (Unit.G, Unit.KG) else _IN_POUNDS
    stated = label.measured_in(table.unit)
    if stated < table.least:
        found = stated * _SHARE_BELOW
    else:
        row = next((row for row in table.rows if stated <= Fraction(row[0])), None)
        found = stated * _SHARE_ABOVE if row is None else Fraction(row[1])
    return found * table.unit.nanograms / label.unit.nanograms


def judge_lot(
    label: Mass, nets: Sequence[Mass], lot: int, moisture_share: Fraction = Fraction(0)
) -> LotJudgement:
    """Judge a lot by the net weights of its sample (Handbook 133 section 2.3, Category A).

    Args:
        label: The label's net weight.
        nets: Net weights of the sampled packages, in whatever unit they were weighed.
        lot: How many packages the lot has.
        moisture_share: What share of the label may have been lost as moisture; it is added to the MAV
            too (memory, medium). The handbook lists none for fresh fruit, and none where it is packed.

    Raises:
        ValueError: if the sample is not of the size the plan asks for.
    """
    plan = sampling_plan(lot)
    if len(nets) != plan.sample:
        msg = f"Cannot judge {len(nets)} packages of a lot of {lot}: expected {plan.sample}."
        raise ValueError(msg)
    sizes = [each.measured_in(label.unit) - label.measured_in(label.unit) for each in nets]
    mav = maximum_allowable_variation(label)
    over = sum(size < -mav for size in sizes)
    average = mean(sizes)
    limit_squared = _limit_squared(sizes, plan)
    allowance = moisture_share * label.measured_in(label.unit)
    spread = None if plan.factor is None else sqrt(limit_squared) / float(plan.factor)
    return LotJudgement(
        plan=plan,
        label=label,
        mav=mav,
        errors=tuple(sizes),
        over_mav=over,
        average=average,
        spread=spread,
        error_limit=None if plan.factor is None else sqrt(limit_squared),
        individual=judge_each(sizes, mav, allowance, plan),
        by_average=_by_average(average, limit_squared, allowance, plan),
    )


def judge_each(
    sizes: Sequence[Fraction], mav: Fraction, allowance: Fraction, plan: SamplingPlan
) -> Finding:
    """Say whether more packages than the plan allows are short by more than the MAV.

    What is short by more than the MAV, but not by more than MAV and allowance, decides nothing.
    """
    if sum(size < -mav for size in sizes) <= plan.allowed_over_mav:
        return Finding.PASS
    beyond = sum(size < -(mav + allowance) for size in sizes)
    return Finding.GREY if beyond <= plan.allowed_over_mav else Finding.FAIL


def _limit_squared(sizes: Sequence[Fraction], plan: SamplingPlan) -> Fraction:
    """Give the square of the sample error limit: squares compare exactly where roots would not."""
    if plan.factor is None:
        return Fraction(0)
    return plan.factor**2 * variance(sizes)


def _by_average(
    average: Fraction, limit_squared: Fraction, allowance: Fraction, plan: SamplingPlan
) -> Finding:
    """Judge the average; a single package has no average to judge and stands by its own error."""
    short = -average
    if plan.factor is None or short <= 0 or short**2 <= limit_squared:
        return Finding.PASS
    beyond = short - allowance
    if allowance and (beyond <= 0 or beyond**2 <= limit_squared):
        return Finding.GREY
    return Finding.FAIL
