"""List a day's audits for its record: each as a whole, its figures, its boxes."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedstation.domain.audit_findings import (
    OWN_CONTROL,
    Figure,
    figures,
    judged_by,
    replacements,
    unit_text,
    verdict_said,
)
from shedstation.domain.audit_result import AuditResult, BoxError, Verdict
from shedstation.domain.day import DayRecord, Happening
from shedstation.domain.facts import Kind
from shedstation.domain.message import Message
from shedstation.domain.payload import from_payload


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditLine:
    """A line of the table: an audit as a whole, one figure, or one box."""

    happening: Happening
    what: Message
    found: str | Message | None
    limit: str | None = None
    unit: str | None = None
    """Unit of `found` and `limit`."""

    verdict: Verdict | None = None
    box: BoxError | None = None
    details: tuple[Message, ...] = ()


def audit_lines(record: DayRecord) -> tuple[AuditLine, ...]:
    """Give all lines of a day, in the order of the audits."""
    judged = (each for each in record.happenings if each.kind == Kind.AUDIT_JUDGED.value)
    return tuple(line for each in judged for line in _lines(each))


def _lines(happening: Happening) -> Iterator[AuditLine]:
    result = from_payload(AuditResult, happening.values)
    yield _whole(happening, result)
    for figure in figures(result):
        yield _figure(happening, figure)
    for box in result.boxes:
        yield AuditLine(
            happening=happening,
            what=Message("audit.box_error"),
            found=box.error,
            unit=unit_text(result.unit),
            box=box,
        )


def _whole(happening: Happening, result: AuditResult) -> AuditLine:
    drawn = Message("audit.drawn", {"sample": result.sample, "seed": result.audit})
    return AuditLine(
        happening=happening,
        what=Message("audit.whole", {"number": result.number}),
        found=None,
        verdict=result.verdict,
        details=(
            judged_by(result),
            verdict_said(result),
            drawn,
            Message("audit.own_tare"),
            *replacements(result),
            Message(OWN_CONTROL),
        ),
    )


def _figure(happening: Happening, figure: Figure) -> AuditLine:
    return AuditLine(
        happening=happening,
        what=figure.what,
        found=figure.found,
        limit=figure.limit,
        unit=figure.unit,
        verdict=figure.verdict,
    )
