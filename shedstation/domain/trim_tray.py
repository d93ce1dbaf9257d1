"""Hold the trim tray: numbered cups beside the scale, each empty or with one fruit of known weight."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from shedstation.domain.mass import Mass, add_up

LEAST_CUPS: Final = 3
MOST_CUPS: Final = 6

NUMBERS_OF_CUPS: Final = (0, *range(LEAST_CUPS, MOST_CUPS + 1))
"""How many cups a bench may have; none is no tray."""

KEPT_S: Final = 30 * 60.0
"""A weight older than this is not used: fruit dry, and cups get mixed up (our rule)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CupFruit:
    """The fruit in a cup, as the scale weighed it on its way there."""

    weight: Mass
    since_s: float
    """Seconds at which it was put there."""

    load: str
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimTray:
    """What stands in the cups; every change gives a new tray."""

    cups: tuple[CupFruit | None, ...]
    """Cup 1 first; none for an empty one."""

    doubted_s: float | None = None
    """Seconds of the last zero fault; what was weighed up to then is not used."""

    def __post_init__(self) -> None:
        """Check the number of cups.

        Raises:
            ValueError: if there are fewer than three or more than six.
        """
        if not LEAST_CUPS <= len(self.cups) <= MOST_CUPS:
            msg = (
                f"A trim tray with {len(self.cups)} cups: expected {LEAST_CUPS} to {MOST_CUPS}; "
                "set up as many as stand beside the scale."
            )
            raise ValueError(msg)

    @property
    def free(self) -> tuple[int, ...]:
        """Get the numbers of the empty cups."""
        return tuple(number for number, fruit in enumerate(self.cups, 1) if fruit is None)

    def fruit_in(self, cup: int) -> CupFruit | None:
        """Give what is in a cup, none if it is empty.

        Raises:
            ValueError: if there is no such cup.
        """
        if not 1 <= cup <= len(self.cups):
            msg = f"There is no cup {cup}: expected a cup from 1 to {len(self.cups)}."
            raise ValueError(msg)
        return self.cups[cup - 1]

    def put(self, cup: int, fruit: CupFruit) -> "TrimTray":
        """Put a fruit in an empty cup.

        Raises:
            ValueError: if there is no such cup, or a fruit is in it.
        """
        if (there := self.fruit_in(cup)) is not None:
            msg = (
                f"Cup {cup} holds a fruit of {there.weight}: expected an empty cup; "
                "take that fruit out first, or correct where it is."
            )
            raise ValueError(msg)
        return self._with({cup: fruit})

    def take(self, cup: int) -> "TrimTray":
        """Take the fruit out of a cup.

        Raises:
            ValueError: if there is no such cup, or nothing is in it.
        """
        self._filled(cup)
        return self._with({cup: None})

    def correct(self, told: int, real: int) -> "TrimTray":
        """Say that the fruit told to be in one cup is in another.

        If a fruit was told to be in that one too, the two were mistaken for each other.

        Raises:
            ValueError: if there is no such cup, or no fruit was told to be in the first.
        """
        return self._with({told: self.fruit_in(real), real: self._filled(told)})

    def doubt(self, at_s: float) -> "TrimTray":
        """Trust no weight learned so far: the empty scale did not show zero, or changed its unit."""
        # A clock that was set back meanwhile makes nothing weighed before look newer than the doubt.
        since = (each.since_s for each in self.cups if each is not None)
        return replace(self, doubted_s=max((at_s, *since)))

    def usable(self, at_s: float, load: str, grade: str) -> dict[int, Mass]:
        """Give the weights that may be counted on now, by the number of the cup.

        Args:
            at_s: Seconds now.
            load: The load being packed; a fruit of another one is never used.
            grade: The grade being packed; the same.
        """
        return {
            cup: fruit.weight
            for cup, fruit in enumerate(self.cups, 1)
            if fruit is not None
            and (fruit.load, fruit.grade) == (load, grade)
            and at_s - fruit.since_s <= KEPT_S
            and (self.doubted_s is None or fruit.since_s > self.doubted_s)
        }

    def to_empty(self, load: str, grade: str) -> tuple[int, ...]:
        """Give the cups that must be emptied before this load and grade are packed."""
        return tuple(
            cup
            for cup, fruit in enumerate(self.cups, 1)
            if fruit is not None and (fruit.load, fruit.grade) != (load, grade)
        )

    def held(self, load: str, grade: str) -> Mass | None:
        """Add up what the cups hold of a load and grade, for its balance; none if nothing.

        Fruit that are too old or doubted for a swap still lie there, and count.
        """
        return add_up(
            fruit.weight
            for fruit in self.cups
            if fruit is not None and (fruit.load, fruit.grade) == (load, grade)
        )

    def _filled(self, cup: int) -> CupFruit:
        if (fruit := self.fruit_in(cup)) is None:
            msg = f"Cup {cup} is empty: expected the number of a cup with a fruit in it."
            raise ValueError(msg)
        return fruit

    def _with(self, changed: Mapping[int, CupFruit | None]) -> "TrimTray":
        cups = (changed.get(cup, fruit) for cup, fruit in enumerate(self.cups, 1))
        return replace(self, cups=tuple(cups))


def empty_tray(cups: int) -> TrimTray:
    """Set up a tray of so many empty cups.

    Raises:
        ValueError: if there are fewer than three or more than six.
    """
    return TrimTray(cups=(None,) * cups)
