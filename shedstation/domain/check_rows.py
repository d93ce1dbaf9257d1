"""List what checks of a scale showed, a row for each point and each comparison."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedstation.domain.check_findings import load_text
from shedstation.domain.farm import Bench
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.scale_check import ScaleCheck, error_of
from shedstation.domain.scale_tolerance import Standard, judged_division, tolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One thing that was looked at."""

    what: Message
    load: str
    place: Message | None
    shown: Mass | None
    """What the scale showed; none for a comparison."""

    off: Mass
    """By how much it was off, or how far the readings that are compared lie apart."""

    tolerance: Mass
    passed: bool


def rows_of(check: ScaleCheck) -> Iterator[CheckRow]:
    """Give a check's points in order, then what their comparison gave."""
    for point in check.points:
        yield CheckRow(
            what=Message(f"check.part_{point.part.value}"),
            load=load_text(point.weights),
            place=Message(f"check.place_{point.place.value}") if point.weights else None,
            shown=point.shown,
            off=point.error,
            tolerance=point.tolerance,
            passed=point.passed,
        )
    for spread in check.spreads:
        yield CheckRow(
            what=Message(f"check.spread_{spread.part.value}"),
            load=str(spread.applied),
            place=None,
            shown=None,
            off=spread.spread,
            tolerance=spread.tolerance,
            passed=spread.passed,
        )


def single_row(applied: Mass, shown: Mass, bench: Bench, standard: Standard) -> CheckRow:
    """Give the row of one test weight put on once."""
    allowed = tolerance(applied, judged_division(bench.division, bench.capacity), standard)
    return CheckRow(
        what=Message("check.part_single"),
        load=str(applied),
        place=None,
        shown=shown,
        off=error_of(shown, applied),
        tolerance=allowed,
        passed=abs(shown.nanograms - applied.nanograms) <= allowed.nanograms,
    )
