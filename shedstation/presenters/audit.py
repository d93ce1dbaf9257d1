"""Turn an audit, going on or over, into what its page shows; say what the fruit lose."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.domain.audit import AuditRule, AuditSoFar, LotKey, fineness, sample_size
from shedstation.domain.audit_findings import (
    Figure,
    figures,
    judged_by,
    replacements,
    unit_text,
    verdict_said,
)
from shedstation.domain.audit_result import AuditResult, BoxError, Verdict
from shedstation.domain.box import Box
from shedstation.domain.farm import Bench, Setup, name_of
from shedstation.domain.message import Message
from shedstation.domain.moisture import ENOUGH_REWEIGHS, DailyLoss, modelled_loss
from shedstation.domain.reweighing import BoxReweigh, FarmLoss, farm_loss
from shedstation.domain.scale_tolerance import Standard
from shedstation.presenters.rows import TextColumn, TextTable, text_table
from shedstation.words import Words

_TONES: Final = {
    Verdict.PASS: "on",
    Verdict.GREY: "wait",
    Verdict.FAIL: "trouble",
    Verdict.UNFINISHED: "wait",
}
_MARKS: Final = {
    Verdict.PASS: "✓",
    Verdict.GREY: "?",
    Verdict.FAIL: "✗",
    Verdict.UNFINISHED: "…",
}
_COLD_ROOM: Final = (13.0, 0.90)
_SHED: Final = (25.0, 0.80)
"""Celsius and relative humidity that the model is shown for: a cold room for mangoes, a warm shed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditShown:
    """All that the page shows of an audit, going on or over."""

    said: str
    tone: str
    """`on`, `trouble` or `wait`: colours follow it, never alone."""

    figures: TextTable | None
    """None while the audit goes on."""

    boxes: TextTable
    of: str
    """What was audited, by whose rule; with the boxes that were replaced."""

    progress: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picked:
    """A row of the walk: a box of the sample, weighed or not."""

    serial: str
    net_then: str
    net_now: str
    days: str
    status: str


def _titles(words: Words, name: str) -> str:
    return words.text(f"export.column_{name}")


def going_screen(
    so_far: AuditSoFar, boxes: Mapping[str, Box], chosen: str, words: Words
) -> AuditShown:
    """Give the page while an audit goes on.

    Args:
        so_far: The audit.
        boxes: The lot's boxes by serial.
        chosen: The serial that is weighed next.
        words: The person's language.
    """
    audit, key = so_far.audit, so_far.audit.key
    values = {"number": audit.number, "pack": key.pack, "label": key.label, "day": key.packed_on}
    rule = Message(f"audit.rule_{audit.rule.value}")
    done, of = len(so_far.reweighs), len(audit.picks)
    return AuditShown(
        said=_drawn(of, len(audit.boxes), words),
        tone="wait",
        figures=None,
        boxes=_picked_table(list(_picked(so_far, boxes, chosen, words)), words),
        of=words.text("ui.audit_of", **values, rule=rule),
        progress=words.text("ui.audit_progress", number=min(done + 1, of), of=of),
    )


def _drawn(sample: int, lot: int, words: Words) -> str:
    if sample == lot:
        return words.text("ui.audit_whole", lot=lot)
    return words.text("ui.audit_drawn", sample=sample, lot=lot)


def _picked(
    so_far: AuditSoFar, boxes: Mapping[str, Box], chosen: str, words: Words
) -> Iterator[_Picked]:
    weighed = {each.serial: each for each in so_far.reweighs}
    for serial in so_far.audit.picks:
        box, now = boxes.get(serial), weighed.get(serial)
        is_next = serial == chosen and now is None
        waits = words.text("ui.weigh_now") if is_next else ""
        yield _Picked(
            serial=serial,
            net_then="" if box is None else str(box.net),
            net_now="" if now is None else str(now.net),
            days="" if now is None else f"{float(now.days):.1f}",
            status=waits if now is None else f"✓ {words.text('ui.weighed_again')}",
        )


def _picked_table(rows: Sequence[_Picked], words: Words) -> TextTable:
    columns = (
        TextColumn[_Picked]("serial", lambda row: row.serial),
        TextColumn[_Picked]("status", lambda row: row.status),
        TextColumn[_Picked]("net_then", lambda row: row.net_then, is_number=True),
        TextColumn[_Picked]("net_now", lambda row: row.net_now, is_number=True),
        TextColumn[_Picked]("days", lambda row: row.days, is_number=True),
    )
    return text_table(columns, rows, lambda name: _titles(words, name))


