"""Lay the fruit of a box out as discs seen from above, in the order they came."""

from dataclasses import dataclass, replace
from math import ceil, pi, sqrt
from typing import Final

from shedstation.domain.fruit.contents import InBox
from shedstation.domain.mass import Mass

_COVERED: Final = 0.62
"""Share of the crate's floor that the discs of a full box cover; discs in rows cannot cover more than
0.785, and their sizes differ."""

_SHRINK: Final = 1.03
"""Discs that do not fit shrink in area by at least so much at once."""


@dataclass(frozen=True, slots=True)
class Disc:
    """A fruit from above; place and radius in the same length as the crate's sides."""

    x: float
    y: float
    radius: float
    text: str
    """What stands in it: nothing for one fruit, `2` or `?` for what could not be told singly."""


def _radius(weight: Mass, area_per_nanogram: float) -> float:
    return sqrt(max(float(weight.nanograms), 0.0) * area_per_nanogram / pi)


def _text(fruit: InBox) -> str:
    if fruit.is_single:
        return ""
    return "?" if fruit.fruit is None else str(fruit.fruit)


def crate_discs(
    fruit: tuple[InBox, ...], target: Mass, width: float, height: float
) -> tuple[Disc, ...]:
    """Lay the fruit out in columns from the left, so that the crate fills along its ruler.

    Args:
        fruit: What lies in the box, in the order it came.
        target: The net weight at which the crate is full.
        width: The crate's long side inside, in any length.
        height: Its short side, in the same length.

    Returns:
        A disc for every fruit with a weight, its area by that weight; all shrink together if they
        would not fit.
    """
    shown = [each for each in fruit if each.weight.count > 0]
    if not shown or target.count <= 0:
        return ()
    per_ng = _COVERED * width * height / float(target.nanograms)
    discs = _columns(shown, per_ng, height)
    while (too := _too_large(discs, width, height)) > 1.0:
        per_ng /= max(too, _SHRINK)
        discs = _columns(shown, per_ng, height)
    return _spread(discs, width * _share(shown, target))


def _share(fruit: list[InBox], target: Mass) -> float:
    net = sum(float(each.weight.nanograms) for each in fruit)
    return min(net / float(target.nanograms), 1.0)


def _right(discs: tuple[Disc, ...]) -> float:
    return max(disc.x + disc.radius for disc in discs)


def _too_large(discs: tuple[Disc, ...], width: float, height: float) -> float:
    """Give by how much the discs are too large for the crate, above 1 if they are."""
    tallest = max(2 * disc.radius for disc in discs)
    return max(_right(discs) / width, tallest / height)


def _spread(discs: tuple[Disc, ...], wanted: float) -> tuple[Disc, ...]:
    """Move columns apart until the last ends where the ruler says the filling does."""
    apart = max(wanted / _right(discs), 1.0)
    return tuple(replace(disc, x=disc.x * apart) for disc in discs)


def _columns(fruit: list[InBox], per_ng: float, height: float) -> tuple[Disc, ...]:
    """Fill columns of as many discs as the widest allows, each column as wide as its widest."""
    widest = max(_radius(each.weight, per_ng) for each in fruit)
    rows = max(int(height / (2 * widest)), 1)
    discs: list[Disc] = []
    left = 0.0
    for number in range(ceil(len(fruit) / rows)):
        column = fruit[number * rows : (number + 1) * rows]
        radii = [_radius(each.weight, per_ng) for each in column]
        middle = left + max(radii)
        for row, (each, radius) in enumerate(zip(column, radii, strict=True)):
            discs.append(Disc(middle, height * (row + 0.5) / rows, radius, _text(each)))
        left += 2 * max(radii)
    return tuple(discs)
