"""List the tables of a day's record, one column a row, for workbook, CSV and PDF alike."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Final

from shedstation.domain.audit_result import BoxError
from shedstation.domain.box import Box
from shedstation.domain.check_rows import CheckRow
from shedstation.domain.day import DayRecord, Happening, by_lot, defects
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Pack
from shedstation.domain.giveaway import Giveaway, given_by_pack
from shedstation.domain.lot import Lot
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.export.audits import AuditLine, audit_lines
from shedstation.export.columns import Cell, Column, Naming, Table, money, number, unit
from shedstation.export.fruit import fruit_tables
from shedstation.export.scale_checks import CheckLine, check_lines
from shedstation.words import Words

_OWN_TABLES: Final = frozenset(
    {
        Kind.SCALE_TESTED.value,
        Kind.AUDIT_STARTED.value,
        Kind.AUDIT_BOX_REPLACED.value,
        Kind.AUDIT_JUDGED.value,
    }
)


def tables(record: DayRecord, words: Words) -> tuple[Table, ...]:
    """Give all tables of a record in the order of reading, codes said in words.

    Those of fruit are only there on a day on which fruit were told. What was given away is a table only
    where packs have a price, and never on the pages for buyers.
    """
    names = Naming(record, words)
    given = given_by_pack(record.standing, record.setup.packs)
    return (
        Table("lots", _lots(record, names), record.lots),
        Table("boxes", _boxes(names), record.boxes),
        *fruit_tables(record, names),
        Table("culls", _culls(names), record.culls),
        Table("culls_by_defect", _defects(names), defects(record)),
        Table("loads", _loads(names), record.loads),
        Table("scale_checks", _scale_checks(names, words), check_lines(record)),
        Table("happenings", _happenings(names), _other_happenings(record)),
        Table("refused", _refused(), record.refused),
        *_audits(record, names, words),
        *((Table("giveaway", _giveaway(), given),) if given else ()),
    )


def _lots(record: DayRecord, names: Naming) -> tuple[Column, ...]:
    sums = by_lot(record)

    def boxes(lot: Lot) -> int:
        return sums[lot.code].boxes if lot.code in sums else 0

    def net(lot: Lot) -> Mass | None:
        return sums[lot.code].net if lot.code in sums else None

    return (
        Column("lot", lambda lot: lot.code),
        Column("cultivar", lambda lot: names.cultivar(lot.cultivar)),
        Column("block", lambda lot: names.block(lot.block)),
        Column("picked_on", lambda lot: lot.picked_on),
        Column("packed_on", lambda lot: lot.packed_on),
        Column("boxes", boxes),
        Column("net", lambda lot: number(net(lot))),
        Column("unit", lambda lot: unit(net(lot))),
    )


def _boxes(names: Naming) -> tuple[Column, ...]:
    def status(box: Box) -> str:
        if box.voided:
            return names.say("export.voided_box")
        said = [names.say("export.by_hand")] if box.by_hand else []
        if box.override_reason:
            said.append(names.say("export.overridden", reason=box.override_reason))
        return ", ".join(said)

    return (
        Column("serial", lambda box: box.serial),
        Column("time", lambda box: names.clock(box.at)),
        Column("lot", lambda box: box.lot),
        Column("load", lambda box: box.load),
        Column("cultivar", lambda box: names.cultivar(box.cultivar)),
        Column("block", lambda box: names.block(box.block)),
        Column("picked_on", lambda box: box.picked_on),
        Column("packed_on", lambda box: box.packed_on),
        Column("pack", lambda box: box.pack),
        Column("grade", lambda box: box.grade),
        Column("gross", lambda box: number(box.gross)),
        Column("tare", lambda box: number(box.tare)),
        Column("net", lambda box: number(box.net)),
        Column("unit", lambda box: unit(box.net)),
        Column("label_says", lambda box: str(box.net_on_label)),
        Column("count", lambda box: box.fruit_count),
        Column("verdict", lambda box: names.say(f"export.verdict_{box.verdict.value}")),
        Column("override_reason", lambda box: box.override_reason),
        Column("tare_by", lambda box: names.say(f"export.tare_by_{box.tare_by.value}")),
        Column("packed_by", lambda box: names.person(box.by)),
        Column("status", status),
        Column("void_reason", lambda box: box.void_reason),
        Column("room", lambda box: box.room),
        Column("sent_to", lambda box: box.dispatched_to),
    )


def _culls(names: Naming) -> tuple[Column, ...]:
    return (
        Column("entry", lambda cull: cull.id),
        Column("time", lambda cull: names.clock(cull.at)),
        Column("load", lambda cull: cull.load),
        Column("lot", lambda cull: cull.lot),
        Column("cultivar", lambda cull: names.cultivar(cull.cultivar)),
        Column("block", lambda cull: names.block(cull.block)),
        Column("defect", lambda cull: names.defect(cull.defect)),
        Column("count", lambda cull: cull.count),
        Column("weight", lambda cull: number(cull.weight)),
        Column("unit", lambda cull: unit(cull.weight)),
        Column("where", lambda cull: names.say(f"export.where_{cull.where.value}")),
    )


def _defects(names: Naming) -> tuple[Column, ...]:
    return (
        Column("defect", lambda summed: names.defect(summed.defect)),
        Column("entries", lambda summed: summed.entries),
        Column("count", lambda summed: summed.count),
        Column("weight", lambda summed: number(summed.weight)),
        Column("unit", lambda summed: unit(summed.weight)),
    )


def _loads(names: Naming) -> tuple[Column, ...]:
    return (
        Column("load", lambda load: load.load),
        Column("cultivar", lambda load: names.cultivar(load.cultivar)),
        Column("block", lambda load: names.block(load.block)),
        Column("picked_on", lambda load: load.picked_on),
        Column("received_on", lambda load: load.received_on),
        Column("weight", lambda load: number(load.weight)),
        Column("unit", lambda load: unit(load.weight)),
        Column("estimated", lambda load: names.say("export.yes") if load.estimated else ""),
    )


def _other_happenings(record: DayRecord) -> tuple[Happening, ...]:
    """Give what is in no table of its own."""
    return tuple(each for each in record.happenings if not _has_own_table(each))


def _has_own_table(happening: Happening) -> bool:
    of_audit = happening.kind == Kind.BOX_REWEIGHED.value and happening.values["audit"] is not None
    return of_audit or happening.kind in _OWN_TABLES


def _scale_checks(names: Naming, words: Words) -> tuple[Column, ...]:
    def of_row(cell: Callable[[CheckRow], Cell]) -> Callable[[CheckLine], Cell]:
        return lambda line: None if line.row is None else cell(line.row)

    return (
        Column("time", lambda line: names.clock(line.at)),
        Column("bench", lambda line: line.bench),
        Column("person", lambda line: names.person(line.by)),
        Column("what", lambda line: words.say(line.what)),
        Column("test_load", of_row(lambda row: row.load)),
        Column("place", of_row(lambda row: words.value(row.place))),
        Column("shown", of_row(lambda row: number(row.shown))),
        Column("off", of_row(lambda row: number(row.off))),
        Column("tolerance", of_row(lambda row: number(row.tolerance))),
        Column("unit", of_row(lambda row: unit(row.tolerance))),
        Column("result", lambda line: names.say(f"check.outcome_{line.outcome}")),
        Column("details", lambda line: " ".join(map(words.say, line.details))),
    )


def _audits(record: DayRecord, names: Naming, words: Words) -> tuple[Table, ...]:
    """Give the table of the day's audits; none on a day without one."""
    lines = audit_lines(record)
    return (Table("audits", _audit_columns(names, words), lines),) if lines else ()


