"""Say what net weight to aim at so that the buyer finds the label's, with the reasons as a sum."""

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import ceil, sqrt
from statistics import NormalDist

from shedstation.domain.mass import Mass


class Reason(Enum):
    """Why the aim lies above the label."""

    LOSS = "loss"
    """What the fruit lose before they are weighed again."""

    SPREAD = "spread"
    """That boxes differ, and only so many may be light."""

    SCALE = "scale"
    """That the scale may show too much."""

    DIVISION = "division"
    """That the scale shows whole divisions only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FillAim:
    """What to fill to; the label and all additions sum to it exactly."""

    label: Mass
    additions: tuple[tuple[Reason, Mass], ...]
    target: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class FillWish:
    """What the aim is computed from."""

    label: Mass
    share_below: float
    """Wanted share of boxes below the label, above 0 and at most 0.5."""

    spread: float
    """Standard deviation of the bench's fills, in the label's unit."""

    scale_tolerance: Mass
    division: Mass
    loss: float
    """Share of the weight that is lost before the buyer weighs it, 0 to below 1."""


def aim_of_fill(wish: FillWish) -> FillAim:
    """Give the aim: label/(1 - loss), plus z times the spread, plus the scale's tolerance.

    The spread of what the scale shows and its rounding (d^2/12) add as squares. The loss is divided out,
    not added on: fruit filled to L(1+w) that lose w weigh less than L. The target is rounded up to a
    whole division; it is never below the label.

    Source: mu = L + z(1-p) sigma for a normal fill, see the tests; L/(1-w) is arithmetic.

    Raises:
        ValueError: if a share or the spread cannot be.
    """
    _check(wish)
    decimals = max(wish.division.decimals, wish.label.decimals, wish.scale_tolerance.decimals)
    unit = wish.label.unit
    label = float(wish.label.measured_in(unit))
    division = float(wish.division.measured_in(unit))
    spread = sqrt(wish.spread**2 + division**2 / 12)
    wanted = {
        Reason.LOSS: label / (1.0 - wish.loss) - label,
        Reason.SPREAD: NormalDist().inv_cdf(1.0 - wish.share_below) * spread,
        Reason.SCALE: float(wish.scale_tolerance.measured_in(unit)),
    }
    steps = {reason: round(each * 10**decimals) for reason, each in wanted.items()}
    exact = wish.label.with_decimals(decimals).count + sum(wanted.values()) * 10**decimals
    target = _whole_divisions(exact, wish, decimals)
    said = wish.label.with_decimals(decimals).count + sum(steps.values())
    steps[Reason.DIVISION] = target.count - said
    additions = tuple((reason, Mass(count, decimals, unit)) for reason, count in steps.items())
    return FillAim(label=wish.label, additions=additions, target=target)


def _whole_divisions(exact: float, wish: FillWish, decimals: int) -> Mass:
    """Round up to a whole division; a millionth of one above it is noise of the arithmetic."""
    unit = wish.label.unit
    step = wish.division.measured_in(unit) * 10**decimals
    divisions = ceil(Fraction(exact) / step - Fraction(1, 1_000_000))
    count = divisions * step
    if count.denominator != 1:
        msg = f"Cannot count {wish.label} in divisions of {wish.division}: expected one unit."
        raise ValueError(msg)
    return Mass(int(count), decimals, unit)


def _check(wish: FillWish) -> None:
    if not 0.0 < wish.share_below <= 0.5:  # noqa: PLR2004  # more would aim below the label
        msg = f"Cannot let {wish.share_below} of boxes be light: expected above 0 and at most 0.5."
        raise ValueError(msg)
    if wish.spread < 0 or not 0.0 <= wish.loss < 1.0:
        msg = f"Cannot fill with a spread of {wish.spread} and a loss of {wish.loss}: "
        raise ValueError(msg + "expected a spread of at least 0 and a loss from 0 to below 1.")
