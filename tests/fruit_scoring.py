"""Count how well fruit were told, against what really landed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Final

from signal_simulation import TOGETHER_S, FilledBox, Landing

from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass, Unit

_EARLY_S: Final = 1.0
_LATE_S: Final = 0.7
_NEAR_G: Final = 15.0
_NEAR_D: Final = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """Fruit and steps counted over boxes."""

    singles: int = 0
    """Fruit that went in or out with no other within a quarter of a second."""

    told: int = 0
    """Of these, those that are a step of their own with the right weight and time."""

    unsure: int = 0
    """Of those told, the ones that are not said to be surely one."""

    lumps: int = 0
    """Fruit that came together, counted as one lump each."""

    lumps_told: int = 0
    """Of these, those that are one step of the right weight."""

    lumps_flagged: int = 0
    """Of those told, the ones that are not said to be one fruit."""

    false: int = 0
    """Steps for which nothing landed."""

    boxes: int = 0
    unbalanced: int = 0
    """Boxes whose steps do not sum to the net weight."""

    def __add__(self, other: "Score") -> "Score":
        """Count both."""
        return Score(
            **{
                each.name: getattr(self, each.name) + getattr(other, each.name)
                for each in fields(self)
            }
        )

    @property
    def told_share(self) -> float:
        """Get the share of single fruit that were told."""
        return self.told / self.singles

    @property
    def unsure_share(self) -> float:
        """Get the share of the single fruit told that are not surely one."""
        return self.unsure / max(1, self.told)

    @property
    def false_share(self) -> float:
        """Get how many false steps there are for each landing."""
        return self.false / (self.singles + self.lumps)


def score(box: FilledBox, steps: Sequence[FruitStep], division: Mass) -> Score:
    """Compare the steps told of a box with what landed in it."""
    lumps = _lumps(box.landings)
    near_g = max(_NEAR_G, _NEAR_D * float(division.measured_in(Unit.G)))
    pairs = _matched(lumps, steps, near_g)
    single = [(lump, step) for lump, step in pairs if len(lump) == 1]
    together = [(lump, step) for lump, step in pairs if len(lump) > 1]
    net = box.after[-1][1]
    total = sum((step.change.count for step in steps), start=0)
    return Score(
        singles=sum(len(lump) == 1 for lump in lumps),
        told=len(single),
        unsure=sum(not step.sure for _, step in single),
        lumps=sum(len(lump) > 1 for lump in lumps),
        lumps_told=len(together),
        lumps_flagged=sum(step.fruit != 1 for _, step in together),
        false=_without_cause(lumps, steps, pairs),
        boxes=1,
        unbalanced=int(total != net.with_decimals(division.decimals).count),
    )


def _lumps(landings: Iterable[Landing]) -> list[list[Landing]]:
    lumps: list[list[Landing]] = []
    for landing in landings:
        if lumps and landing.at_s - lumps[-1][-1].at_s <= TOGETHER_S:
            lumps[-1].append(landing)
        else:
            lumps.append([landing])
    return lumps


_Pairs = list[tuple[list[Landing], FruitStep]]


def _matched(lumps: list[list[Landing]], steps: Sequence[FruitStep], near_g: float) -> _Pairs:
    """Pair each lump with the first step left that has its weight and its time."""
    pairs, left = [], list(steps)
    for lump in lumps:
        grams = sum(landing.grams for landing in lump)
        for place, step in enumerate(left):
            right = abs(float(step.change.measured_in(Unit.G)) - grams) <= near_g
            if right and lump[0].at_s - _EARLY_S <= step.at_s <= lump[-1].at_s + _LATE_S:
                pairs.append((lump, step))
                del left[: place + 1]
                break
    return pairs


def _without_cause(lumps: list[list[Landing]], steps: Sequence[FruitStep], pairs: _Pairs) -> int:
    """Count the steps between two that were paired, as far as they are more than what landed there."""
    paired = {id(lump): step for lump, step in pairs}
    false, landed, place = 0, 0, 0
    for lump in lumps:
        step = paired.get(id(lump))
        if step is None:
            landed += 1
            continue
        at = next(n for n in range(place, len(steps)) if steps[n] is step)
        false += max(0, at - place - landed)
        landed, place = 0, at + 1
    return false + max(0, len(steps) - place - landed)
