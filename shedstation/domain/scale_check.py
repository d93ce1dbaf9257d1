"""Lead a check with test weights from load to load, and judge what the scale showed.

What is looked at: the empty pan, every load going up and coming down again, about a third of the
largest load in the middle and at four places, the same load three times, and the empty pan after
each. Sources of the limits: `scale_tolerance`; repeat weighings and loads off the middle differ by
at most the tolerance at that load (SI/98-81 sections 12 and 13; R 76-1:2006 3.6.1 and 3.6.2). That
up and down differ by no more than that is this program's own rule. The order, the number of points
and the loads are its own too: it is a shed's check and replaces no official's.

What is judged is what the scale shows; its true weight may be half a division more or less.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from fractions import Fraction
from typing import Final

from shedstation.domain.mass import Mass, Unit, add_up, zero
from shedstation.domain.payload import ADDED_LATER
from shedstation.domain.scale_tolerance import Stage, Standard, tolerance, zero_tolerance

REPEATS: Final = 3
MOST_WEIGHTS: Final = 6
_DOUBTFUL_SHARE: Final = 10
"""Off by more than a tenth of the load, another weight is more likely on the pan than a bad scale."""

_FINER: Final = 2


class Part(Enum):
    """What a point of the check looks at."""

    ZERO = "zero"
    UP = "up"
    DOWN = "down"
    CORNER = "corner"
    REPEAT = "repeat"


class Place(Enum):
    """Where on the pan the load stands, as the person at the bench sees it."""

    MIDDLE = "middle"
    FRONT_LEFT = "front_left"
    FRONT_RIGHT = "front_right"
    BACK_RIGHT = "back_right"
    BACK_LEFT = "back_left"


class Outcome(Enum):
    """How a check ended."""

    PASSED = "passed"
    FAILED = "failed"
    UNFINISHED = "unfinished"


@dataclass(frozen=True, slots=True)
class Task:
    """What is to stand where for one point; no weights mean the empty pan."""

    part: Part
    place: Place = Place.MIDDLE
    weights: tuple[Mass, ...] = ()

    def load(self, unit: Unit) -> Mass:
        """Give what the weights weigh together, exactly; nothing in the unit if there are none."""
        return add_up(self.weights) or zero(unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One steady reading of the check, judged."""

    part: Part
    place: Place
    weights: tuple[Mass, ...]
    applied: Mass
    shown: Mass
    error: Mass
    """Shown less applied; where the units allow no exact figure, cut away from zero."""

    tolerance: Mass
    passed: bool
    typed: bool = field(default=False, metadata=ADDED_LATER)
    """Whether a person typed what the scale showed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far readings of one load lie apart."""

    part: Part
    """`DOWN` for up and down, `CORNER` for the places, `REPEAT` for the same load again."""

    applied: Mass
    spread: Mass
    tolerance: Mass

    @property
    def passed(self) -> bool:
        """Tell whether they agree."""
        return self.spread <= self.tolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCheck:
    """A check with test weights, as far as it has come."""

    standard: Standard
    stage: Stage
    division: Mass
    judged_division: Mass
    """The division the tolerances are counted in: the scale's, unless it shows finer than class III."""

    capacity: Mass
    weights: tuple[Mass, ...]
    """The test weights at hand, all in one unit, each at most the scale's capacity."""

    certificate: str | None = None
    """What stands on the weights or their certificate."""

    points: tuple[Point, ...] = ()

    @property
    def plan(self) -> tuple[Task, ...]:
        """Get all points of the check in their order."""
        return plan(self.weights, self.capacity)

    @property
    def next_task(self) -> Task | None:
        """Get what is to be done next; none when the check is complete."""
        tasks = self.plan
        return tasks[len(self.points)] if len(self.points) < len(tasks) else None

    def is_doubtful(self, shown: Mass) -> bool:
        """Tell whether a reading rather shows that something else is on the pan than asked for."""
        task = self.next_task
        if task is None:
            return False
        off = abs(shown.nanograms - task.load(shown.unit).nanograms)
        if task.weights:
            return off * _DOUBTFUL_SHARE > task.load(shown.unit).nanograms
        if not self.points:
            return off > zero_tolerance(self.judged_division).nanograms
        return off * _DOUBTFUL_SHARE > min(self.weights).nanograms

    def taken(self, shown: Mass, *, typed: bool = False) -> "ScaleCheck":
        """Give the check with one more point.

        Args:
            shown: A steady reading under the next task's load.
            typed: Whether a person typed it.

        Raises:
            ValueError: if the check is complete.
        """
        task = self.next_task
        if task is None:
            msg = "Cannot take another point: expected a task, the check is complete."
            raise ValueError(msg)
        point = replace(_judged(self, task, shown), typed=typed)
        return replace(self, points=(*self.points, point))

    @property
    def spreads(self) -> tuple[Spread, ...]:
        """Get how far readings of the same load lie apart, where there are enough of them."""
        return tuple(_spreads(self.points))

    @property
    def outcome(self) -> Outcome:
        """Get how the check ended: one failure fails it, whether or not it was carried through."""
        judged = (*(each.passed for each in self.points), *(each.passed for each in self.spreads))
        if not all(judged):
            return Outcome.FAILED
        return Outcome.PASSED if self.next_task is None else Outcome.UNFINISHED

    @property
    def largest(self) -> Mass:
        """Get the largest load of the check."""
        return max(task.load(self.division.unit) for task in self.plan)

    @property
    def has_corners(self) -> bool:
        """Get whether a weight was right for the places off the middle."""
        return any(task.part is Part.CORNER for task in self.plan)


