"""Say in sentences what an audit asks for and what it found, and list its figures one by one."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from typing import Final

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.audit_result import AuditResult, Verdict
from shedstation.domain.decimal_text import places_of, rounded
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message

OWN_CONTROL: Final = "audit.own_control"
"""Stands on everything that shows an audit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of an audit, as decimal text."""

    what: Message
    found: str | Message | None = None
    limit: str | None = None
    unit: str | None = None
    verdict: Verdict | None = None
    """What it says of the lot, if it decides anything."""


def unit_text(unit: Unit) -> str:
    """Give a unit's name; pounds-and-ounces are counted in ounces."""
    return unit.value.replace("lb-oz", "oz")


def ask(so_far: AuditSoFar, serial: str, *, was_zero: bool) -> Message:
    """Say what to put on the pan next."""
    if serial not in so_far.left:
        return Message("audit.choose_box", {"serial": serial})
    return Message("audit.put_box" if was_zero else "audit.empty_pan", {"serial": serial})


def judged_by(result: AuditResult) -> Message:
    """Say what was audited, by whose rule."""
    values = {
        "number": result.number,
        "pack": result.pack,
        "label": result.label,
        "day": result.packed_on,
        "lot": Message("audit.all_lots") if result.lot is None else result.lot,
        "rule": Message(f"audit.rule_{result.rule.value}"),
    }
    return Message("audit.judged_by", values)


def replacements(result: AuditResult) -> Iterator[Message]:
    """Say which boxes were replaced, and why."""
    for each in result.replaced:
        values = {"serial": each.serial, "by": each.by, "reason": each.reason}
        yield Message("audit.replaced", values)


def verdict_said(result: AuditResult) -> Message:
    """Say in one sentence what the audit came to."""
    weighed, sample = len(result.boxes), result.sample
    if result.verdict is Verdict.UNFINISHED:
        values = {"weighed": weighed, "sample": sample, "reason": result.why}
        return Message("audit.said_unfinished", values)
    reasons = [*_of_each(result), *_of_average(result)]
    if result.why is not None:
        reasons.append(Message("audit.given_up", {"weighed": weighed, "sample": sample}))
    why = reduce(_and, reasons)
    return Message(f"audit.said_{result.verdict.value}", {"why": why})


def _and(one: Message, other: Message) -> Message:
    return Message("audit.and", {"one": one, "other": other})


def _of_each(result: AuditResult) -> Iterator[Message]:
    values: dict[str, object] = {
        "allowed": result.allowed,
        "tolerance": f"{result.tolerance} {unit_text(result.unit)}",
    }
    if result.by_each is Verdict.GREY:
        yield Message("audit.each_grey", values | {"count": result.over})
    elif result.by_each is Verdict.PASS and result.verdict is Verdict.PASS:
        few = Message("audit.few_short", values | {"count": result.over})
        yield few if result.over else Message("audit.none_short", values)
    elif result.by_each is Verdict.FAIL:
        if result.over > result.allowed:
            yield Message("audit.many_short", values | {"count": result.over})
        if result.over_twice:
            yield Message("audit.short_twice", values | {"count": result.over_twice})


def _of_average(result: AuditResult) -> Iterator[Message]:
    if result.average_error is None:
        return
    unit, average = unit_text(result.unit), result.average_error
    values = {
        "average": f"{average.removeprefix('-')} {unit}",
        "limit": f"{result.error_limit} {unit}",
        "allowance": f"{result.allowance} {unit}",
    }
    if result.by_average is Verdict.PASS:
        if result.verdict is Verdict.PASS:
            is_low = average.startswith("-") and result.error_limit is not None
            yield Message("audit.average_chance" if is_low else "audit.average_over", values)
    elif result.by_average is Verdict.GREY:
        yield Message("audit.average_grey", values)
    else:
        yield Message(_low(result), values)


def _low(result: AuditResult) -> str:
    if result.error_limit is None:
        return "audit.average_low_whole"
    is_dry = result.allowance in (None, "0")
    return "audit.average_low" if is_dry else "audit.average_low_moist"


def figures(result: AuditResult) -> Iterator[Figure]:
    """List every figure on the way to the verdict, in the order it is computed."""
    yield Figure(what=Message("audit.figure_lot"), found=str(result.lot_size))
    sample = str(result.sample)
    yield Figure(what=Message("audit.figure_sample"), found=str(len(result.boxes)), limit=sample)
    yield _scale(result)
    yield from _each(result)
    yield from _average(result)
    yield Figure(what=Message("audit.figure_verdict"), verdict=result.verdict)


def _scale(result: AuditResult) -> Figure:
    by_quantity = result.rule.average_quantity is not None
    scale = result.scale
    found = scale.found.measured_in(scale.unit)
    step = Mass(1, scale.found.decimals, scale.found.unit).measured_in(scale.unit)
    return Figure(
        what=Message("audit.figure_scale_off" if by_quantity else "audit.figure_division"),
        found=rounded(found, places_of(step)),
        limit=scale.most,
        unit=unit_text(scale.unit),
        verdict=Verdict.PASS,
    )


def _each(result: AuditResult) -> Iterator[Figure]:
    by_quantity = result.rule.average_quantity is not None
    names = ("deficiency", "over_t") if by_quantity else ("mav", "over_mav")
    tolerance, over = (Message(f"audit.figure_{name}") for name in names)
    yield Figure(what=tolerance, found=result.tolerance, unit=unit_text(result.unit))
    if result.over_twice is None:
        yield _counted(over, result.over, result.allowed, result.by_each)
        return
    twice = Message("audit.figure_over_twice")
    for what, found, most in (
        (over, result.over, result.allowed),
        (twice, result.over_twice, 0),
    ):
        yield _counted(what, found, most, _of_count(result, found, most))


def _counted(what: Message, found: int, most: int, verdict: Verdict) -> Figure:
    return Figure(what=what, found=str(found), limit=str(most), verdict=verdict)


def _of_count(result: AuditResult, found: int, most: int) -> Verdict:
    """Judge one count by its own limit: a lot may fail by T and stand by twice T, or the other way."""
    if found > most:
        return Verdict.FAIL
    return Verdict.PASS if len(result.boxes) == result.sample else Verdict.UNFINISHED


def _lowest(result: AuditResult) -> str | None:
    """Give the lowest average that stands: minus the limit, nothing for a lot weighed whole."""
    limit = result.error_limit
    if limit is None:
        return None if result.rule.average_quantity is None else "0"
    return f"-{limit}" if limit.strip("0.") else limit


def _allowance(allowance: str, unit: str) -> Figure:
    what = Message("audit.figure_allowance")
    if allowance == "0":
        return Figure(what=what, found=Message("audit.no_allowance"))
    return Figure(what=what, found=allowance, unit=unit)


def _average(result: AuditResult) -> Iterator[Figure]:
    unit = unit_text(result.unit)
    named = {
        "total": result.total_error,
        "spread": result.spread,
        "factor": result.factor,
        "limit": result.error_limit,
    }
    for name, found in named.items():
        if found is not None:
            of = None if name == "factor" else unit
            yield Figure(what=Message(f"audit.figure_{name}"), found=found, unit=of)
    if result.allowance is not None:
        yield _allowance(result.allowance, unit)
    if result.average_error is not None:
        yield Figure(
            what=Message("audit.figure_average", {"means": result.means}),
            found=result.average_error,
            limit=_lowest(result),
            unit=unit,
            verdict=result.by_average,
        )
