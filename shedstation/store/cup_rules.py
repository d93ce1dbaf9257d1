"""Keep what stands in the cups of each bench in its row, fact by fact."""

import json
from typing import Final

from sqlalchemy import Connection, bindparam, select
from sqlalchemy.dialects.sqlite import insert as upsert

from shedstation.domain.chain import canonical
from shedstation.domain.facts import Fact
from shedstation.domain.kept_cups import KeptCups, cups_after
from shedstation.domain.payload import from_payload, to_payload
from shedstation.store import tables as t

_CUPS: Final = select(t.benches.c.cups).where(t.benches.c.bench == bindparam("of_bench"))
_ROW: Final = upsert(t.benches).values(
    bench=bindparam("bench"), last_number=0, cups=bindparam("cups")
)
_KEEP: Final = _ROW.on_conflict_do_update(
    index_elements=["bench"], set_={"cups": _ROW.excluded.cups}
)


def kept_cups(text: str | None) -> KeptCups:
    """Give what a bench's row says of its cups; nothing stands in them before the first fact."""
    return KeptCups() if text is None else from_payload(KeptCups, json.loads(text))


def cups_changed(conn: Connection, fact: Fact) -> None:
    """Take in a fact about the cups of its bench."""
    before = kept_cups(conn.execute(_CUPS, {"of_bench": fact.bench}).scalar_one_or_none())
    after = canonical(to_payload(cups_after(before, fact)))
    conn.execute(_KEEP, {"bench": fact.bench, "cups": after})
