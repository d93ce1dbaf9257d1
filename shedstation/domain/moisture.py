"""Say how much weight fruit loses in holding, by a model or by the farm's own reweighed boxes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, expm1, log, sqrt
from statistics import NormalDist
from typing import Final

from shedstation.domain.mass import Mass

TRANSPIRATION_NG: Final = 115.0
"""ng of water that a kilogram of mangoes loses a second for each pascal: fitted to the published losses
of Kensington Pride at 20 C; it lies with orange and tomato of the ASHRAE table (memory, medium)."""

ENOUGH_REWEIGHS: Final = 8
"""From so many reweighed boxes on, the farm's own loss replaces the model (our rule)."""

COLDEST_C: Final = 0.01
WARMEST_C: Final = 60.0
"""Outside these no fruit is held."""

_KELVIN: Final = 273.15
_SECONDS_A_DAY: Final = 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class Reweigh:
    """A box weighed again: fruit then and now, and the days between."""

    net_then: Mass
    net_now: Mass
    days: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DailyLoss:
    """What share of its weight fruit loses a day, and how that is known."""

    share: float
    reweighs: int
    """How many boxes it was learned from; 0 for the model."""

    half_width: float | None
    """Half the width of its 95 % interval; none for the model, whose error is not known."""

    def after(self, days: float) -> float:
        """Give the share lost after so many days: each day takes its share of what is left."""
        return float(1.0 - (1.0 - self.share) ** days)


def saturation_pressure(temp_c: float) -> float:
    """Give the pressure of saturated water vapour over water in Pa.

    Source: ASHRAE Fundamentals 2017, chapter 1, equation 6.

    Raises:
        ValueError: outside 0.01 to 60 C, where no fruit is held.
    """
    if not COLDEST_C <= temp_c <= WARMEST_C:
        msg = f"Cannot hold fruit at {temp_c} C: expected {COLDEST_C} to {WARMEST_C} C."
        raise ValueError(msg)
    t = temp_c + _KELVIN
    return exp(
        -5800.2206 / t
        + 1.3914993
        - 0.048640239 * t
        + 4.1764768e-5 * t**2
        - 1.4452093e-8 * t**3
        + 6.5459673 * log(t)
    )


def modelled_loss(temp_c: float, humidity: float) -> DailyLoss:
    """Give the loss a day of fruit as warm as its room: transpiration times the vapour it lacks.

    Warm fruit in a cold room loses faster at first; that is not in the model.

    Args:
        temp_c: Temperature of room and fruit in C.
        humidity: Relative humidity, 0 to 1.

    Raises:
        ValueError: if no fruit is held at such values.
    """
    if not 0.0 <= humidity <= 1.0:
        msg = f"Cannot have a relative humidity of {humidity}: expected 0 to 1."
        raise ValueError(msg)
    lacking_pa = saturation_pressure(temp_c) * (1.0 - humidity)
    share = TRANSPIRATION_NG * 1e-12 * lacking_pa * _SECONDS_A_DAY
    return DailyLoss(share=share, reweighs=0, half_width=None)


def learned_loss(reweighs: Sequence[Reweigh]) -> DailyLoss | None:
    """Give the loss a day that the farm's own reweighed boxes show; none while there are too few.

    A line through nothing is fitted by least squares to what each box lost (as a logarithm, so that each
    day takes its share of what is left) against its days: a weighing is as rough after one day as after
    seven, so a box held longer says more. The interval is Student's, with one value fitted.

    Raises:
        ValueError: if a box was weighed again at once, or was empty.
    """
    lost = [_log_loss(each) for each in reweighs]
    if len(lost) < ENOUGH_REWEIGHS:
        return None
    days = [each.days for each in reweighs]
    weight = sum(each**2 for each in days)
    rate = sum(loss * each for loss, each in zip(lost, days, strict=True)) / weight
    free = len(lost) - 1
    squares = sum((loss - rate * each) ** 2 for loss, each in zip(lost, days, strict=True))
    half = _student(free) * sqrt(squares / free / weight)
    # Boxes that seem to gain weight are noise of the scale; no fruit gains on the average.
    return DailyLoss(share=max(-expm1(-rate), 0.0), reweighs=len(lost), half_width=half)


def _log_loss(each: Reweigh) -> float:
    if each.days <= 0 or each.net_then.count <= 0 or each.net_now.count <= 0:
        msg = f"Cannot learn from {each.net_then}, then {each.net_now}, {each.days} days apart: "
        raise ValueError(msg + "expected two weights of fruit and some days between.")
    return -log(each.net_now.nanograms / each.net_then.nanograms)


def _student(free: int) -> float:
    """Give Student's t for a two-sided 95 % interval with so many degrees of freedom, seven or more.

    Source: the series in 1/free about the normal quantile, Abramowitz and Stegun 26.7.5 (memory);
    right to 0.001 from seven on.
    """
    z = NormalDist().inv_cdf(0.975)
    return (
        z
        + (z**3 + z) / (4 * free)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * free**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * free**3)
    )
