"""Bring the query tables up to date with one fact, in the transaction that records it."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final, cast

from sqlalchemy import Connection, bindparam, insert, select, update
from sqlalchemy.dialects.sqlite import insert as upsert

from shedstation.domain.audit import Audit
from shedstation.domain.box import JobState
from shedstation.domain.chain import canonical
from shedstation.domain.facts import Fact, Json, Kind, Payload
from shedstation.domain.payload import from_payload, to_payload
from shedstation.domain.scale_check import Outcome as CheckOutcome
from shedstation.store import tables as t
from shedstation.store.cup_rules import cups_changed


@dataclass(frozen=True, slots=True)
class Place:
    """Where a fact stands among all facts."""

    nr: int
    day: str | None


Rule = Callable[[Connection, Fact, Place], None]

_ADD_BOX: Final = insert(t.boxes)
_ADD_CULL: Final = insert(t.culls)
_ADD_JOB: Final = insert(t.label_jobs)
_ADD_LOT: Final = insert(t.lots)
_ADD_REFUSAL: Final = insert(t.refusals)
_ADD_REWEIGH: Final = insert(t.reweighs)
_OF_SERIAL: Final = t.boxes.c.serial == bindparam("of_serial")
_JOB_STATE: Final = (
    update(t.label_jobs)
    .where(t.label_jobs.c.job == bindparam("of_job"))
    .values(state=bindparam("new_state"), why=bindparam("new_why"))
)


def _keep_bench(*names: str) -> Any:  # noqa: ANN401  # SQLAlchemy's insert has no shorter name
    """Make the statement that notes columns of a bench, whether or not it has a row."""
    row = upsert(t.benches).values(
        bench=bindparam("bench"),
        last_number=bindparam("last_number"),
        open_box=bindparam("open_box"),
        choice=bindparam("choice"),
        person=bindparam("person"),
        last_check=bindparam("last_check"),
    )
    return row.on_conflict_do_update(
        index_elements=["bench"], set_={name: row.excluded[name] for name in names}
    )


_KEEP_OPEN_BOX: Final = _keep_bench("open_box")
_KEEP_CHOICE: Final = _keep_bench("choice")
_KEEP_PERSON: Final = _keep_bench("person")
_KEEP_CHECK: Final = _keep_bench("last_check")
_KEEP_NUMBER: Final = _keep_bench("last_number", "open_box")


def _bench_row(fact: Fact, **known: object) -> dict[str, object]:
    row = dict.fromkeys(("open_box", "choice", "person", "last_check"))
    return {"bench": fact.bench, "last_number": 0, **row, **known}


def _columns(payload: Payload, *names: str) -> dict[str, Json]:
    return {name: payload.get(name) for name in names}


def apply(conn: Connection, fact: Fact, place: Place) -> None:
    """Apply a fact that was just inserted."""
    new_lot = fact.payload.get("new_lot")
    if new_lot is not None:
        conn.execute(_ADD_LOT, cast("dict[str, Json]", new_lot))
    RULES[fact.kind](conn, fact, place)


def _nothing(conn: Connection, fact: Fact, place: Place) -> None:
    """Leave the query tables as they are: the fact itself is what is asked for."""


def _set_up(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    row = upsert(t.setups).values(one=1, payload=canonical(dict(fact.payload)))
    conn.execute(
        row.on_conflict_do_update(index_elements=["one"], set_={"payload": row.excluded.payload})
    )
    # The open day's record says names as they were corrected while it was packed.
    of_today = update(t.days).where(t.days.c.is_open)
    conn.execute(of_today.values(setup=canonical(dict(fact.payload))))


def _day_opened(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    setup = conn.execute(t.setups.select()).first()
    row = upsert(t.days).values(
        date=fact.payload["date"], is_open=True, setup="" if setup is None else setup.payload
    )
    conn.execute(row.on_conflict_do_update(index_elements=["date"], set_={"is_open": True}))


def _day_closed(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    closed = update(t.days).where(t.days.c.date == fact.payload["date"]).values(is_open=False)
    conn.execute(closed)


def _load_received(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    payload = {key: value for key, value in fact.payload.items() if key not in ("new_lot", "note")}
    row = {"load": payload["load"], "received_on": payload["received_on"]}
    conn.execute(insert(t.loads), {**row, "payload": canonical(payload)})


def _person_chosen(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    conn.execute(_KEEP_PERSON, _bench_row(fact, person=fact.payload["person"]))


def _load_chosen(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    names = ("load", "block", "cultivar", "picked_on", "pack", "grade", "lot")
    choice = canonical(_columns(fact.payload, *names))
    conn.execute(_KEEP_CHOICE, _bench_row(fact, choice=choice))


def _cups_changed(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    cups_changed(conn, fact)


def _box_tared(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    conn.execute(_KEEP_OPEN_BOX, _bench_row(fact, open_box=canonical(dict(fact.payload))))


def _box_abandoned(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    conn.execute(_KEEP_OPEN_BOX, _bench_row(fact))


def _box_closed(conn: Connection, fact: Fact, place: Place) -> None:
    conn.execute(_ADD_BOX, {**_box_row(fact.payload), "nr": place.nr})
    conn.execute(_KEEP_NUMBER, _bench_row(fact, last_number=fact.payload["number"]))


def _box_row(payload: Payload) -> dict[str, Json]:
    """Give a box's columns; a payload leaves out `by_hand` and `fruit` where there is nothing to say."""
    fruit = payload.get("fruit")
    told = None if fruit is None else canonical(fruit)
    row = _columns(payload, *BOX_FIELDS)
    return {**row, "by_hand": bool(payload.get("by_hand")), "fruit": told}


