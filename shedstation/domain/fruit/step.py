"""Say what one step of the box's weight is."""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from shedstation.domain.mass import Mass


class StepKind(Enum):
    """What happened: fruit put in, fruit taken out, or a change that nobody saw."""

    PLACED = "placed"
    TAKEN = "taken"
    UNSEEN = "unseen"


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitStep:
    """One change of the net weight, from one level at rest to the next."""

    at_s: float
    """Seconds at which it began."""

    change: Mass
    """Whole divisions, below nothing for what was taken out; all steps of a box sum to its net."""

    fruit: int | None
    """How many fruit went in or out; none if that is not sure."""

    sure: bool
    kind: StepKind


_TWO_FROM: Final = 1.6
_HALF: Final = 0.5
"""A fruit above the first or below the second times the usual one is not surely one."""


def is_like_one(weight: float, usual: float) -> bool:
    """Tell whether a weight may be that of one fruit, by the usual one in the same unit."""
    return _HALF * usual <= weight <= _TWO_FROM * usual
