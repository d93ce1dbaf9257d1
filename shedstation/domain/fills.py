"""Hold what is asked of many boxes at once: how each was filled, and how many fruit a day was culled."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

from shedstation.domain.mass import Mass


class Filled(Protocol):
    """A standing box, as far as its filling goes; a whole `Box` is one."""

    @property
    def pack(self) -> str:
        """Get the name of its pack."""

    @property
    def packed_on(self) -> date:
        """Get the day it was packed."""

    @property
    def bench(self) -> str:
        """Get the bench it was packed at."""

    @property
    def net(self) -> Mass:
        """Get what it holds."""

    @property
    def net_on_label(self) -> Mass:
        """Get what its label says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """What a box held and its label says, without the rest of the box, for questions over weeks."""

    pack: str
    packed_on: date
    bench: str
    by: str | None
    net: Mass
    net_on_label: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class CullDay:
    """A day's culls and boxes, counted."""

    day: date
    culled: int
    """Fruit, over the entries that give a count."""

    uncounted_entries: int
    """Entries that give a weight only."""

    boxes: int
    fruit: int
    """Fruit in the boxes that were counted."""

    uncounted_boxes: int


def week_of(day: date) -> tuple[date, date]:
    """Give Monday and Sunday of a day's week (ISO 8601: a week begins on Monday)."""
    monday = day - timedelta(days=day.isoweekday() - 1)
    return monday, monday + timedelta(days=6)
