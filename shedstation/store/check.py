"""Say whether the data is whole, and whether anything waits for a person."""

from collections.abc import Iterator
from dataclasses import dataclass

from shedstation.domain.box import JobState
from shedstation.domain.message import Message
from shedstation.store.chain_check import chain_findings
from shedstation.store.ledger import SqlLedger
from shedstation.store.rebuild import differing_tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What a check found."""

    facts: int
    boxes: int
    heads: dict[str, str]
    damage: tuple[Message, ...]
    """What is wrong with the data; nothing means whole."""

    waiting: tuple[Message, ...]
    """What waits for a person."""

    @property
    def is_clear(self) -> bool:
        """Tell whether the data is whole and nothing waits."""
        return not self.damage and not self.waiting


def check(ledger: SqlLedger) -> Report:
    """Check a data folder's database from end to end.

    Raises:
        WorldFault: if the file cannot be read.
    """
    facts = ledger.facts()
    return Report(
        facts=len(facts),
        boxes=sum(fact.kind.value == "box_closed" for fact in facts),
        heads=ledger.heads(),
        damage=(*_file_findings(ledger), *chain_findings(facts)),
        waiting=tuple(_waiting(ledger)),
    )


def _file_findings(ledger: SqlLedger) -> list[Message]:
    with ledger.connection() as conn:
        said = conn.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        found = [Message("store.file_damaged", {"why": each}) for each in said if each != "ok"]
        if found:
            return found
        tables = differing_tables(conn)
    return [Message("store.table_differs", {"table": each}) for each in tables]


def _waiting(ledger: SqlLedger) -> Iterator[Message]:
    for job in ledger.label_jobs(JobState.SENDING):
        yield Message("store.did_label_come_out", {"serial": job.serial})
    for job in ledger.label_jobs(JobState.QUEUED):
        yield Message("store.label_waits", {"serial": job.serial})
    for job in ledger.label_jobs(JobState.FAILED):
        if ledger.label_jobs_of(job.serial)[-1].job == job.job:
            yield Message("store.label_failed", {"serial": job.serial, "why": job.why or ""})
    open_day = ledger.open_day()
    if open_day is not None:
        yield Message("store.day_left_open", {"day": open_day})
    yield from _at_benches(ledger)


def _at_benches(ledger: SqlLedger) -> Iterator[Message]:
    for bench in ledger.failed_checks():
        yield Message("store.scale_failed", {"bench": bench})
    for bench in ledger.benches_with_audit():
        yield Message("store.audit_going", {"bench": bench})
    for bench in ledger.benches_with_open_box():
        yield Message("store.box_left_open", {"bench": bench})
