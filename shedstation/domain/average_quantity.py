"""Judge a lot's net weights by the average quantity system: OIML R 87, and the UK and EU reference test.

The packer's own control: R 87 says that its plans are for officials, and officials decide. Table 1 and
the reference test were read in the texts of several countries; the sampling plans of R 87 are from
memory, each factor supported by t(0.995; n-1)/sqrt(n). Lots under 100 are tested whole by the UK rule:
the small-lot plans of R 87 (2016) are not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import ceil, sqrt
from statistics import mean, variance
from typing import Final

from shedstation.domain.mass import Mass, Unit

_WHOLE_BELOW: Final = 100
_SHARE_OF_SMALL_LOT: Final = Fraction(5, 100)


class Rule(Enum):
    """By whose rule a lot is judged."""

    R87 = "OIML R 87"
    REFERENCE = "UK and EU reference test"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How many packages are weighed, and what they are judged with."""

    lot: int
    contents: int
    """Packages weighed for the tolerable deficiency."""

    means: int
    """How many of these, the first ones picked, are taken for the mean."""

    factor: Fraction
    """The mean may lie below the label by this many standard deviations."""

    allowed_t1: int


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityJudgement:
    """A lot judged, with every figure on the way; in grams."""

    plan: Plan
    label: Mass
    deficiency: Fraction
    """The tolerable deficiency T."""

    t1: int
    """Packages short by more than T, those short by more than twice T included."""

    t2: int
    mean_error: Fraction
    spread: float
    error_limit: float
    stands_by_each: bool
    stands_by_mean: bool

    @property
    def passes(self) -> bool:
        """Tell whether the lot stands both tests."""
        return self.stands_by_each and self.stands_by_mean


_DEFICIENCIES: Final = (
    (50, Fraction(9, 100), None),
    (100, None, Fraction("4.5")),
    (200, Fraction("0.045"), None),
    (300, None, Fraction(9)),
    (500, Fraction(3, 100), None),
    (1000, None, Fraction(15)),
    (10_000, Fraction("0.015"), None),
    (15_000, None, Fraction(150)),
    (None, Fraction(1, 100), None),
)
"""OIML R 87 Table 1 and Directive 76/211/EEC Annex I: labels up to this many grams, the share of the
label or the grams that a package may be short of it."""

_LOTS: Final = {
    Rule.R87: ((500, 50, 50, "0.379", 3), (3200, 80, 80, "0.295", 5), (None, 125, 125, "0.234", 7)),
    Rule.REFERENCE: (
        (500, 50, 30, "0.503", 3),
        (3200, 80, 50, "0.379", 5),
        (None, 125, 50, "0.379", 7),
    ),
}
"""Lots up to this many packages: weighed for contents, for the mean, factor, allowed over T. Source: R 87
Table 2; UK SI 2006/659 Schedule 2 paragraphs 2 to 4, Directive 76/211/EEC Annex II, not destructive."""


def quantity_plan(lot: int, rule: Rule) -> Plan:
    """Give the plan for a lot of so many packages.

    Raises:
        ValueError: if the lot has no package.
    """
    if lot < 1:
        msg = f"Cannot sample a lot of {lot} packages: expected at least one."
        raise ValueError(msg)
    if lot < _WHOLE_BELOW:
        allowed = int(lot * _SHARE_OF_SMALL_LOT)
        return Plan(lot=lot, contents=lot, means=lot, factor=Fraction(0), allowed_t1=allowed)
    row = next(row for row in _LOTS[rule] if row[0] is None or lot <= row[0])
    _, contents, means, factor, allowed = row
    return Plan(
        lot=lot, contents=contents, means=means, factor=Fraction(factor), allowed_t1=allowed
    )


def tolerable_deficiency(label: Mass, rule: Rule) -> Fraction:
    """Give by how many grams a package may be short of its label.

    What is a share of the label is rounded up: to 0.1 g, by R 87 above a kilogram to a whole gram
    (memory).
    """
    grams = label.measured_in(Unit.G)
    _, share, fixed = next(row for row in _DEFICIENCIES if row[0] is None or grams <= row[0])
    if fixed is not None or share is None:
        return fixed or Fraction(0)
    is_whole = rule is Rule.R87 and grams > 1000  # noqa: PLR2004  # R 87 rounds so above a kilogram
    step = Fraction(1) if is_whole else Fraction(1, 10)
    return ceil(grams * share / step) * step


def judge_quantity(label: Mass, nets: Sequence[Mass], lot: int, rule: Rule) -> QuantityJudgement:
    """Judge a lot by the net weights of its sample, in the order they were picked.

    A package short by exactly T is not over it; a mean exactly at the limit stands.

    Raises:
        ValueError: if the sample is not of the size the plan asks for.
    """
    plan = quantity_plan(lot, rule)
    if len(nets) != plan.contents:
        msg = f"Cannot judge {len(nets)} packages of a lot of {lot}: expected {plan.contents}."
        raise ValueError(msg)
    errors = [net.measured_in(Unit.G) - label.measured_in(Unit.G) for net in nets]
    deficiency = tolerable_deficiency(label, rule)
    t1 = sum(error < -deficiency for error in errors)
    t2 = sum(error < -2 * deficiency for error in errors)
    meant = errors[: plan.means]
    average = mean(meant)
    spread_squared = variance(meant) if len(meant) > 1 else Fraction(0)
    # Squares compare exactly where roots would not.
    stands_by_mean = average >= 0 or average**2 <= plan.factor**2 * spread_squared
    return QuantityJudgement(
        plan=plan,
        label=label,
        deficiency=deficiency,
        t1=t1,
        t2=t2,
        mean_error=average,
        spread=sqrt(spread_squared),
        error_limit=float(plan.factor) * sqrt(spread_squared),
        # The reference test counts T1 only; that none lies below twice T is the packer's rule beside it.
        stands_by_each=t1 <= plan.allowed_t1 and t2 == 0,
        stands_by_mean=stands_by_mean,
    )
