"""Find where the weight stands in frames, and where else the same number stands."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from shedstation.devices.learning.aligning import Form, Line
from shedstation.devices.learning.places import Place, Target, places, trimmed, without_code
from shedstation.domain.mass import Mass, Unit

OUNCES_IN_POUND: Final = 16
_ENOUGH_LINES: Final = 12


@dataclass(frozen=True, slots=True)
class Weighing:
    """Where the weight stands."""

    first: Place
    """The number, or the pounds."""

    ounces: Place | None = None
    others: tuple[Place, ...] = ()
    """Where the same number stood in every example, so that these might be the weight as well."""

    @property
    def own(self) -> tuple[Place, ...]:
        """Get the places that make the weight."""
        return (self.first,) if self.ounces is None else (self.first, self.ounces)

    @property
    def every(self) -> tuple[Place, ...]:
        """Get all places."""
        return (*self.own, *self.others)

    def trimmed(self, lines: Sequence[Line], moving: Sequence[Line]) -> "Weighing":
        """Cut off what only looked like filling."""
        first = without_code(trimmed(self.first, moving), lines)
        ounces = None if self.ounces is None else trimmed(self.ounces, moving)
        return Weighing(first, ounces, tuple(trimmed(each, moving) for each in self.others))

    @property
    def says_sign(self) -> bool:
        """Get whether the number itself shows its sign."""
        return bool(self.first.signs)


def weighings(
    form: Form, every: Sequence[Line], shown: Sequence[Mass | None]
) -> Iterator[Weighing]:
    """Give the ways in which the frames hold the weights that were shown.

    Args:
        form: How the lines are laid out.
        every: The lines, those from moving pans included.
        shown: What was shown, by example.
    """
    lines = [line for line in every if line.seen.is_steady]
    moving = [line for line in every if not line.seen.is_steady]
    few = _different(lines)
    masses = [mass for line in few if (mass := shown[line.seen.example]) is not None]
    found: list[Weighing] = []
    if all(mass.unit is Unit.LB_OZ for mass in masses):
        found += _compound(form, few, masses)
    if len({mass.unit is Unit.LB_OZ for mass in masses}) == 1:
        found += _simple(form, few, lines, masses, shown)
    for each in found:
        yield each.trimmed(every, moving)


def _different(lines: Sequence[Line]) -> list[Line]:
    """Leave out repeated lines, and most of those that differ in a counter only."""
    seen: dict[int, dict[tuple[bytes, ...], Line]] = {}
    for line in lines:
        seen.setdefault(line.seen.example, {}).setdefault(line.slots, line)
    return [line for kept in seen.values() for line in [*kept.values()][-_ENOUGH_LINES:]]


def _simple(
    form: Form,
    few: Sequence[Line],
    lines: Sequence[Line],
    masses: Sequence[Mass],
    shown: Sequence[Mass | None],
) -> Iterator[Weighing]:
    found = places(form, few, [_target(mass, abs(mass.count), mass.decimals) for mass in masses])
    whole = [place for place in found if _holds_in_all(place, lines, shown)]
    if whole:
        best = min(whole, key=lambda place: (not place.point, not place.signs, place.first))
        yield Weighing(best, others=tuple(each for each in whole if each is not best))


def _holds_in_all(place: Place, lines: Sequence[Line], shown: Sequence[Mass | None]) -> bool:
    """Tell whether the number stays the same while a load stands still, in every line."""
    counts: dict[int, set[int | None]] = {}
    for line in lines:
        counts.setdefault(line.seen.example, set()).add(place.count(line.slots))
    return all(len(each) == 1 for at, each in counts.items() if shown[at] is not None)


def _target(mass: Mass, count: int, decimals: int) -> Target:
    return Target(count, decimals, mass.unit, mass.count < 0, mass.count == 0)


def _compound(form: Form, few: Sequence[Line], masses: Sequence[Mass]) -> Iterator[Weighing]:
    """Give pairs of pounds and ounces that follow each other."""
    pounds, ounces = [], []
    for mass in masses:
        whole, rest = divmod(abs(mass.count), OUNCES_IN_POUND * 10**mass.decimals)
        pounds.append(_target(mass, whole, 0))
        ounces.append(_target(mass, rest, mass.decimals))
    firsts, seconds = places(form, few, pounds), places(form, few, ounces)
    pairs = [pair for second in seconds if (pair := _nearest(firsts, second)) is not None]
    if pairs:
        first, second = pairs[0]
        others = tuple(each for pair in pairs[1:] for each in pair)
        yield Weighing(first, replace(second, signs={}), others)


def _nearest(pounds: Sequence[Place], ounces: Place) -> tuple[Place, Place] | None:
    """Give the ounces with the last pounds in front of them."""
    pairs = [(place, cut) for place in pounds if (cut := _behind(place, ounces)) is not None]
    return pairs[-1] if pairs else None


def _behind(pounds: Place, ounces: Place) -> Place | None:
    """Cut the ounces where the pounds end, whose last digits may have been zeros every time."""
    if ounces.after <= pounds.after:
        return None
    return replace(ounces, first=max(ounces.first, pounds.after))
