"""Hold one day's record and sum it up; every export is made from this one value."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from shedstation.domain.box import Box
from shedstation.domain.culls import Cull, DefectSum, culls_by_defect
from shedstation.domain.facts import Json, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.fruit.told import FruitTold
from shedstation.domain.intake import Load
from shedstation.domain.lot import Lot
from shedstation.domain.mass import Mass, add_up, zero


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Something asked that the state of the shed did not allow."""

    line: int | None
    """Line of the actions file; none when it was asked at the bench."""

    at_s: str
    """Seconds since the day's zero, as decimal text."""

    do: str
    code: str
    why: str
    at: str = ""
    bench: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """Anything else that belongs in the day's record: wash, rooms, holding, dispatch and so on."""

    at: str
    bench: str
    by: str | None
    kind: str
    """The fact's kind, for example `wash_checked`."""

    values: Mapping[str, Json]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRecord:
    """Everything recorded for one day."""

    date: date
    closed: bool
    setup: Setup
    loads: tuple[Load, ...]
    lots: tuple[Lot, ...]
    boxes: tuple[Box, ...]
    """In order of closing, voided ones included."""

    culls: tuple[Cull, ...]
    refused: tuple[Refusal, ...]
    happenings: tuple[Happening, ...]
    heads: Mapping[str, str]
    """Hash of each bench's last fact of this day, by bench: printed so that a cut tail shows."""

    @property
    def standing(self) -> tuple[Box, ...]:
        """Get the boxes that were not voided."""
        return tuple(box for box in self.boxes if not box.voided)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSum:
    """Boxes counted and weighed together."""

    boxes: int
    net: Mass


def sum_boxes(boxes: Iterable[Box]) -> BoxSum | None:
    """Sum net weights exactly, in the unit of the first box; nothing at all gives none."""
    nets = [box.net for box in boxes]
    total = add_up(nets)
    return None if total is None else BoxSum(boxes=len(nets), net=total)


def by_lot(record: DayRecord) -> dict[str, BoxSum]:
    """Sum the standing boxes lot by lot, in order of the codes."""
    return _sums({box.lot for box in record.standing}, record, "lot")


def by_cultivar(record: DayRecord) -> dict[str, BoxSum]:
    """Sum the standing boxes cultivar by cultivar, in order of the codes."""
    return _sums({box.cultivar for box in record.standing}, record, "cultivar")


def by_block(record: DayRecord) -> dict[str, BoxSum]:
    """Sum the standing boxes block by block, in order of the codes."""
    return _sums({box.block for box in record.standing}, record, "block")


def _sums(keys: set[str], record: DayRecord, field: str) -> dict[str, BoxSum]:
    sums = {}
    for key in sorted(keys):
        summed = sum_boxes(box for box in record.standing if getattr(box, field) == key)
        if summed:
            sums[key] = summed
    return sums


def defects(record: DayRecord) -> tuple[DefectSum, ...]:
    """Sum the day's culls by defect, most fruit first."""
    return culls_by_defect(record.culls)


def day_json(record: DayRecord) -> dict[str, object]:
    """Give the day's result in its fixed form; masses are text, voided boxes not summed."""
    return {
        "date": record.date.isoformat(),
        "boxes": [_box_json(box) for box in record.boxes],
        "culls": [_cull_json(cull) for cull in record.culls],
        "refused": [_refusal_json(refusal) for refusal in record.refused],
        "totals": _totals_json(record),
        **_audits_json(record),
    }


def _audits_json(record: DayRecord) -> dict[str, object]:
    """Give the day's audits as they were judged; a day without any says nothing of them."""
    judged = [each for each in record.happenings if each.kind == Kind.AUDIT_JUDGED.value]
    return {"audits": [dict(each.values) for each in judged]} if judged else {}


def _box_json(box: Box) -> Json:
    return {
        "serial": box.serial,
        "lot": box.lot,
        "load": box.load,
        "block": box.block,
        "cultivar": box.cultivar,
        "picked_on": box.picked_on.isoformat(),
        "packed_on": box.packed_on.isoformat(),
        "pack": box.pack,
        "grade": box.grade,
        "gross": str(box.gross),
        "tare": str(box.tare),
        "tare_by": box.tare_by.value,
        "net": str(box.net),
        "net_on_label": str(box.net_on_label),
        "verdict": box.verdict.value,
        "override_reason": box.override_reason,
        "count": box.fruit_count,
        "voided": box.voided,
        **({"by_hand": True} if box.by_hand else {}),
        **({} if box.fruit is None else {"fruit": fruit_json(box.fruit)}),
    }


def fruit_json(told: FruitTold) -> dict[str, Json]:
    """Give what the scale told, beside any typed count; all its weights sum to the net weight."""
    return {
        "count": told.count,
        "sure": told.count is not None,
        "weights": [str(each) for each in told.singles],
        "others": [
            {"weight": str(each.weight), "fruit": each.fruit}
            for each in told.lying
            if each.fruit != 1
        ],
        "smallest": _mass_json(told.smallest),
        "largest": _mass_json(told.largest),
        "spread": _mass_json(told.spread),
        "mean": _mass_json(told.mean),
        **_size_json(told),
    }


def _size_json(told: FruitTold) -> dict[str, Json]:
    size = told.size
    return {
        "size_standard": None if told.standard is None else told.standard.value,
        "size_code": None if size is None else size.code.code,
        "keeps_size": None if size is None else size.keeps_size,
        "keeps_spread": None if size is None else size.keeps_difference,
    }


def _mass_json(mass: Mass | None) -> Json:
    return None if mass is None else str(mass)


def _cull_json(cull: Cull) -> Json:
    return {
        "id": cull.id,
        "load": cull.load,
        "lot": cull.lot,
        "block": cull.block,
        "cultivar": cull.cultivar,
        "defect": cull.defect,
        "count": cull.count,
        "weight": _mass_json(cull.weight),
        "where": cull.where.value,
    }


def _refusal_json(refusal: Refusal) -> dict[str, object]:
    return {
        "line": refusal.line,
        "at_s": float(refusal.at_s),
        "do": refusal.do,
        "code": refusal.code,
        "why": refusal.why,
    }


def _totals_json(record: DayRecord) -> Json:
    unit = record.setup.benches[0].unit
    everything = sum_boxes(record.standing) or BoxSum(boxes=0, net=zero(unit))
    return {
        "boxes": everything.boxes,
        "net": str(everything.net),
        "voided": len(record.boxes) - len(record.standing),
        "by_lot": {key: _sum_json(each) for key, each in by_lot(record).items()},
        "by_cultivar": {key: _sum_json(each) for key, each in by_cultivar(record).items()},
        "culls_by_defect": [_defect_json(each) for each in defects(record)],
    }


def _sum_json(summed: BoxSum) -> Json:
    return {"boxes": summed.boxes, "net": str(summed.net)}


def _defect_json(summed: DefectSum) -> Json:
    return {
        "defect": summed.defect,
        "entries": summed.entries,
        "count": summed.count,
        "weight": _mass_json(summed.weight),
    }