def _audit_columns(names: Naming, words: Words) -> tuple[Column, ...]:
    def of_box(cell: Callable[[BoxError], Cell]) -> Callable[[AuditLine], Cell]:
        return lambda line: None if line.box is None else cell(line.box)

    def said(value: str | Message | None) -> Cell:
        return Decimal(value) if isinstance(value, str) else words.value(value) or None

    def result(line: AuditLine) -> str:
        verdict = line.verdict
        return "" if verdict is None else names.say(f"audit.outcome_{verdict.value}")

    return (
        Column("time", lambda line: names.clock(line.happening.at)),
        Column("bench", lambda line: line.happening.bench),
        Column("person", lambda line: names.person(line.happening.by)),
        Column("what", lambda line: words.say(line.what)),
        Column("serial", of_box(lambda box: box.serial)),
        Column("days", of_box(lambda box: Decimal(box.days))),
        Column("gross", of_box(lambda box: number(box.gross))),
        Column("tare", of_box(lambda box: number(box.tare))),
        Column("net_then", of_box(lambda box: number(box.net_then))),
        Column("net_now", of_box(lambda box: number(box.net))),
        Column("unit", of_box(lambda box: unit(box.net))),
        Column("found", lambda line: said(line.found)),
        Column("limit", lambda line: said(line.limit)),
        Column("found_unit", lambda line: line.unit),
        Column("result", result),
        Column("details", lambda line: " ".join(map(words.say, line.details))),
    )


