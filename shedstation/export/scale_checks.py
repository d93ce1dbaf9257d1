"""List a day's checks of the scales for its record."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedstation.domain.check_findings import failures
from shedstation.domain.check_rows import CheckRow, rows_of, single_row
from shedstation.domain.day import DayRecord, Happening
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Bench
from shedstation.domain.mass import parse_mass
from shedstation.domain.message import Message
from shedstation.domain.payload import from_payload
from shedstation.domain.scale_check import ScaleCheck


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckLine:
    """A line of the table: a check as a whole, or one row of it."""

    at: str
    bench: str
    by: str | None
    what: Message
    row: CheckRow | None
    outcome: str
    """`passed`, `failed` or `unfinished`."""

    details: tuple[Message, ...] = ()


def check_lines(record: DayRecord) -> tuple[CheckLine, ...]:
    """Give all lines of a day, in the order of the checks."""
    return tuple(line for each in record.happenings for line in _lines(each, record))


def _lines(happening: Happening, record: DayRecord) -> Iterator[CheckLine]:
    if happening.kind == Kind.SCALE_TESTED.value:
        check = from_payload(ScaleCheck, happening.values)
        yield _whole(happening, check)
        for row in rows_of(check):
            yield _line(happening, row)
    elif happening.kind == Kind.SCALE_CHECKED.value:
        benches = [each for each in record.setup.benches if each.name == happening.bench]
        for bench in benches:
            yield _line(happening, _single(happening, bench, record))


def _whole(happening: Happening, check: ScaleCheck) -> CheckLine:
    values = {
        "standard": Message(f"check.standard_{check.standard.value}"),
        "stage": Message(f"check.stage_{check.stage.value}"),
        "division": check.judged_division,
        "certificate": check.certificate or Message("check.no_certificate"),
    }
    note = happening.values.get("note")
    given_up = (Message("check.given_up", {"reason": note}),) if note else ()
    return CheckLine(
        at=happening.at,
        bench=happening.bench,
        by=happening.by,
        what=Message("check.whole"),
        row=None,
        outcome=check.outcome.value,
        details=(Message("check.judged_by", values), *failures(check), *given_up),
    )


def _line(happening: Happening, row: CheckRow) -> CheckLine:
    return CheckLine(
        at=happening.at,
        bench=happening.bench,
        by=happening.by,
        what=row.what,
        row=row,
        outcome="passed" if row.passed else "failed",
    )


def _single(happening: Happening, bench: Bench, record: DayRecord) -> CheckRow:
    applied, shown = (parse_mass(str(happening.values[key])) for key in ("applied", "shown"))
    return single_row(applied, shown, bench, record.setup.scale_standard)
