"""Hold what came in from the field, load by load."""

from dataclasses import dataclass
from datetime import date

from shedstation.domain.mass import Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Tub:
    """A tub of fruit as weighed at intake."""

    gross: Mass
    tare: Mass

    @property
    def is_possible(self) -> bool:
        """Get whether both are in one unit and the tub with its fruit is heavier than without."""
        return self.gross.unit is self.tare.unit and self.gross > self.tare


@dataclass(frozen=True, slots=True, kw_only=True)
class Ripeness:
    """How many fruit of a sample show how much yellow ground colour."""

    half_or_more: int
    quarter_to_half: int
    less: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One load of fruit received from one block, after all corrections."""

    load: str
    block: str
    cultivar: str
    picked_on: date
    received_on: date
    weight: Mass | None
    """Net weight, the sum over the tubs where those were weighed."""

    tubs: tuple[Tub, ...] = ()
    estimated: bool = False
    ripeness: Ripeness | None = None
    by: str | None = None
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A part of a load by count, by weight or by both."""

    count: int | None = None
    weight: Mass | None = None
