"""Judge a net mass against a pack's window; limits fall on whole divisions of the scale."""

from dataclasses import dataclass
from enum import Enum

from shedstation.domain.farm import Pack
from shedstation.domain.mass import Mass


class Verdict(Enum):
    """Where a net mass lies against its pack's window."""

    UNDER = "under"
    ON = "on"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class Limits:
    """The lowest and highest net mass that may be closed, both included."""

    lowest: Mass
    highest: Mass

    def verdict(self, net: Mass) -> Verdict:
        """Say whether the exact net is under, on or over."""
        if net < self.lowest:
            return Verdict.UNDER
        return Verdict.OVER if net > self.highest else Verdict.ON


def limits(pack: Pack, division: Mass) -> Limits:
    """Give a pack's limits on a scale: lower rounded up to a division, upper rounded down.

    Rounding towards the inside of the window keeps every box that is called on weight inside
    the exact window (design choice of this program; a scale cannot show less than a division).
    """
    lowest = pack.target.nanograms - pack.under.nanograms
    highest = pack.target.nanograms + pack.over.nanograms
    step = division.nanograms
    up = -((-lowest) // step)
    down = highest // step
    return Limits(division * int(up), division * int(down))
