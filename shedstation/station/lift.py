"""Look at the empty pan after lift-off: is anything to be said about the box just closed?"""

from dataclasses import dataclass

from shedstation.domain.box import Box, TareBy
from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.pan import Pan, TareRange
from shedstation.domain.reading import Mode, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """A box that was just closed, and what the empty pan must show once it is lifted off."""

    box: Box
    hidden: Mass
    """What the scale was known to hide while the box was filled."""

    zero: Mass | None
    """What the empty pan showed before the box, if that was seen."""

    limits: Limits | None


def doubt_at_lift(lift: Lift, reading: Reading, pan: Pan, tares: TareRange) -> Message | None:
    """Give what the first steady reading of the empty pan says against the box, if anything."""
    if reading.mass is None:
        return None
    if _was_wrongly_tared(lift, reading, reading.mass, pan, tares):
        values = {"serial": lift.box.serial, "tare": lift.box.tare}
        return Message("bench.weigh_again", values)
    return _moved_zero(lift, reading.mass, pan)


def _was_wrongly_tared(
    lift: Lift, reading: Reading, mass: Mass, pan: Pan, tares: TareRange
) -> bool:
    """Tell whether the box was weighed with a wrong tare.

    After the scale's own key the display must go below zero: if it shows zero, the key was never
    pressed with the box on and the box itself is in the net. If it goes below what the scale was
    known to hide, the scale hid something nobody saw.
    """
    tare_by = lift.box.tare_by
    drops_its_tare = tare_by is TareBy.SCALE and reading.mode is not Mode.NET
    by_key = tare_by is not TareBy.STATION and not drops_its_tare
    imagined = by_key and pan.display.shows_zero(reading)
    return imagined or -(mass + lift.hidden) * 2 > tares.least


def _moved_zero(lift: Lift, mass: Mass, pan: Pan) -> Message | None:
    """Say that the zero moved while the box was on, where that may have put it out of its window.

    Nobody saw when it moved: before the tare or after the close it did no harm. So this is only
    said of a box tared by the station, with both zeros seen, and never as a certainty.
    """
    zero, limits = lift.zero, lift.limits
    known = lift.box.tare_by is TareBy.STATION and not lift.hidden.count
    if zero is None or limits is None or not known or pan.display.near(mass, zero):
        return None
    if limits.verdict(lift.box.net - (mass - zero)) is limits.verdict(lift.box.net):
        return None
    values = {"serial": lift.box.serial, "shown": mass, "before": zero}
    return Message("bench.zero_moved", values)
