"""Answer questions about audits and boxes weighed again."""

import json
from typing import Final

from sqlalchemy import Table, func, select

from shedstation.domain.audit import Audit, AuditSoFar
from shedstation.domain.audit_result import AuditResult
from shedstation.domain.payload import from_payload
from shedstation.domain.reweighing import BoxReweigh
from shedstation.store import rows
from shedstation.store import tables as t
from shedstation.store.questions import Questions


class AuditQuestions(Questions):
    """The questions about audits that a data folder answers."""

    def reweighs(self) -> tuple[BoxReweigh, ...]:
        """Give all boxes weighed again, in order, with the fruit their boxes hold after corrections."""
        return tuple(map(_reweigh, self._all(_REWEIGHS)))

    def reweighs_so_far(self) -> int:
        """Give how many boxes were weighed again."""
        return self._count(t.reweighs)

    def _count(self, table: Table) -> int:
        return int(self._all(select(func.count().label("n")).select_from(table))[0]["n"])

    def audit_going(self, bench: str) -> AuditSoFar | None:
        """Give the audit that goes on at a bench, if one does."""
        going = (t.audits.c.bench == bench, t.audits.c.result.is_(None))
        row = self._one(select(t.audits).where(*going))
        if row is None:
            return None
        reweighs = self._all(_REWEIGHS.where(t.reweighs.c.audit == row["audit"]))
        begun = from_payload(Audit, json.loads(row["begun"]))
        return AuditSoFar(audit=begun, reweighs=tuple(map(_reweigh, reweighs)))

    def next_audit_number(self) -> int:
        """Give the number of the next audit."""
        return self._count(t.audits) + 1

    def benches_with_audit(self) -> tuple[str, ...]:
        """Give the benches at which an audit goes on."""
        going = select(t.audits.c.bench).where(t.audits.c.result.is_(None))
        return tuple(row["bench"] for row in self._all(going.order_by(t.audits.c.nr)))

    def last_audit(self, bench: str) -> AuditResult | None:
        """Give what the last audit at a bench came to."""
        done = (t.audits.c.bench == bench, t.audits.c.result.is_not(None))
        row = self._one(select(t.audits).where(*done).order_by(t.audits.c.nr.desc()).limit(1))
        return None if row is None else from_payload(AuditResult, json.loads(row["result"]))


_REWEIGHS: Final = (
    select(t.reweighs, t.boxes.c.cultivar, t.boxes.c.packed_on)
    .join(t.boxes, t.boxes.c.serial == t.reweighs.c.serial)
    .order_by(t.reweighs.c.nr)
)


def _reweigh(row: rows.Row) -> BoxReweigh:
    return from_payload(BoxReweigh, row)
