"""Trace a lot, a serial or a scanned code: where it came from and where it went."""

from collections.abc import Sequence

from shedstation.domain import gs1
from shedstation.domain.box import Box, LabelJob
from shedstation.domain.errors import WorldFault
from shedstation.domain.facts import Fact, Json, Kind
from shedstation.domain.lot import Lot, label_code, parse_label_code
from shedstation.domain.message import Message
from shedstation.domain.payload import to_json, to_payload
from shedstation.store.questions import Questions


def trace(questions: Questions, code: str) -> dict[str, Json]:
    """Give all that is known of a code.

    Raises:
        WorldFault: if nothing in the data goes by that code.
    """
    text = code.strip()
    # A lot of January 2030 may look like the element string (10): the plain code comes first.
    lots = questions.lots_of_code(text) or questions.lots_of_code(_scanned_lot(text) or text)
    if lots:
        return {"code": code, "kind": "lot", "lots": [_lot(questions, lot) for lot in lots]}
    box, revision = _box(questions, text)
    if box is None:
        raise WorldFault(Message("store.nothing_by_code", {"code": code}))
    return {"code": code, "kind": "box", "box": _whole_box(questions, box, revision)}


def _scanned_lot(text: str) -> str | None:
    """Give the lot in a scanned or typed GS1 text, if it is one."""
    try:
        read = gs1.parse_bracketed(text) if text.startswith("(") else gs1.parse_raw(text)
    except gs1.BadElements:
        return None
    return dict(read).get("10")


def _box(questions: Questions, text: str) -> tuple[Box | None, int]:
    try:
        serial, revision = parse_label_code(text)
    except ValueError:
        return None, 1
    return questions.box(serial), revision


def _lot(questions: Questions, lot: Lot) -> dict[str, Json]:
    boxes = [box for box in questions.boxes_of_lot(lot.code) if box.packed_on == lot.packed_on]
    culls = questions.culls_of_lot(lot)
    loads = [
        load
        for load in questions.loads()
        if (load.block, load.cultivar, load.picked_on) == (lot.block, lot.cultivar, lot.picked_on)
    ]
    return {
        **to_payload(lot),
        "loads": [to_payload(load) for load in loads],
        "boxes": [to_payload(box) for box in boxes],
        "culls": [to_payload(cull) for cull in culls],
        "sent_to": to_json(sorted({box.dispatched_to for box in boxes if box.dispatched_to})),
    }


def _whole_box(questions: Questions, box: Box, revision: int) -> dict[str, Json]:
    load, facts = questions.load(box.load), questions.facts_about(box.serial)
    return {
        **to_payload(box),
        "received": None if load is None else to_payload(load),
        "right_label": label_code(box.serial, box.revision),
        "scanned_label_is_old": revision < box.revision,
        "labels": [_label(job) for job in questions.label_jobs_of(box.serial)],
        "history": [_event(fact) for fact in facts],
        **_fruit_steps(facts),
    }


def _fruit_steps(facts: Sequence[Fact]) -> dict[str, Json]:
    """Give every fruit that went in or out until the box closed, where they were told."""
    kept = (fact.payload.get("fruit_steps") for fact in facts if fact.kind is Kind.BOX_CLOSED)
    steps = next(kept, None)
    return {} if steps is None else {"fruit_steps": steps}


def _label(job: LabelJob) -> Json:
    return {
        "job": job.job,
        "code": label_code(job.serial, job.revision),
        "copy_no": job.copy_no,
        "reason": job.reason.value,
        "state": job.state.value,
        "at": job.at,
    }


def _event(fact: Fact) -> Json:
    return {"at": fact.at, "what": fact.kind.value, "by": fact.by, "hash": fact.hash}
