"""Hold boxes that were weighed again, and say what the fruit of the farm lose a day."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Final

from shedstation.domain.mass import Mass
from shedstation.domain.moisture import DailyLoss, Reweigh, learned_loss

LEAST_DAYS: Final = 1
"""From so many days on a reweigh teaches the loss: before, a division hides it (our rule)."""

_MOST_GAIN: Final = Fraction(1, 100)
_MOST_LOSS: Final = Fraction(2, 100)
_MOST_LOSS_A_DAY: Final = Fraction(2, 100)
"""Beyond these shares another box is on the pan, or fruit were put in or taken out (our rule). The
fastest loss published for mangoes is 1.6 % a day, cultivar Agan at 22 C."""

_SECONDS_A_DAY: Final = 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxReweigh:
    """A closed box weighed again."""

    serial: str
    cultivar: str
    packed_on: date
    packed_at: str
    """UTC time of its closing."""

    at: str
    """UTC time of the reweigh."""

    gross: Mass
    tare: Mass
    """The box's own empty weight, taken when it was packed."""

    net_then: Mass
    net: Mass
    """Gross now less that tare, digit for digit."""

    room: str | None = None
    audit: str | None = None
    """The audit it was weighed for; none for a box weighed on its own."""

    by_hand: bool = False
    """Whether the weight was typed by a person."""

    @property
    def days(self) -> Fraction:
        """Get the days since the box was closed, a thousandth the finest."""
        return days_between(self.packed_at, self.at)

    @property
    def teaches_loss(self) -> bool:
        """Get whether it says something of what fruit lose: after a day, and by no odd amount."""
        return self.days >= LEAST_DAYS and not is_odd(self.net_then, self.net, self.days)


def days_between(earlier: str, later: str) -> Fraction:
    """Give the days between two UTC times as facts hold them, to a thousandth of a day."""
    seconds = (datetime.fromisoformat(later) - datetime.fromisoformat(earlier)).total_seconds()
    return Fraction(round(seconds * 1000 / _SECONDS_A_DAY), 1000)


def is_odd(net_then: Mass, net: Mass, days: Fraction) -> bool:
    """Tell whether a box changed by more than drying explains."""
    lost = 1 - Fraction(net.nanograms) / net_then.nanograms
    return not -_MOST_GAIN <= lost <= _MOST_LOSS + _MOST_LOSS_A_DAY * max(days, Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class FarmLoss:
    """What fruit lose a day on this farm."""

    cultivar: str | None
    """Whose boxes it was learned from; none for all cultivars together."""

    loss: DailyLoss


def farm_loss(reweighs: Iterable[BoxReweigh], cultivar: str | None) -> FarmLoss | None:
    """Give the loss learned from a cultivar's boxes, or from all if it has too few; none if those are.

    Of a box weighed several times the last counts: its weighings are not independent.
    """
    last = {each.serial: each for each in reweighs if each.teaches_loss}
    own = learned_loss(_measured(each for each in last.values() if each.cultivar == cultivar))
    if own is not None:
        return FarmLoss(cultivar=cultivar, loss=own)
    every = learned_loss(_measured(last.values()))
    return None if every is None else FarmLoss(cultivar=None, loss=every)


def _measured(reweighs: Iterable[BoxReweigh]) -> Sequence[Reweigh]:
    return [
        Reweigh(net_then=each.net_then, net_now=each.net, days=float(each.days))
        for each in reweighs
    ]