def _happenings(names: Naming) -> tuple[Column, ...]:
    return (
        Column("time", lambda each: names.clock(each.at)),
        Column("bench", lambda each: each.bench),
        Column("person", lambda each: names.person(each.by)),
        Column("what", lambda each: names.say(f"export.kind_{each.kind}")),
        Column("details", details),
    )


def details(happening: Happening) -> str:
    """Say what a happening's fact holds, key by key; corrections name what changed."""
    values = dict(happening.values)
    if "before" in values and "after" in values:
        changed = _changes(values.pop("before"), values.pop("after"))
        values = {**values, "changed": changed}
    return "; ".join(
        f"{_plain(key)} {_said(value)}" for key, value in values.items() if value not in (None, "")
    )


def _changes(before: Any, after: Any) -> str:  # noqa: ANN401  # JSON out of a fact
    """Say each change once, with all that changed so."""
    pairs = zip(before, after, strict=True) if isinstance(before, list) else [(before, after)]
    changed: dict[str, list[str]] = {}
    for old, new in pairs:
        name = old.get("serial") or old.get("id") or old.get("load")
        changed.setdefault(_change(old, new), []).append(name)
    return "; ".join(f"{', '.join(names)}: {change}" for change, names in changed.items())


def _change(old: Mapping[str, Any], new: Mapping[str, Any]) -> str:
    parts = [
        f"{_plain(key)} {old[key]} to {new[key]}"
        for key in old
        if old[key] != new[key] and key not in ("revision", "corrected", "fruit")
    ]
    return " and ".join(parts)


def _plain(key: str) -> str:
    return key.replace("_", " ")


def _said(value: Any) -> str:  # noqa: ANN401  # JSON out of a fact
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if isinstance(value, dict):
        return " ".join(f"{_plain(key)} {each}" for key, each in value.items() if each is not None)
    return str(value)


def _giveaway() -> tuple[Column, ...]:
    def of_pack(cell: Callable[[Pack], Cell]) -> Callable[[tuple[Pack, Giveaway]], Cell]:
        return lambda row: cell(row[0])

    def of_sum(cell: Callable[[Giveaway], Cell]) -> Callable[[tuple[Pack, Giveaway]], Cell]:
        return lambda row: cell(row[1])

    return (
        Column("pack", of_pack(lambda pack: pack.name)),
        Column("boxes", of_sum(lambda given: given.boxes)),
        Column("over", of_sum(lambda given: number(given.over))),
        Column("unit", of_sum(lambda given: unit(given.over))),
        Column("price", of_pack(lambda pack: str(pack.price))),
        Column("worth", of_sum(lambda given: money(given.worth))),
    )


def _refused() -> tuple[Column, ...]:
    return (
        Column("line", lambda each: each.line),
        Column("second", lambda each: Decimal(each.at_s)),
        Column("bench", lambda each: each.bench),
        Column("asked", lambda each: each.do),
        Column("code", lambda each: each.code),
        Column("why", lambda each: each.why),
    )
