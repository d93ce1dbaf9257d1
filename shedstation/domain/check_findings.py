"""Name in sentences what a check with test weights found, and what it did not look at."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from shedstation.domain.farm import Pack
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.scale_check import Point, ScaleCheck, Task


@dataclass(frozen=True, slots=True)
class LastCheck:
    """The last check of a bench's scale that was finished or failed."""

    day: date
    check: ScaleCheck


def load_text(weights: Sequence[Mass]) -> str:
    """Say which weights make a load: `10 lb + 25 lb`."""
    return " + ".join(map(str, weights))


def ask(task: Task) -> Message:
    """Say what is to be put where."""
    if not task.weights:
        return Message("check.empty_pan")
    place = Message(f"check.place_{task.place.value}")
    name = "check.put" if len(task.weights) == 1 else "check.put_together"
    return Message(name, {"load": load_text(task.weights), "place": place})


def failures(check: ScaleCheck) -> Iterator[Message]:
    """Say what failed, each thing in a sentence."""
    for point in check.points:
        if not point.passed:
            yield _off(point)
    for each in check.spreads:
        if not each.passed:
            values = {"load": each.applied, "spread": each.spread, "tolerance": each.tolerance}
            yield Message(f"check.apart_{each.part.value}", values)


def _off(point: Point) -> Message:
    if not point.weights:
        return Message("check.off_empty", {"shown": point.shown})
    values = {
        "load": load_text(point.weights),
        "place": Message(f"check.place_{point.place.value}"),
        "shown": point.shown,
        "error": point.error,
        "tolerance": point.tolerance,
    }
    return Message("check.off", values)


def left_out(check: ScaleCheck, packs: Sequence[Pack]) -> Iterator[Message]:
    """Say what the weights at hand could not show."""
    if not check.has_corners:
        yield Message("check.no_corners")
    heaviest = max((pack.target for pack in packs), default=None)
    if heaviest is not None and check.largest < heaviest:
        yield Message("check.covers_less", {"largest": check.largest, "target": heaviest})
    if check.judged_division != check.division:
        values = {"division": check.division, "judged": check.judged_division}
        yield Message("check.judged_coarser", values)
