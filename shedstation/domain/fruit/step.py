"""Say what one step of the box's weight is."""

from dataclasses import dataclass
from enum import Enum

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
