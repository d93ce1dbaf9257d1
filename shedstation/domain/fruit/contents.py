"""Say which fruit lie in the box, from the steps of its weight."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass, add_up

_ALIKE: Final = 10
"""One fruit, weighed going in and out, differs by less than this part of it (our rule)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InBox:
    """One fruit in the box, or several that could not be told apart."""

    weight: Mass
    fruit: int | None
    """How many; none if that is not sure."""

    at_s: float
    """Seconds at which it was put in."""

    @property
    def is_single(self) -> bool:
        """Tell whether it is surely one fruit."""
        return self.fruit == 1


def contents(steps: Iterable[FruitStep]) -> tuple[InBox, ...]:
    """Give what lies in the box, in the order it came; the weights sum to that of the steps.

    Args:
        steps: All steps since the tare, in order. A step down takes away what weighs most nearly as
            much, the latest of equals; the division or two by which they differ stays with the fruit
            before it, since the scale only ever says what all of them weigh together. If less is left
            than any fruit that lies there could weigh, the box was emptied at once.
    """
    lying: list[InBox] = []
    for step in steps:
        if step.change.count >= 0:
            sure = step.fruit if step.sure else None
            lying.append(InBox(weight=step.change, fruit=sure, at_s=step.at_s))
        else:
            _take(lying, step)
    return tuple(lying)


def _take(lying: list[InBox], step: FruitStep) -> None:
    """Take out what a step down took; without anything to take, the step itself stays as unsure."""
    gone = -step.change
    if not lying:
        lying.append(InBox(weight=step.change, fruit=None, at_s=step.at_s))
        return
    if _is_emptied(lying, step):
        total = add_up([*(each.weight for each in lying), step.change])
        lying.clear()
        if total is not None and total.count:
            lying.append(InBox(weight=total, fruit=0, at_s=step.at_s))
        return
    latest_first = reversed(range(len(lying)))
    place = min(latest_first, key=lambda each: abs((lying[each].weight - gone).count))
    taken = lying[place]
    rest = taken.weight - gone
    if abs(rest.count) * _ALIKE > gone.count:
        # What went out is none of those that lie there as they were told: a half of two, say.
        left = taken.fruit - 1 if taken.fruit is not None and taken.fruit > 1 else None
        lying[place] = InBox(weight=rest, fruit=left, at_s=taken.at_s)
        return
    del lying[place]
    if rest.count:
        _keep_rest(lying, place, rest, step)


def _is_emptied(lying: list[InBox], step: FruitStep) -> bool:
    left = sum(each.weight.count for each in lying) + step.change.count
    lightest = min(each.weight.count for each in lying)
    return lightest > 0 and abs(left) * _ALIKE < lightest


def _keep_rest(lying: list[InBox], place: int, rest: Mass, step: FruitStep) -> None:
    """Leave the divisions by which one fruit weighed more going in than out with its neighbour."""
    if not lying:
        lying.append(InBox(weight=rest, fruit=0, at_s=step.at_s))
        return
    near = max(place - 1, 0)
    lying[near] = replace(lying[near], weight=lying[near].weight + rest)