def _box_voided(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    change = update(t.boxes).where(_OF_SERIAL).values(voided=True, void_reason=bindparam("reason"))
    conn.execute(change, {"of_serial": fact.payload["serial"], "reason": fact.payload["reason"]})


def _scale_tested(conn: Connection, fact: Fact, place: Place) -> None:
    """Keep a check that was finished, or that failed before it was given up."""
    if fact.payload["outcome"] != CheckOutcome.UNFINISHED.value:
        kept = canonical({"day": place.day, "check": dict(fact.payload)})
        conn.execute(_KEEP_CHECK, _bench_row(fact, last_check=kept))


def _audit_started(conn: Connection, fact: Fact, place: Place) -> None:
    audit = {
        "audit": fact.payload["seed"],
        "bench": fact.bench,
        "begun": canonical(dict(fact.payload)),
    }
    conn.execute(insert(t.audits), {**audit, "nr": place.nr, "day": place.day})


def _audit_box_replaced(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    of_audit = t.audits.c.audit == fact.payload["audit"]
    begun = conn.execute(select(t.audits.c.begun).where(of_audit)).scalar_one()
    audit = from_payload(Audit, json.loads(begun))
    audit = audit.without(str(fact.payload["serial"]), str(fact.payload["reason"]))
    change = update(t.audits).where(of_audit)
    conn.execute(change.values(begun=canonical(to_payload(audit))))


def _audit_judged(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    change = update(t.audits).where(t.audits.c.audit == fact.payload["audit"])
    conn.execute(change.values(result=canonical(dict(fact.payload))))


def _box_reweighed(conn: Connection, fact: Fact, place: Place) -> None:
    row = _columns(fact.payload, *REWEIGH_FIELDS)
    conn.execute(_ADD_REWEIGH, {**row, "nr": place.nr})


def _cull_entered(conn: Connection, fact: Fact, place: Place) -> None:
    row = _columns(fact.payload, *CULL_FIELDS)
    conn.execute(_ADD_CULL, {**row, "nr": place.nr, "day": place.day})


def _cull_corrected(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    after = cast("Payload", fact.payload["after"])
    change = update(t.culls).where(t.culls.c.id == fact.payload["id"])
    conn.execute(change.values(**_columns(after, *CULL_FIELDS)))


def _load_corrected(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    after = canonical(fact.payload["after"])
    change = update(t.loads).where(t.loads.c.load == fact.payload["load"])
    conn.execute(change.values(payload=after))


def _box_corrected(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    for after in cast("list[Payload]", fact.payload["after"]):
        change = update(t.boxes).where(t.boxes.c.serial == after["serial"])
        conn.execute(change.values(**_box_row(after)))


def _each_box(conn: Connection, fact: Fact, **values: object) -> None:
    serials = cast("list[str]", fact.payload["serials"])
    change = update(t.boxes).where(_OF_SERIAL).values(**values)
    conn.execute(change, [{"of_serial": each} for each in serials])


def _boxes_moved(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    _each_box(conn, fact, room=fact.payload["room"])


def _boxes_dispatched(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    _each_box(conn, fact, dispatched_to=fact.payload["buyer"])


def _boxes_returned(conn: Connection, fact: Fact, place: Place) -> None:
    del place
    _each_box(conn, fact, dispatched_to=None)


def _label_queued(conn: Connection, fact: Fact, place: Place) -> None:
    row = _columns(fact.payload, *JOB_FIELDS)
    row["fields"] = canonical(row["fields"])
    conn.execute(_ADD_JOB, {**row, "nr": place.nr})


def _label_now(state: JobState) -> Rule:
    def rule(conn: Connection, fact: Fact, place: Place) -> None:
        del place
        values = {"new_state": state.value, "new_why": fact.payload.get("why")}
        conn.execute(_JOB_STATE, {"of_job": fact.payload["job"], **values})

    return rule


def _label_answered(conn: Connection, fact: Fact, place: Place) -> None:
    state = JobState.SENT if fact.payload["yes"] else JobState.LOST
    _label_now(state)(conn, fact, place)


def _action_refused(conn: Connection, fact: Fact, place: Place) -> None:
    names = ("line", "at_s", "do", "code", "why", "at", "bench")
    row = _columns(fact.payload, *names)
    conn.execute(_ADD_REFUSAL, {**row, "nr": place.nr, "day": place.day})


BOX_FIELDS: Final = tuple(each.name for each in t.boxes.columns if each.name != "nr")
CULL_FIELDS: Final = tuple(each.name for each in t.culls.columns if each.name not in ("nr", "day"))
REWEIGH_FIELDS: Final = tuple(each.name for each in t.reweighs.columns if each.name != "nr")
JOB_FIELDS: Final = tuple(each.name for each in t.label_jobs.columns if each.name != "nr")

RULES: Final[Mapping[Kind, Rule]] = {
    Kind.STATION_SET_UP: _set_up,
    Kind.DAY_OPENED: _day_opened,
    Kind.DAY_CLOSED: _day_closed,
    Kind.PERSON_CHOSEN: _person_chosen,
    Kind.LOAD_RECEIVED: _load_received,
    Kind.LOAD_CHOSEN: _load_chosen,
    Kind.CUP_FILLED: _cups_changed,
    Kind.CUP_EMPTIED: _cups_changed,
    Kind.CUP_CORRECTED: _cups_changed,
    Kind.CUPS_DOUBTED: _cups_changed,
    Kind.BOX_TARED: _box_tared,
    Kind.BOX_CLOSED: _box_closed,
    Kind.BOX_ABANDONED: _box_abandoned,
    Kind.BOX_VOIDED: _box_voided,
    Kind.CULL_ENTERED: _cull_entered,
    Kind.FRUIT_HELD: _nothing,
    Kind.HELD_LOOKED_AT: _nothing,
    Kind.WASH_CHECKED: _nothing,
    Kind.ROOM_READ: _nothing,
    Kind.SCALE_CHECKED: _nothing,
    Kind.SCALE_TESTED: _scale_tested,
    Kind.AUDIT_STARTED: _audit_started,
    Kind.AUDIT_BOX_REPLACED: _audit_box_replaced,
    Kind.BOX_REWEIGHED: _box_reweighed,
    Kind.AUDIT_JUDGED: _audit_judged,
    Kind.BOXES_MOVED: _boxes_moved,
    Kind.BOXES_DISPATCHED: _boxes_dispatched,
    Kind.BOXES_RETURNED: _boxes_returned,
    Kind.BOX_CORRECTED: _box_corrected,
    Kind.CULL_CORRECTED: _cull_corrected,
    Kind.LOAD_CORRECTED: _load_corrected,
    Kind.LABEL_QUEUED: _label_queued,
    Kind.LABEL_SENDING: _label_now(JobState.SENDING),
    Kind.LABEL_SENT: _label_now(JobState.SENT),
    Kind.LABEL_FAILED: _label_now(JobState.FAILED),
    Kind.LABEL_ANSWERED: _label_answered,
    Kind.SCALE_LOST: _nothing,
    Kind.SCALE_BACK: _nothing,
    Kind.ACTION_REFUSED: _action_refused,
    Kind.BACKUP_MADE: _nothing,
}
"""One rule a kind; together they make every query table out of the facts."""
