"""Show the cups beside a scale and the trim advice, as frozen values that screens are made of."""

from dataclasses import dataclass
from enum import Enum

from shedstation.domain.mass import Mass
from shedstation.domain.trim import Move, TrimAdvice, Way
from shedstation.domain.trim_follow import LastFruit


class CupUse(Enum):
    """Whether the fruit in a cup may be used, and why not."""

    EMPTY = "empty"
    READY = "ready"
    OLD = "old"
    """Weighed too long ago."""

    DOUBTED = "doubted"
    """Weighed before the scale's zero was at fault."""

    OTHER = "other"
    """Of another load or grade."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CupView:
    """One cup."""

    number: int
    use: CupUse
    weight: Mass | None = None
    age_s: float = 0.0
    """Seconds since it was weighed; 0 for an empty cup."""

    way: Way | None = None
    """Which way its fruit is to go next; none if it stays."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimView:
    """The trim advice at one moment, and the cups."""

    cups: tuple[CupView, ...]
    """Number 1 first; none where there is no tray."""

    advice: TrimAdvice | None
    last: LastFruit | None
    """The fruit that moved last, as far as cups are in question."""

    @property
    def takes_out(self) -> int | None:
        """Get which fruit is to come out next, 1 the last one put in; none if none is."""
        first = self._first
        return None if first is None else first.from_top

    @property
    def puts_in(self) -> Mass | None:
        """Get the weight of the fruit that is to go in from its cup next; none if none is."""
        first = self._first
        return first.weight if first is not None and first.way is Way.IN else None

    @property
    def _first(self) -> Move | None:
        return self.advice.moves[0] if self.advice is not None and self.advice.moves else None
