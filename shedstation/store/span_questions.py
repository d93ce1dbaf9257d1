"""Answer questions over several days at once, quickly however many boxes there are."""

import json
from datetime import date
from typing import Any, Final

from sqlalchemy import Column, Select, false, func, select

from shedstation.domain.farm import Setup
from shedstation.domain.fills import CullDay, Fill
from shedstation.domain.mass import Mass
from shedstation.domain.payload import from_payload
from shedstation.store import rows
from shedstation.store import tables as t
from shedstation.store.questions import Questions


class SpanQuestions(Questions):
    """The questions over several days that a data folder answers."""

    def fills_between(self, first: date, last: date) -> tuple[Fill, ...]:
        """Give how the standing boxes of some days were filled, in order of closing."""
        wanted = (t.boxes.c[name] for name in _FILL)
        in_span = t.boxes.c.packed_on.between(first.isoformat(), last.isoformat())
        query = select(*wanted).where(in_span, t.boxes.c.voided.is_(false())).order_by(t.boxes.c.nr)
        return tuple(map(rows.fill, self._all(query)))

    def targets_between(self, pack: str, first: date, last: date) -> dict[date, Mass]:
        """Give a pack's target on each day of a span, as that day's setup has it."""
        in_span = t.days.c.date.between(first.isoformat(), last.isoformat())
        setups = (
            (date.fromisoformat(row["date"]), from_payload(Setup, json.loads(row["setup"])))
            for row in self._all(select(t.days.c.date, t.days.c.setup).where(in_span))
        )
        found = ((day, setup.pack_or_none(pack)) for day, setup in setups)
        return {day: each.target for day, each in found if each is not None}

    def cull_days(self, first: date, last: date) -> tuple[CullDay, ...]:
        """Count culls and standing boxes for each day of a span that has any, in order."""
        span = first.isoformat(), last.isoformat()
        standing = t.boxes.c.packed_on.between(*span), t.boxes.c.voided.is_(false())
        boxes = _counted(t.boxes.c.packed_on, t.boxes.c.count, *standing)
        culls = _counted(t.culls.c.day, t.culls.c.count, t.culls.c.day.between(*span))
        culled = {row["day"]: row for row in self._all(culls)}
        packed = {row["day"]: row for row in self._all(boxes)}
        days = sorted(culled.keys() | packed.keys())
        return tuple(rows.cull_day(day, culled.get(day), packed.get(day)) for day in days)


_FILL: Final = ("pack", "packed_on", "bench", "by", "net", "net_on_label")


def _counted(day: Column[Any], count: Column[Any], *where: Any) -> Select[Any]:  # noqa: ANN401  # SQL
    """Count rows, fruit, and rows without a count, day by day."""
    rows_, counted = func.count(), func.count(count)
    fruit = func.coalesce(func.sum(count), 0)
    columns = day.label("day"), rows_.label("rows"), fruit.label("fruit")
    uncounted = (rows_ - counted).label("uncounted")
    return select(*columns, uncounted).where(*where).group_by(day)
