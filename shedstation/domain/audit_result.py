"""Judge an audit and keep every figure on the way as text, so that a record can hold it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from typing import Final, NamedTuple

from shedstation.domain.audit import AuditRule, AuditSoFar, Fineness, Replaced
from shedstation.domain.average_quantity import (
    Rule,
    judge_quantity,
    quantity_plan,
    tolerable_deficiency,
)
from shedstation.domain.decimal_text import places_of, plain, rounded
from shedstation.domain.handbook_133 import (
    Finding,
    judge_each,
    judge_lot,
    maximum_allowable_variation,
    sampling_plan,
)
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reweighing import BoxReweigh

_MORE_PLACES: Final = 2
"""Averages and limits are shown this much finer than the errors they come from."""


class Verdict(Enum):
    """What an audit came to."""

    PASS = "pass"  # noqa: S105  # no password
    GREY = "grey"
    FAIL = "fail"
    UNFINISHED = "unfinished"


_VERDICTS: Final = {
    Finding.PASS: Verdict.PASS,
    Finding.GREY: Verdict.GREY,
    Finding.FAIL: Verdict.FAIL,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxError:
    """One box of the sample: its weights, and by how much its net lies above or below the label."""

    serial: str
    gross: Mass
    tare: Mass
    net_then: Mass
    net: Mass
    days: str
    error: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditResult:
    """A finished audit with every figure; numbers are decimal text in `unit`, rounded to be read.

    They are judged before they are rounded.
    """

    audit: str
    number: int
    rule: AuditRule
    pack: str
    packed_on: date
    lot: str | None
    label: Mass
    lot_size: int
    sample: int
    scale: Fineness
    unit: Unit
    boxes: tuple[BoxError, ...]
    """In the order they were drawn, as far as they were weighed."""

    tolerance: str
    """The MAV of Handbook 133, or T of the average quantity system."""

    over: int
    """Boxes short by more than that."""

    allowed: int
    over_twice: int | None
    """Boxes short by more than twice T; Handbook 133 has no such rule."""

    total_error: str | None
    means: int | None
    """How many boxes the average is of: the reference test takes the first ones drawn."""

    average_error: str | None
    spread: str | None
    factor: str | None
    error_limit: str | None
    allowance: str | None
    """What moisture may have taken, in `unit`; none where no rule allows for it."""

    by_each: Verdict
    by_average: Verdict
    verdict: Verdict
    why: str | None = None
    """Why it was given up."""

    replaced: tuple[Replaced, ...] = ()


class _Found(NamedTuple):
    """What either rule found, exactly."""

    by_each: Verdict
    by_average: Verdict
    means: int | None = None
    average: Fraction | None = None
    spread: float | None = None
    factor: Fraction | None = None
    limit: float | None = None


class _Basis(NamedTuple):
    """What a lot is judged with, in `unit`."""

    unit: Unit
    tolerance: Fraction
    allowed: int
    allowance: Fraction


def result_of(so_far: AuditSoFar, why: str | None = None) -> AuditResult:
    """Judge an audit.

    Args:
        so_far: The audit; every picked box weighed, unless it is given up.
        why: Why it is given up. Boxes short by too much are then too many all the same.
    """
    audit = so_far.audit
    key, boxes = audit.key, so_far.in_order
    basis = _basis(so_far)
    errors = [_error(each.net, key.label, basis.unit) for each in boxes]
    found = _found(so_far, basis, errors)
    places = _places(boxes, key.label, basis.unit)
    by_quantity = audit.rule.average_quantity is not None
    return AuditResult(
        audit=audit.seed,
        number=audit.number,
        rule=audit.rule,
        pack=key.pack,
        packed_on=key.packed_on,
        lot=key.lot,
        label=key.label,
        lot_size=len(audit.boxes),
        sample=len(audit.picks),
        scale=audit.scale,
        unit=basis.unit,
        boxes=tuple(_box(each, error, places) for each, error in zip(boxes, errors, strict=True)),
        tolerance=plain(basis.tolerance),
        over=sum(error < -basis.tolerance for error in errors),
        allowed=basis.allowed,
        over_twice=_over_twice(errors, basis) if by_quantity else None,
        total_error=_text(sum(errors, Fraction(0)), places),
        means=found.means,
        average_error=_text(found.average, places + _MORE_PLACES),
        spread=_text(found.spread, places + _MORE_PLACES),
        factor=None if found.factor is None else plain(found.factor),
        error_limit=_text(found.limit, places + _MORE_PLACES),
        allowance=None if by_quantity else plain(basis.allowance),
        by_each=found.by_each,
        by_average=found.by_average,
        verdict=_together(found),
        why=why,
        replaced=audit.replaced,
    )


def _together(found: _Found) -> Verdict:
    both = (found.by_each, found.by_average)
    worst = (Verdict.FAIL, Verdict.UNFINISHED, Verdict.GREY)
    return next((each for each in worst if each in both), Verdict.PASS)


def _basis(so_far: AuditSoFar) -> _Basis:
    audit, label, lot = so_far.audit, so_far.audit.key.label, len(so_far.audit.boxes)
    rule = audit.rule.average_quantity
    if rule is not None:
        deficiency = tolerable_deficiency(label, rule)
        return _Basis(Unit.G, deficiency, quantity_plan(lot, rule).allowed_t1, Fraction(0))
    allowance = Fraction(audit.allowance) / 100 * label.measured_in(label.unit)
    mav = maximum_allowable_variation(label)
    return _Basis(label.unit, mav, sampling_plan(lot).allowed_over_mav, allowance)


def _found(so_far: AuditSoFar, basis: _Basis, errors: Sequence[Fraction]) -> _Found:
    rule = so_far.audit.rule.average_quantity
    if so_far.left:
        return _given_up(so_far, basis, errors)
    return _by_handbook(so_far) if rule is None else _by_quantity(so_far, rule)


def _given_up(so_far: AuditSoFar, basis: _Basis, errors: Sequence[Fraction]) -> _Found:
    """Say what is sure though boxes are left: too many of them are short by too much already."""
    lot = len(so_far.audit.boxes)
    if so_far.audit.rule.average_quantity is None:
        each = judge_each(errors, basis.tolerance, basis.allowance, sampling_plan(lot))
        failed = each is Finding.FAIL
    else:
        over = sum(error < -basis.tolerance for error in errors)
        failed = over > basis.allowed or _over_twice(errors, basis) > 0
    return _Found(Verdict.FAIL if failed else Verdict.UNFINISHED, Verdict.UNFINISHED)


def _by_handbook(so_far: AuditSoFar) -> _Found:
    audit, nets = so_far.audit, [each.net for each in so_far.in_order]
    share = Fraction(audit.allowance) / 100
    judged = judge_lot(audit.key.label, nets, len(audit.boxes), share)
    # A single box has no average to judge: it stands by its own error.
    is_single = judged.plan.factor is None
    return _Found(
        by_each=_VERDICTS[judged.individual],
        by_average=_VERDICTS[judged.by_average],
        means=None if is_single else judged.plan.sample,
        average=None if is_single else judged.average,
        spread=judged.spread,
        factor=judged.plan.factor,
        limit=judged.error_limit,
    )


def _by_quantity(so_far: AuditSoFar, rule: Rule) -> _Found:
    audit, nets = so_far.audit, [each.net for each in so_far.in_order]
    judged = judge_quantity(audit.key.label, nets, len(audit.boxes), rule)
    return _Found(
        by_each=Verdict.PASS if judged.stands_by_each else Verdict.FAIL,
        by_average=Verdict.PASS if judged.stands_by_mean else Verdict.FAIL,
        means=judged.plan.means,
        average=judged.mean_error,
        spread=judged.spread,
        # Of a lot that is weighed whole nothing is left to chance.
        factor=judged.plan.factor or None,
        limit=judged.error_limit if judged.plan.factor else None,
    )


def _over_twice(errors: Sequence[Fraction], basis: _Basis) -> int:
    return sum(error < -2 * basis.tolerance for error in errors)


def _error(net: Mass, label: Mass, unit: Unit) -> Fraction:
    return net.measured_in(unit) - label.measured_in(unit)


def _box(each: BoxReweigh, error: Fraction, places: int) -> BoxError:
    return BoxError(
        serial=each.serial,
        gross=each.gross,
        tare=each.tare,
        net_then=each.net_then,
        net=each.net,
        days=rounded(each.days, 1),
        error=rounded(error, places),
    )


def _places(boxes: Sequence[BoxReweigh], label: Mass, unit: Unit) -> int:
    """Give how many decimals errors have in a unit, one more where another unit is converted."""
    masses = (label, *(box.net for box in boxes))
    return max(places_of(Mass(1, each.decimals, each.unit).measured_in(unit)) for each in masses)


def _text(value: Fraction | float | None, places: int) -> str | None:
    return None if value is None else rounded(value, places)