def rest_screen(result: AuditResult | None, words: Words) -> AuditShown:
    """Give the page between audits: what the last one came to."""
    if result is None:
        none = TextTable((), (), frozenset())
        said = words.text("ui.never_audited")
        how = words.text("ui.audit_how")
        return AuditShown(said=said, tone="wait", figures=None, boxes=none, of=how)
    sentences = (judged_by(result), Message("audit.own_tare"), *replacements(result))
    return AuditShown(
        said=words.say(verdict_said(result)),
        tone=_TONES[result.verdict],
        figures=_figures_table(result, words),
        boxes=_boxes_table(result, words),
        of=" ".join(map(words.say, sentences)),
    )


def _figures_table(result: AuditResult, words: Words) -> TextTable:
    columns = (
        TextColumn[Figure]("what", lambda row: words.say(row.what)),
        TextColumn[Figure]("found", lambda row: _found(row, words), is_number=True),
        TextColumn[Figure]("limit", lambda row: _with_unit(row.limit, row.unit), is_number=True),
        TextColumn[Figure]("result", lambda row: _result(row, words)),
    )
    return text_table(columns, list(figures(result)), lambda name: _titles(words, name))


def _found(row: Figure, words: Words) -> str:
    return _with_unit(words.value(row.found), row.unit)


def _with_unit(number: str | None, unit: str | None) -> str:
    return " ".join(part for part in (number, unit) if part) if number else ""


def _result(row: Figure, words: Words) -> str:
    if row.verdict is None:
        return ""
    return f"{_MARKS[row.verdict]} {words.text(f'audit.outcome_{row.verdict.value}')}"


def _boxes_table(result: AuditResult, words: Words) -> TextTable:
    unit = unit_text(result.unit)
    columns = (
        TextColumn[BoxError]("serial", lambda row: row.serial),
        TextColumn[BoxError]("gross", lambda row: str(row.gross), is_number=True),
        TextColumn[BoxError]("tare", lambda row: str(row.tare), is_number=True),
        TextColumn[BoxError]("net_now", lambda row: str(row.net), is_number=True),
        TextColumn[BoxError]("error", lambda row: f"{row.error} {unit}", is_number=True),
        TextColumn[BoxError]("net_then", lambda row: str(row.net_then), is_number=True),
        TextColumn[BoxError]("days", lambda row: row.days, is_number=True),
    )
    return text_table(columns, result.boxes, lambda name: _titles(words, name))


def plan_said(
    words: Words, *, rule: AuditRule, key: LotKey, lot: int, bench: Bench, standard: Standard
) -> str:
    """Say how many boxes would be drawn, and whether the scale is fine enough for it."""
    scale = fineness(rule, key.label, bench, standard)
    values = {"found": scale.found, "most": f"{scale.most} {unit_text(scale.unit)}"}
    name = "ui.audit_scale_good" if scale.is_enough else "ui.audit_scale_coarse"
    sample = sample_size(rule, lot)
    draws = words.text("ui.audit_plan", sample=sample, lot=lot)
    plan = words.text("ui.audit_whole", lot=lot) if sample == lot else draws
    return f"{plan} {words.text(name, **values)}"


def single_said(box: BoxReweigh, words: Words) -> str:
    """Say what a box weighed on its own has lost."""
    lost = 100 * (1 - float(box.net.nanograms / box.net_then.nanograms))
    return words.text(
        "ui.single_said",
        serial=box.serial,
        then=box.net_then,
        now=box.net,
        days=f"{float(box.days):.1f}",
        lost=f"{lost:.1f}",
    )


def loss_said(reweighs: Sequence[BoxReweigh], setup: Setup, words: Words) -> str:
    """Say what the farm's own boxes lose a day, by cultivar where enough were weighed, and the model."""
    codes = sorted({each.cultivar for each in reweighs})
    found = {each.cultivar: each for code in codes if (each := farm_loss(reweighs, code))}
    lines = [_farm_loss(each, setup, words) for each in found.values()]
    if not lines:
        boxes = len({each.serial for each in reweighs if each.teaches_loss})
        lines = [words.text("ui.loss_unknown", found=boxes, needed=ENOUGH_REWEIGHS)]
    return " ".join((*lines, _model(words)))


def _farm_loss(each: FarmLoss, setup: Setup, words: Words) -> str:
    code = each.cultivar
    name = words.text("ui.all_cultivars") if code is None else name_of(setup.cultivars, code)
    width = "" if each.loss.half_width is None else f"{100 * each.loss.half_width:.2f}"
    values = {"cultivar": name, "share": _percent(each.loss), "width": width}
    return words.text("ui.loss_learned", boxes=each.loss.reweighs, **values)


def _model(words: Words) -> str:
    cold, shed = (_percent(modelled_loss(*where)) for where in (_COLD_ROOM, _SHED))
    return words.text("ui.loss_model", cold=cold, shed=shed)


def _percent(loss: DailyLoss) -> str:
    return f"{100 * loss.share:.2f}"
