"""Keep the facts: append, apply and answer."""

import json
import uuid
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, func, insert, select

from shedstation.domain.chain import FIRST, canonical, content, link
from shedstation.domain.facts import Draft, Fact, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.payload import from_payload
from shedstation.store import tables as t
from shedstation.store.apply import Place, apply
from shedstation.store.audit_questions import AuditQuestions
from shedstation.store.span_questions import SpanQuestions

MakeUid = Callable[[Draft, int], str]

_ADD_FACT: Final = insert(t.facts)


def random_uid(draft: Draft, seq: int) -> str:
    """Make the uid of a live fact."""
    del draft, seq
    return str(uuid.uuid4())


class SqlLedger(AuditQuestions, SpanQuestions):
    """The ledger on a database; the writer's when `engine` may write, else a reader's."""

    def __init__(self, engine: Engine, folder: Path, *, make_uid: MakeUid = random_uid) -> None:
        """Take up where the file stands.

        Args:
            engine: From `connect.writer_engine` or `connect.reader_engine`, schema prepared.
            folder: The data folder, for sentences.
            make_uid: Gives the uid of a fact from its draft and its number at the bench.
        """
        super().__init__(engine, folder)
        self._make_uid = make_uid
        self._setup: Setup | None = None
        self._heads: dict[str, tuple[int, str]] = {}
        self._nr = 0
        self._open_day: str | None = None
        with self.connection() as conn:
            self._take_up(conn)

    def _take_up(self, conn: Connection) -> None:
        last = select(t.facts.c.bench, func.max(t.facts.c.seq)).group_by(t.facts.c.bench)
        for bench, seq in conn.execute(last).all():
            head = select(t.facts.c.hash).where(t.facts.c.bench == bench, t.facts.c.seq == seq)
            self._heads[bench] = (seq, conn.execute(head).scalar_one())
        self._nr = conn.execute(select(func.max(t.facts.c.nr))).scalar_one() or 0
        self._open_day = conn.execute(select(t.days.c.date).where(t.days.c.is_open)).scalar()
        setup = conn.execute(select(t.setups.c.payload)).scalar()
        self._setup = None if setup is None else from_payload(Setup, json.loads(setup))

    def record(self, drafts: Sequence[Draft]) -> tuple[Fact, ...]:
        """Record the drafts together or not at all; see `station.ports.Ledger`.

        Raises:
            WorldFault: if the disk or the file is at fault; nothing was recorded.
        """
        heads, nr, open_day = dict(self._heads), self._nr, self._open_day
        made: list[Fact] = []
        try:
            with self.connection() as conn:
                made.extend(self._append(conn, draft) for draft in drafts)
        except BaseException:
            self._heads, self._nr, self._open_day = heads, nr, open_day
            raise
        self._note_setup(made)
        return tuple(made)

    def _append(self, conn: Connection, draft: Draft) -> Fact:
        seq, head = self._heads.get(draft.bench, (0, FIRST))
        seq += 1
        uid = self._make_uid(draft, seq)
        text = content(draft, uid, seq)
        fact = Fact(
            kind=draft.kind,
            bench=draft.bench,
            at=draft.at,
            by=draft.by,
            payload=draft.payload,
            version=draft.version,
            uid=uid,
            seq=seq,
            hash=link(head, text),
        )
        self._nr += 1
        place = Place(self._nr, self._day_of(draft))
        conn.execute(_ADD_FACT, _fact_row(fact, place))
        apply(conn, fact, place)
        self._heads[draft.bench] = (seq, fact.hash)
        return fact

    def _day_of(self, draft: Draft) -> str | None:
        """Give the day a fact belongs to; opening and closing belong to the day they name."""
        if draft.kind is Kind.DAY_OPENED:
            self._open_day = str(draft.payload["date"])
        day = self._open_day
        if draft.kind is Kind.DAY_CLOSED:
            self._open_day = None
        if draft.kind is Kind.ACTION_REFUSED:
            named = draft.payload.get("day")
            return None if named is None else str(named)
        return day

    def _note_setup(self, made: Sequence[Fact]) -> None:
        for fact in made:
            if fact.kind is Kind.STATION_SET_UP:
                self._setup = from_payload(Setup, fact.payload)

    def setup(self) -> Setup | None:
        """Give the farm's setup, or none on a new machine."""
        return self._setup

    def heads(self) -> dict[str, str]:
        """Give each bench's chain head: the hash of its last fact."""
        return {bench: head for bench, (_, head) in sorted(self._heads.items())}

    def facts_count(self) -> int:
        """Give the number of facts."""
        return self._nr

    def open_day(self) -> date | None:
        """Give the date of the open day, if one is open."""
        return None if self._open_day is None else date.fromisoformat(self._open_day)


def _fact_row(fact: Fact, place: Place) -> dict[str, object]:
    return {
        "bench": fact.bench,
        "seq": fact.seq,
        "nr": place.nr,
        "uid": fact.uid,
        "at": fact.at,
        "day": place.day,
        "kind": fact.kind.value,
        "version": fact.version,
        "by": fact.by,
        "payload": canonical(dict(fact.payload)),
        "hash": fact.hash,
    }
