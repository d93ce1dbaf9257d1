"""Correct boxes, culls and loads by new facts; the old entries stay readable."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, Final

from shedstation.domain.box import Box, JobReason
from shedstation.domain.culls import Cull, Where
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.intake import Load
from shedstation.domain.limits import limits
from shedstation.domain.lot import label_code, serial
from shedstation.domain.payload import to_payload
from shedstation.station.actions import Correct
from shedstation.station.intake import take_choice
from shedstation.station.labelling import next_label
from shedstation.station.packing import printed_net
from shedstation.station.shed import Shed, once

_RANGE: Final = re.compile(r"([A-Z][A-Z0-9]{0,3})-(\d{6,9})\.\.\1-(\d{6,9})", re.ASCII)
MOST_IN_RANGE: Final = 2000


def correct(shed: Shed, action: Correct) -> None:
    """Correct what was named.

    Raises:
        Refused: if something named does not exist or may not be corrected; then nothing is.
    """
    changes = {"box": _boxes, "cull": _culls, "load": _load}[action.what](shed, action)
    shed.record_all(changes)
    for bench in shed.benches.values():
        if action.what == "load" and bench.choice is not None and bench.choice.load in action.which:
            take_choice(shed, action, bench, bench.choice)


def _boxes(shed: Shed, action: Correct) -> list[Draft]:
    named = [each for text in action.which for each in _spread(text)]
    before = once(shed.standing_box(text, action.bench) for text in named)
    load = shed.load(str(action.set["load"])) if "load" in action.set else None
    return _moved(shed, action, before, load)


def _spread(text: str) -> Iterator[str]:
    """Give the serials of a range, or the one that was named."""
    found = _RANGE.fullmatch(text)
    if not found:
        yield text
        return
    bench, first, last = found.group(1), int(found.group(2)), int(found.group(3))
    if not first <= last < first + MOST_IN_RANGE:
        raise Refused("bad_range", range=text, most=MOST_IN_RANGE)
    for number in range(first, last + 1):
        yield serial(bench, number)


def _moved(shed: Shed, action: Correct, before: Sequence[Box], load: Load | None) -> list[Draft]:
    """Draft the correction of boxes, one fact a pack date, and the labels that replace theirs."""
    drafts = []
    for packed_on in sorted({box.packed_on for box in before}):
        of_day = [box for box in before if box.packed_on == packed_on]
        drafts += _moved_of_day(shed, action, of_day, load, packed_on)
    return drafts


def _moved_of_day(
    shed: Shed, action: Correct, before: Sequence[Box], load: Load | None, packed_on: date
) -> list[Draft]:
    lot, new_lot = (None, {}) if load is None else shed.lot_of(load, packed_on)
    after = [_corrected(shed, action, box, load, lot.code if lot else box.lot) for box in before]
    pulled = [
        label_code(old.serial, old.revision)
        for old, new in zip(before, after, strict=True)
        if new.revision > old.revision
    ]
    payload: dict[str, Json] = {
        "reason": action.reason,
        "before": [to_payload(box) for box in before],
        "after": [to_payload(box) for box in after],
        "pulled": list(pulled),
        **new_lot,
    }
    fact = shed.draft(Kind.BOX_CORRECTED, action, payload)
    relabel = [new for old, new in zip(before, after, strict=True) if new.revision > old.revision]
    return [fact, *(next_label(shed, action, box, JobReason.CORRECTED) for box in relabel)]


def _corrected(shed: Shed, action: Correct, box: Box, load: Load | None, lot: str) -> Box:
    changed: dict[str, Any] = {
        name: action.set[name] for name in ("pack", "grade", "count") if name in action.set
    }
    if load is not None:
        changed |= {"load": load.load, "block": load.block, "cultivar": load.cultivar}
        changed |= {"picked_on": load.picked_on, "lot": lot}
    if "pack" in changed:
        changed |= _judged_anew(shed, box, str(changed["pack"]))
    after = replace(box, **changed)
    return after if after == box else replace(after, revision=box.revision + 1)


def _judged_anew(shed: Shed, box: Box, pack_name: str) -> dict[str, Any]:
    pack = shed.setup.pack_or_none(pack_name)
    if pack is None:
        raise Refused("unknown_pack", pack=pack_name)
    verdict = limits(pack, shed.bench(box.bench).setup.division).verdict(box.net)
    changed = {"verdict": verdict, "net_on_label": printed_net(pack, box.net)}
    if box.fruit is None:
        return changed
    return {**changed, "fruit": replace(box.fruit, standard=pack.size_standard)}


def _culls(shed: Shed, action: Correct) -> list[Draft]:
    drafts = []
    for cull_id in action.which:
        before = shed.ledger.cull(cull_id)
        if before is None:
            raise Refused("unknown_cull", id=cull_id)
        drafts.append(_cull_draft(shed, action, before, dict(action.set)))
    return drafts


def _cull_draft(
    shed: Shed, action: Correct, before: Cull, changed: dict[str, Any], load: Load | None = None
) -> Draft:
    """Draft a cull's correction; `load` is the load it has as that is corrected now."""
    new_lot: dict[str, Json] = {}
    if "where" in changed:
        changed["where"] = Where(changed["where"])
    if "load" in changed:
        load = shed.load(str(changed["load"]))
    if load is not None:
        lot, new_lot = shed.lot_of(load, shed.ledger.day_of_cull(before.id))
        changed |= {
            "load": load.load,
            "block": load.block,
            "cultivar": load.cultivar,
            "lot": lot.code,
        }
    after = replace(before, **changed, corrected=True)
    if after.count is None and after.weight is None:
        raise Refused("cull_of_nothing", id=before.id)
    payload: dict[str, Json] = {
        "id": before.id,
        "reason": action.reason,
        "before": to_payload(before),
        "after": to_payload(after),
        **new_lot,
    }
    return shed.draft(Kind.CULL_CORRECTED, action, payload)


def _load(shed: Shed, action: Correct) -> list[Draft]:
    drafts: list[Draft] = []
    for code in action.which:
        before = shed.load(code)
        changed: dict[str, Any] = dict(action.set)
        after = replace(before, **changed)
        payload: dict[str, Json] = {
            "load": code,
            "reason": action.reason,
            "before": to_payload(before),
            "after": to_payload(after),
        }
        drafts.append(shed.draft(Kind.LOAD_CORRECTED, action, payload))
        if _of_lot(before) != _of_lot(after):
            standing = [box for box in shed.ledger.boxes_of_load(code) if not box.voided]
            drafts += _moved(shed, action, standing, after)
            culls = shed.ledger.culls_of_load(code)
            drafts += [_cull_draft(shed, action, cull, {}, after) for cull in culls]
    return drafts


def _of_lot(load: Load) -> tuple[str, str, date]:
    return load.block, load.cultivar, load.picked_on
