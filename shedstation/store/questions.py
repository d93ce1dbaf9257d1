"""Answer questions from the query tables."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, Select, bindparam, func, select

from shedstation.domain.box import Box, JobState, LabelJob
from shedstation.domain.check_findings import LastCheck
from shedstation.domain.choice import Choice
from shedstation.domain.culls import Cull
from shedstation.domain.day import DayRecord, Happening, Refusal
from shedstation.domain.errors import WorldFault
from shedstation.domain.facts import Fact, Kind, Payload
from shedstation.domain.farm import Setup
from shedstation.domain.intake import Load
from shedstation.domain.lot import Lot
from shedstation.domain.message import Message
from shedstation.domain.payload import from_payload
from shedstation.domain.scale_check import Outcome
from shedstation.store import rows
from shedstation.store import tables as t
from shedstation.store.connect import world_faults

_IN_OTHER_TABLES: Final = frozenset(
    {
        Kind.BOX_TARED,
        Kind.BOX_CLOSED,
        Kind.LOAD_RECEIVED,
        Kind.CULL_ENTERED,
        Kind.LABEL_QUEUED,
        Kind.LABEL_SENDING,
        Kind.LABEL_SENT,
        Kind.ACTION_REFUSED,
        Kind.STATION_SET_UP,
    }
)
HAPPENINGS: Final = tuple(kind.value for kind in Kind if kind not in _IN_OTHER_TABLES)


class Questions:
    """The questions that a data folder answers."""

    def __init__(self, engine: Engine, folder: Path) -> None:
        """Ask the database behind an engine; the folder is for sentences."""
        self._engine = engine
        self.folder = folder

    @property
    def engine(self) -> Engine:
        """Get the engine, for backups."""
        return self._engine

    @contextmanager
    def connection(self) -> Iterator[Connection]:
        """Give a connection inside a transaction; the world's faults come as sentences."""
        with world_faults(self.folder), self._engine.begin() as conn:
            yield conn

    def day_exists(self, day: date) -> bool:
        """Tell whether the day was ever opened here."""
        return bool(self._all(select(t.days.c.date).where(t.days.c.date == day.isoformat())))

    def days(self) -> tuple[date, ...]:
        """Give all days, newest first."""
        found = self._all(select(t.days.c.date).order_by(t.days.c.date.desc()))
        return tuple(date.fromisoformat(row["date"]) for row in found)

    def next_number(self, bench: str) -> int:
        """Give the number of the bench's next box."""
        row = self._bench(bench)
        return 1 if row is None else int(row["last_number"]) + 1

    def open_box(self, bench: str) -> Payload | None:
        """Give the last tare's payload if its box was neither closed nor abandoned."""
        row = self._bench(bench)
        return None if row is None or row["open_box"] is None else json.loads(row["open_box"])

    def last_choice(self, bench: str) -> Choice | None:
        """Give what the bench chose last."""
        row = self._bench(bench)
        if row is None or row["choice"] is None:
            return None
        return from_payload(Choice, json.loads(row["choice"]))

    def last_person(self, bench: str) -> str | None:
        """Give who packs at the bench."""
        row = self._bench(bench)
        return None if row is None else row["person"]

    def last_check(self, bench: str) -> LastCheck | None:
        """Give the last check of the bench's scale that was finished or failed."""
        row = self._bench(bench)
        return None if row is None else rows.last_check(row["last_check"])

    def failed_checks(self) -> tuple[str, ...]:
        """Give the benches whose scale failed its last check."""
        found = self._all(select(t.benches).order_by(t.benches.c.bench))
        checks = ((row["bench"], rows.last_check(row["last_check"])) for row in found)
        return tuple(
            bench for bench, last in checks if last and last.check.outcome is Outcome.FAILED
        )

    def _bench(self, bench: str) -> rows.Row | None:
        return self._one(select(t.benches).where(t.benches.c.bench == bench))

    def load(self, code: str) -> Load | None:
        """Find a load."""
        row = self._one(select(t.loads).where(t.loads.c.load == code))
        return None if row is None else rows.load(row)

    def loads(self) -> tuple[Load, ...]:
        """Give all loads, newest first."""
        query = select(t.loads).order_by(t.loads.c.received_on.desc(), t.loads.c.load.desc())
        return tuple(map(rows.load, self._all(query)))

    def lots_on(self, day: date) -> tuple[Lot, ...]:
        """Give the lots of a pack date in the order of their codes."""
        query = select(t.lots).where(t.lots.c.packed_on == day.isoformat()).order_by(t.lots.c.code)
        return tuple(map(rows.lot, self._all(query)))

    def lots_of_code(self, code: str) -> tuple[Lot, ...]:
        """Give the lots that have a code; codes return after ten years."""
        query = select(t.lots).where(t.lots.c.code == code).order_by(t.lots.c.packed_on)
        return tuple(map(rows.lot, self._all(query)))

    def box(self, serial: str) -> Box | None:
        """Find a box by its serial."""
        row = self._one(_BOX, serial=serial)
        return None if row is None else rows.box(row)

    def boxes_on(self, day: date) -> tuple[Box, ...]:
        """Give a day's boxes in order of closing."""
        return self._boxes(t.boxes.c.packed_on == day.isoformat())

    def boxes_of_lot(self, lot: str) -> tuple[Box, ...]:
        """Give a lot's boxes in order of closing."""
        return self._boxes(t.boxes.c.lot == lot)

    def boxes_of_load(self, load: str) -> tuple[Box, ...]:
        """Give a load's boxes in order of closing."""
        return self._boxes(t.boxes.c.load == load)

    def _boxes(self, where: Any) -> tuple[Box, ...]:  # noqa: ANN401  # an SQL expression
        query = select(t.boxes).where(where).order_by(t.boxes.c.nr)
        return tuple(map(rows.box, self._all(query)))

    def cull(self, cull_id: str) -> Cull | None:
        """Find a cull entry."""
        row = self._one(select(t.culls).where(t.culls.c.id == cull_id))
        return None if row is None else rows.cull(row)

    def culls_on(self, day: date) -> tuple[Cull, ...]:
        """Give a day's culls in order of entry."""
        query = select(t.culls).where(t.culls.c.day == day.isoformat()).order_by(t.culls.c.nr)
        return tuple(map(rows.cull, self._all(query)))

    def day_of_cull(self, cull_id: str) -> date:
        """Give the day on which a cull was entered."""
        query = select(t.culls.c.day).where(t.culls.c.id == cull_id)
        return date.fromisoformat(self._all(query)[0]["day"])

    def culls_of_load(self, load: str) -> tuple[Cull, ...]:
        """Give a load's culls in order of entry."""
        query = select(t.culls).where(t.culls.c.load == load).order_by(t.culls.c.nr)
        return tuple(map(rows.cull, self._all(query)))

    def culls_of_lot(self, lot: Lot) -> tuple[Cull, ...]:
        """Give the culls of a lot, in order of entry."""
        of_lot = t.culls.c.lot == lot.code, t.culls.c.day == lot.packed_on.isoformat()
        query = select(t.culls).where(*of_lot).order_by(t.culls.c.nr)
        return tuple(map(rows.cull, self._all(query)))

    def facts_about(self, serial: str) -> tuple[Fact, ...]:
        """Give the facts that name a box, label states left out, in the order they were recorded."""
        named = t.facts.c.payload.contains(f'"{serial}"')
        query = select(t.facts).where(named, t.facts.c.kind.like("box%")).order_by(t.facts.c.nr)
        return tuple(map(rows.fact, self._all(query)))

    def next_cull_number(self) -> int:
        """Give the number of the next cull entry that has no id of its own."""
        return int(self._all(select(func.count().label("n")).select_from(t.culls))[0]["n"]) + 1

    def label_jobs(self, *states: JobState) -> tuple[LabelJob, ...]:
        """Give label jobs in those states, oldest first."""
        wanted = t.label_jobs.c.state.in_([state.value for state in states])
        query = select(t.label_jobs).where(wanted).order_by(t.label_jobs.c.nr)
        return tuple(map(rows.label_job, self._all(query)))

    def label_jobs_of(self, serial: str) -> tuple[LabelJob, ...]:
        """Give all label jobs of a box, oldest first."""
        of_box = t.label_jobs.c.serial == serial
        query = select(t.label_jobs).where(of_box).order_by(t.label_jobs.c.nr)
        return tuple(map(rows.label_job, self._all(query)))

    def facts(self) -> tuple[Fact, ...]:
        """Give all facts in the order they were recorded."""
        return tuple(map(rows.fact, self._all(select(t.facts).order_by(t.facts.c.nr))))

    def day_record(self, day: date) -> DayRecord:
        """Give everything recorded for a day.

        Raises:
            WorldFault: if the day was never opened here.
        """
        found = self._one(select(t.days).where(t.days.c.date == day.isoformat()))
        if found is None:
            raise WorldFault(Message("store.no_such_day", {"day": day.isoformat()}))
        lots = self.lots_on(day)
        return DayRecord(
            date=day,
            closed=not found["is_open"],
            setup=from_payload(Setup, json.loads(found["setup"])),
            loads=self._loads_for(day, lots),
            lots=lots,
            boxes=self.boxes_on(day),
            culls=self.culls_on(day),
            refused=self._refusals_on(day),
            happenings=self._happenings_on(day),
            heads=self._heads_on(day),
        )

    def _loads_for(self, day: date, lots: Sequence[Lot]) -> tuple[Load, ...]:
        """Give the loads received on a day and those of earlier days that its lots are made of."""
        fruit = {(lot.block, lot.cultivar, lot.picked_on) for lot in lots}
        query = select(t.loads).where(t.loads.c.received_on <= day.isoformat())
        found = map(rows.load, self._all(query.order_by(t.loads.c.received_on, t.loads.c.load)))
        return tuple(
            load
            for load in found
            if load.received_on == day or (load.block, load.cultivar, load.picked_on) in fruit
        )

    def _refusals_on(self, day: date) -> tuple[Refusal, ...]:
        of_day = t.refusals.c.day == day.isoformat()
        query = select(t.refusals).where(of_day).order_by(t.refusals.c.nr)
        return tuple(map(rows.refusal, self._all(query)))

    def _happenings_on(self, day: date) -> tuple[Happening, ...]:
        of_day = (t.facts.c.day == day.isoformat(), t.facts.c.kind.in_(HAPPENINGS))
        query = select(t.facts).where(*of_day).order_by(t.facts.c.nr)
        return tuple(map(_happening, map(rows.fact, self._all(query))))

    def _heads_on(self, day: date) -> dict[str, str]:
        of_day = t.facts.c.day == day.isoformat()
        query = select(t.facts.c.bench, t.facts.c.hash).where(of_day).order_by(t.facts.c.nr)
        return {row["bench"]: row["hash"] for row in self._all(query)}

    def _all(self, query: Select[Any], **values: object) -> Sequence[rows.Row]:
        with self.connection() as conn:
            return [dict(row) for row in conn.execute(query, values).mappings()]

    def _one(self, query: Select[Any], **values: object) -> rows.Row | None:
        found = self._all(query, **values)
        return found[0] if found else None

    def last_backup_at(self) -> str | None:
        """Give the UTC time of the last good backup."""
        query = select(func.max(t.facts.c.at).label("at"))
        found: str | None = self._all(query.where(t.facts.c.kind == Kind.BACKUP_MADE.value))[0][
            "at"
        ]
        return found

    def benches_with_open_box(self) -> tuple[str, ...]:
        """Give the benches whose last tared box was neither closed nor abandoned."""
        query = select(t.benches.c.bench).where(t.benches.c.open_box.is_not(None))
        return tuple(row["bench"] for row in self._all(query))


_BOX: Final = select(t.boxes).where(t.boxes.c.serial == bindparam("serial"))


def _happening(fact: Fact) -> Happening:
    return Happening(
        at=fact.at, bench=fact.bench, by=fact.by, kind=fact.kind.value, values=fact.payload
    )
