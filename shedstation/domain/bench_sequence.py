"""Move the work at the pan from step to step by a table."""

from collections.abc import Mapping
from enum import Enum
from typing import Final


class Step(Enum):
    """Where the work at the pan stands."""

    EMPTY = "empty"
    """Nothing on the pan: an empty box is to be put on."""

    BOX_ON = "box_on"
    """Something is on the pan that was not tared."""

    FILLING = "filling"
    """The box was tared; what the scale shows beyond it is fruit."""

    LIFTED = "lifted"
    """The open box left the pan before it was closed."""

    INTERRUPTED = "interrupted"
    """The line broke with an open box; the next steady reading decides."""

    CHANGED = "changed"
    """The scale no longer shows what it did (weight, unit or mode); a person must say."""

    CLOSED = "closed"
    """The box is recorded; only lifting it off moves on."""

    @property
    def has_open_box(self) -> bool:
        """Tell whether a tared box is neither closed nor given up."""
        return self in _OPEN


_OPEN: Final = frozenset({Step.FILLING, Step.LIFTED, Step.INTERRUPTED, Step.CHANGED})


class Saw(Enum):
    """What was seen at the pan or done by the person."""

    NOTHING_ON = "nothing_on"
    """Less than half the lightest empty box is on the pan."""

    LOAD_ON = "load_on"
    """There is a load."""

    ZEROED = "zeroed"
    """The scale's own tare or zero key took an empty box off the weight."""

    SAME_AGAIN = "same_again"
    """The first steady reading after a break is the last one before it."""

    OTHER = "other"
    """A steady reading, unit or mode that does not follow from the one before."""

    BREAK = "break"
    """The line went silent or was lost."""

    TARED = "tared"
    CLOSED = "closed"
    CONTINUED = "continued"
    ABANDONED = "abandoned"


NEXT: Final[Mapping[tuple[Step, Saw], Step]] = {
    (Step.EMPTY, Saw.LOAD_ON): Step.BOX_ON,
    (Step.EMPTY, Saw.ZEROED): Step.FILLING,
    (Step.EMPTY, Saw.TARED): Step.FILLING,
    (Step.BOX_ON, Saw.NOTHING_ON): Step.EMPTY,
    (Step.BOX_ON, Saw.ZEROED): Step.FILLING,
    (Step.BOX_ON, Saw.TARED): Step.FILLING,
    (Step.FILLING, Saw.NOTHING_ON): Step.LIFTED,
    (Step.FILLING, Saw.ZEROED): Step.CHANGED,
    (Step.FILLING, Saw.OTHER): Step.CHANGED,
    (Step.FILLING, Saw.BREAK): Step.INTERRUPTED,
    (Step.FILLING, Saw.CLOSED): Step.CLOSED,
    (Step.FILLING, Saw.ABANDONED): Step.BOX_ON,
    (Step.LIFTED, Saw.SAME_AGAIN): Step.FILLING,
    (Step.LIFTED, Saw.OTHER): Step.CHANGED,
    (Step.LIFTED, Saw.ABANDONED): Step.EMPTY,
    (Step.INTERRUPTED, Saw.NOTHING_ON): Step.LIFTED,
    (Step.INTERRUPTED, Saw.SAME_AGAIN): Step.FILLING,
    (Step.INTERRUPTED, Saw.OTHER): Step.CHANGED,
    (Step.INTERRUPTED, Saw.ABANDONED): Step.BOX_ON,
    (Step.CHANGED, Saw.NOTHING_ON): Step.LIFTED,
    (Step.CHANGED, Saw.SAME_AGAIN): Step.FILLING,
    (Step.CHANGED, Saw.BREAK): Step.INTERRUPTED,
    (Step.CHANGED, Saw.CONTINUED): Step.FILLING,
    (Step.CHANGED, Saw.ABANDONED): Step.BOX_ON,
    (Step.CLOSED, Saw.NOTHING_ON): Step.EMPTY,
}
"""Every pair that moves on; any other pair stays where it is."""


def following(step: Step, saw: Saw) -> Step:
    """Give the step that follows; what the table does not name changes nothing."""
    return NEXT.get((step, saw), step)