def plan(weights: Sequence[Mass], capacity: Mass) -> tuple[Task, ...]:
    """Give the tasks of a check in their order.

    Args:
        weights: Test weights of one unit, at least one.
        capacity: What the scale can weigh.
    """
    singles = _singles(weights)
    ups: list[tuple[Mass, ...]] = [(each,) for each in singles]
    together = add_up(weights)
    if len(weights) > 1 and together is not None and together <= capacity:
        ups.append(tuple(sorted(weights)))
    up = [Task(Part.UP, weights=each) for each in ups]
    down = [Task(Part.DOWN, weights=each) for each in reversed(ups[:-1])]
    empty = Task(Part.ZERO)
    return (empty, *up, *down, empty, *_corners(singles, up[-1], capacity), *_repeats(singles[-1]))


def _singles(weights: Sequence[Mass]) -> list[Mass]:
    """Give each weight once, the lightest first."""
    return sorted({each.nanograms: each for each in weights}.values())


def _corners(singles: Sequence[Mass], top: Task, capacity: Mass) -> list[Task]:
    """Give the places off the middle, for the weight nearest to a third of the largest load.

    A weight over half the capacity could tip the pan or overload a corner; then there are none.
    """
    third = Fraction(top.load(capacity.unit).nanograms, 3)
    fitting = [each for each in singles if each * 2 <= capacity]
    if not fitting:
        return []
    weight = min(fitting, key=lambda each: abs(each.nanograms - third))
    return [*(Task(Part.CORNER, place, (weight,)) for place in Place), Task(Part.ZERO)]


def _repeats(weight: Mass) -> list[Task]:
    once = [Task(Part.REPEAT, weights=(weight,)), Task(Part.ZERO)]
    return once * REPEATS


def _judged(check: ScaleCheck, task: Task, shown: Mass) -> Point:
    applied = task.load(shown.unit)
    allowed = _allowed(check, task, applied)
    off = shown.nanograms - applied.nanograms
    return Point(
        part=task.part,
        place=task.place,
        weights=task.weights,
        applied=applied,
        shown=shown,
        error=error_of(shown, applied),
        tolerance=allowed,
        passed=abs(off) <= allowed.nanograms,
    )


def _allowed(check: ScaleCheck, task: Task, applied: Mass) -> Mass:
    if not task.weights:
        return zero_tolerance(check.judged_division)
    return tolerance(applied, check.judged_division, check.standard, check.stage)


def error_of(shown: Mass, applied: Mass) -> Mass:
    """Give shown less applied in the unit shown; if it has no exact figure, cut away from zero."""
    if shown.unit is applied.unit:
        return shown - applied
    decimals = shown.decimals + _FINER
    parts = (shown.nanograms - applied.nanograms) * 10**decimals / shown.unit.nanograms
    away = -((-parts) // 1) if parts > 0 else parts // 1
    return Mass(int(away), decimals, shown.unit)


def _spreads(points: Sequence[Point]) -> Iterable[Spread]:
    downs = [each for each in points if each.part is Part.DOWN]
    for down in downs:
        ups = [each for each in points if each.part is Part.UP and each.weights == down.weights]
        yield _spread(Part.DOWN, [*ups, down])
    for part in (Part.CORNER, Part.REPEAT):
        of_part = [each for each in points if each.part is part]
        if len(of_part) > 1:
            yield _spread(part, of_part)


def _spread(part: Part, points: Sequence[Point]) -> Spread:
    shown = [each.shown for each in points]
    return Spread(
        part=part,
        applied=points[0].applied,
        spread=max(shown) - min(shown),
        tolerance=points[0].tolerance,
    )
