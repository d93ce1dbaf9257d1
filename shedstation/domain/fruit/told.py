"""Hold what the scale told of the fruit of one closed box."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from shedstation.domain.fruit.contents import contents
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass, add_up
from shedstation.domain.size_codes import PackageSize, SizeStandard, package_size


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """One fruit in the closed box, or several that could not be told apart."""

    weight: Mass
    """Below nothing only for what was taken out before anything was seen to go in."""

    fruit: int | None
    """How many; none if that is not sure. 0 for a division or two that no fruit accounts for."""

    at: str
    """UTC time at which it was put in, ISO 8601 with Z."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitTold:
    """The fruit of one closed box as the scale told them, whatever a person counted."""

    lying: tuple[Lying, ...]
    """What lies in the box, in the order it was put in; the weights sum to the net weight exactly."""

    standard: SizeStandard | None
    """By whose codes they are sized; none where the pack names no standard."""

    @property
    def count(self) -> int | None:
        """Get how many fruit there are; none if that is not sure."""
        counts = [each.fruit for each in self.lying if each.fruit is not None]
        return sum(counts) if len(counts) == len(self.lying) else None

    @property
    def singles(self) -> tuple[Mass, ...]:
        """Get the weights of the fruit that were surely told singly, in the order they were put in."""
        return tuple(each.weight for each in self.lying if each.fruit == 1)

    @property
    def unsure(self) -> tuple[Lying, ...]:
        """Get what is not surely one fruit, in the order it was put in."""
        return tuple(each for each in self.lying if each.fruit not in (0, 1))

    @property
    def likely(self) -> int:
        """Get the best guess of the count, by the weights of the fruit that are sure.

        It is offered to the person who is asked, and never recorded as a count.
        """
        known = self.singles or tuple(each.weight for each in self.lying if each.weight.count > 0)
        if not known:
            return 0
        # With no single fruit to go by, the lightest lump is the likeliest to be one.
        of = median if self.singles else min
        usual = Fraction(of([each.nanograms for each in known]))
        return max(sum(_likely(each, usual) for each in self.lying), 0)

    @property
    def smallest(self) -> Mass | None:
        """Get the lightest single fruit."""
        return min(self.singles, default=None)

    @property
    def largest(self) -> Mass | None:
        """Get the heaviest single fruit."""
        return max(self.singles, default=None)

    @property
    def spread(self) -> Mass | None:
        """Get the heaviest single fruit less the lightest."""
        return max(self.singles) - min(self.singles) if self.singles else None

    @property
    def mean(self) -> Mass | None:
        """Get what a single fruit weighs on average, to a decimal more than the scale shows."""
        total = add_up(self.singles)
        if total is None:
            return None
        number = len(self.singles)
        tenths = (2 * total.count * 10 + number) // (2 * number)
        return Mass(tenths, total.decimals + 1, total.unit)

    @property
    def is_sized(self) -> bool:
        """Get whether a standard is named and each fruit was told singly, so that the box has a size."""
        return self.standard is not None and bool(self.singles) and not self.unsure

    @property
    def size(self) -> PackageSize | None:
        """Get how the box keeps to a size code; none unless each of its fruit was told singly.

        None too if no fruit in it is as light or as heavy as any code.
        """
        if self.standard is None or not self.is_sized:
            return None
        return package_size(self.singles, self.standard)

    @property
    def kept_code(self) -> str | None:
        """Get the size code that the box keeps in size and in spread, so that it may be claimed."""
        size = self.size
        if size is None or not (size.keeps_size and size.keeps_difference):
            return None
        return size.code.code


def _likely(lying: Lying, usual: Fraction) -> int:
    if lying.fruit is not None:
        return lying.fruit
    share = round(lying.weight.nanograms / usual)
    return max(share, 1) if lying.weight.count > 0 else share


def fruit_told(
    steps: Iterable[FruitStep], utc: Callable[[float], str], standard: SizeStandard | None
) -> FruitTold:
    """Give what all steps of a box told.

    Args:
        steps: The steps from the tare to the close, summing to the net weight.
        utc: Gives the UTC time of a second.
        standard: By whose codes the fruit are sized, if by any.
    """
    lying = (
        Lying(weight=each.weight, fruit=each.fruit, at=utc(each.at_s)) for each in contents(steps)
    )
    return FruitTold(lying=tuple(lying), standard=standard)
