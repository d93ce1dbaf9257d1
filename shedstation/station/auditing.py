"""Weigh boxes again: a random sample of a lot for an audit, or a single box to learn what it lost."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from shedstation.domain.audit import (
    Audit,
    AuditRule,
    AuditSoFar,
    Fineness,
    LotKey,
    fineness,
    is_in_shed,
    picked,
)
from shedstation.domain.audit_findings import unit_text
from shedstation.domain.audit_result import result_of
from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box
from shedstation.domain.chain import canonical
from shedstation.domain.decimal_text import plain
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Kind
from shedstation.domain.farm import Sends
from shedstation.domain.mass import Mass
from shedstation.domain.payload import to_payload
from shedstation.domain.reading import Reading
from shedstation.domain.reweighing import BoxReweigh, days_between, is_odd
from shedstation.station.actions import Action, EndAudit, ReplaceBox, Reweigh, StartAudit
from shedstation.station.bench import Bench, whole_weight
from shedstation.station.boxes import in_the_shed
from shedstation.station.shed import Shed


def start_audit(shed: Shed, action: StartAudit) -> None:
    """Begin an audit: draw the sample and record it.

    Raises:
        Refused: if the bench is busy, there is no such lot, or its scale is too coarse for it.
    """
    shed.refuse_if_busy(action.bench)
    bench = shed.bench(action.bench)
    _check_free(bench)
    key, boxes = _lot(shed, action)
    scale = _check_scale(shed, bench, action.rule, key.label, boxes)
    allowance = Fraction(action.allowance or "0")
    if allowance and action.rule is not AuditRule.HANDBOOK_133:
        raise Refused("audit_no_allowance")
    serials = tuple(box.serial for box in boxes)
    number = shed.ledger.next_audit_number()
    seed = _seed(shed, action, number, serials)
    audit = Audit(
        key=key,
        rule=action.rule,
        allowance=plain(allowance),
        number=number,
        seed=seed,
        boxes=serials,
        picks=picked(seed, action.rule, serials),
        scale=scale,
        by=action.by or bench.person,
    )
    shed.record(Kind.AUDIT_STARTED, action, to_payload(audit))
    go_on(shed, bench, AuditSoFar(audit=audit))


def go_on(shed: Shed, bench: Bench, so_far: AuditSoFar) -> None:
    """Go on with an audit at a bench, also after a stop."""
    shed.audits[bench.setup.name] = so_far
    bench.is_checked = True


def _check_free(bench: Bench) -> None:
    if bench.step.has_open_box:
        raise Refused("box_open")
    if bench.step is Step.CLOSED and not _sends_single(bench):
        raise Refused("not_lifted_off")


def _sends_single(bench: Bench) -> bool:
    """Tell whether a scale sends one reading a load: it never shows the pan between two."""
    return bench.setup.sends is not Sends.STREAM and not bench.freshness.streams


def _lot(shed: Shed, action: StartAudit) -> tuple[LotKey, Sequence[Box]]:
    day = action.packed_on or shed.open_date()
    found = [
        box
        for box in shed.ledger.boxes_on(day)
        if is_in_shed(box) and box.pack == action.pack and action.lot in (None, box.lot)
    ]
    if action.label is not None:
        found = [box for box in found if box.net_on_label.same_as(action.label)]
    if not found:
        raise Refused("audit_no_boxes", pack=action.pack, day=day)
    label = found[0].net_on_label
    other = next((box for box in found if not box.net_on_label.same_as(label)), None)
    if other is not None:
        raise Refused("audit_labels_differ", pack=action.pack, one=label, other=other.net_on_label)
    return LotKey(pack=action.pack, packed_on=day, label=label, lot=action.lot), found


def _check_scale(
    shed: Shed, bench: Bench, rule: AuditRule, label: Mass, boxes: Sequence[Box]
) -> Fineness:
    for box in boxes:
        _check_unit(bench, box)
    found = fineness(rule, label, bench.setup, shed.setup.scale_standard)
    if not found.is_enough:
        code = "audit_too_coarse" if rule.average_quantity is None else "audit_too_rough"
        most = f"{found.most} {unit_text(found.unit)}"
        raise Refused(code, found=found.found, most=most, label=label)
    return found


def _check_unit(bench: Bench, box: Box) -> None:
    if box.tare.unit is not bench.setup.unit:
        expected = bench.setup.unit.value
        raise Refused("reweigh_unit", serial=box.serial, tare=box.tare, expected=expected)


def _seed(shed: Shed, action: StartAudit, number: int, serials: Sequence[str]) -> str:
    content = {
        "audit": number,
        "at": shed.clock.utc(action.at_s),
        "bench": action.bench,
        "pack": action.pack,
        "boxes": list(serials),
    }
    return shed.draw_seed(canonical(content))


def press(shed: Shed, action: Reweigh) -> bool:
    """Weigh a box again now, or arm the press until the scale is steady.

    Returns:
        Whether it was done at once.

    Raises:
        Refused: if the box is not one to be weighed, or the bench is busy.
    """
    bench = shed.bench(action.bench)
    _box_to_weigh(shed, bench, action)
    return bench.press(action)


def _box_to_weigh(shed: Shed, bench: Bench, action: Reweigh) -> Box:
    if action.bench in shed.checks:
        raise Refused("check_going")
    _check_free(bench)
    box = in_the_shed(shed, action.serial, action.bench)
    so_far = shed.audits.get(action.bench)
    if so_far is not None:
        _check_picked(so_far, box.serial)
    _check_unit(bench, box)
    return box


def _check_picked(so_far: AuditSoFar, serial: str) -> None:
    if serial not in so_far.audit.picks:
        raise Refused("audit_not_picked", serial=serial)
    if serial not in so_far.left:
        raise Refused("audit_weighed", serial=serial)


def take(shed: Shed, bench: Bench, action: Reweigh, reading: Reading) -> None:
    """Take a steady reading as the box's weight now; the last one of an audit judges the lot.

    Raises:
        Refused: if the reading cannot be the whole weight of that box.
    """
    box = _box_to_weigh(shed, bench, action)
    reweigh = _reweigh(shed, bench, action, box, _gross(shed, bench, reading))
    reweigh = replace(reweigh, by_hand=reading.typed)
    if not action.confirmed and is_odd(reweigh.net_then, reweigh.net, reweigh.days):
        values = {"serial": box.serial, "then": reweigh.net_then, "net": reweigh.net}
        raise Refused("reweigh_odd", **values)
    payload = {**to_payload(reweigh), "days": plain(reweigh.days)}
    drafts = [shed.draft(Kind.BOX_REWEIGHED, action, payload)]
    so_far = shed.audits.get(action.bench)
    if so_far is not None:
        so_far = so_far.weighed(reweigh)
        drafts += [] if so_far.left else [_judged(shed, action, so_far)]
    shed.record_all(drafts)
    shed.empty_pan(action.bench).box_weighed()
    if so_far is not None:
        _step_on(shed, bench, so_far)


def _step_on(shed: Shed, bench: Bench, so_far: AuditSoFar) -> None:
    if so_far.left:
        shed.audits[bench.setup.name] = so_far
    else:
        _over(shed, bench)


def _gross(shed: Shed, bench: Bench, reading: Reading) -> Mass:
    """Give the whole weight on the pan, if it is sure that the scale shows all of it."""
    gross = whole_weight(bench, reading)
    if not shows_whole(shed, bench):
        raise Refused("reweigh_no_zero")
    return gross


def shows_whole(shed: Shed, bench: Bench) -> bool:
    """Tell whether the empty pan stood at zero before this load; single readings cannot tell."""
    reading = bench.reading
    alone = reading is not None and bench.freshness.is_single(reading)
    return alone or shed.empty_pan(bench.setup.name).was_zero


def _reweigh(shed: Shed, bench: Bench, action: Reweigh, box: Box, gross: Mass) -> BoxReweigh:
    net, at = gross - box.tare, shed.clock.utc(action.at_s)
    if net.count <= 0:
        raise Refused("reweigh_light", serial=box.serial, gross=gross, tare=box.tare)
    if days_between(box.at, at) < 0:
        raise Refused("reweigh_clock", serial=box.serial)
    so_far = shed.audits.get(bench.setup.name)
    return BoxReweigh(
        serial=box.serial,
        cultivar=box.cultivar,
        packed_on=box.packed_on,
        packed_at=box.at,
        at=at,
        gross=gross,
        tare=box.tare,
        net_then=box.net,
        net=net,
        room=box.room,
        audit=None if so_far is None else so_far.audit.seed,
    )


def replace_box(shed: Shed, action: ReplaceBox) -> None:
    """Take another box of the lot in place of a picked one that cannot be weighed.

    Raises:
        Refused: if no audit goes on, the box is not to be weighed, or no box is left.
    """
    so_far = _going(shed, action)
    serial = shed.serial(action.serial, action.bench)
    _check_picked(so_far, serial)
    if so_far.audit.spare is None:
        raise Refused("audit_none_left", serial=serial)
    audit = so_far.audit.without(serial, action.reason)
    _record_replaced(shed, action, audit)
    shed.audits[action.bench] = replace(so_far, audit=audit)


def _record_replaced(shed: Shed, action: ReplaceBox, audit: Audit) -> None:
    gone = to_payload(audit.replaced[-1])
    shed.record(Kind.AUDIT_BOX_REPLACED, action, {"audit": audit.seed, **gone})


def _going(shed: Shed, action: Action) -> AuditSoFar:
    found = shed.audits.get(action.bench)
    if found is None:
        raise Refused("no_audit")
    return found


def end_audit(shed: Shed, action: EndAudit) -> None:
    """Give the audit up; boxes short by too much stay known, and fail the lot if they are too many.

    Raises:
        Refused: if no audit goes on.
    """
    so_far = _going(shed, action)
    shed.record_all([_judged(shed, action, so_far, why=action.reason)])
    _over(shed, shed.bench(action.bench))


def _judged(shed: Shed, action: Action, so_far: AuditSoFar, why: str | None = None) -> Draft:
    moment = replace(action, by=action.by or so_far.audit.by)
    return shed.draft(Kind.AUDIT_JUDGED, moment, to_payload(result_of(so_far, why)))


def _over(shed: Shed, bench: Bench) -> None:
    del shed.audits[bench.setup.name]
    bench.check_over()
