"""Describe the tables: the facts, and what is kept ready to be asked.

`nr` counts facts over all benches in the order they were recorded; rows made of a fact carry it.
"""

from typing import Final

from sqlalchemy import (
    Boolean,
    Column,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    false,
)

METADATA: Final = MetaData()

facts: Final = Table(
    "facts",
    METADATA,
    Column("bench", String(8), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("nr", Integer, nullable=False, unique=True),
    Column("uid", String(36), nullable=False, unique=True),
    Column("at", String(24), nullable=False),
    Column("day", String(10)),
    Column("kind", String(32), nullable=False),
    Column("version", Integer, nullable=False),
    Column("by", String(32)),
    Column("payload", Text, nullable=False),
    Column("hash", String(64), nullable=False),
    Index("facts_by_day", "day", "kind"),
)

setups: Final = Table(
    "setups",
    METADATA,
    Column("one", Integer, primary_key=True),
    Column("payload", Text, nullable=False),
)

days: Final = Table(
    "days",
    METADATA,
    Column("date", String(10), primary_key=True),
    Column("is_open", Boolean, nullable=False, index=True),
    Column("setup", Text, nullable=False),
)

loads: Final = Table(
    "loads",
    METADATA,
    Column("load", String(32), primary_key=True),
    Column("received_on", String(10), nullable=False, index=True),
    Column("payload", Text, nullable=False),
)

lots: Final = Table(
    "lots",
    METADATA,
    Column("packed_on", String(10), primary_key=True),
    Column("code", String(6), primary_key=True),
    Column("block", String(32), nullable=False),
    Column("cultivar", String(32), nullable=False),
    Column("picked_on", String(10), nullable=False),
    Index("lots_by_code", "code"),
    Index("lots_by_fruit", "packed_on", "block", "cultivar", "picked_on", unique=True),
)

boxes: Final = Table(
    "boxes",
    METADATA,
    Column("serial", String(16), primary_key=True),
    Column("nr", Integer, nullable=False, unique=True),
    Column("lot", String(6), nullable=False, index=True),
    Column("load", String(32), nullable=False, index=True),
    Column("block", String(32), nullable=False),
    Column("cultivar", String(32), nullable=False),
    Column("picked_on", String(10), nullable=False),
    Column("packed_on", String(10), nullable=False, index=True),
    Column("pack", String(64), nullable=False),
    Column("grade", String(32), nullable=False),
    Column("gross", String(24), nullable=False),
    Column("tare", String(24), nullable=False),
    Column("tare_by", String(8), nullable=False),
    Column("net", String(24), nullable=False),
    Column("net_on_label", String(24), nullable=False),
    Column("verdict", String(8), nullable=False),
    Column("override_reason", Text),
    Column("count", Integer),
    Column("voided", Boolean, nullable=False),
    Column("void_reason", Text),
    Column("at", String(24), nullable=False),
    Column("bench", String(8), nullable=False),
    Column("by", String(32)),
    Column("revision", Integer, nullable=False),
    Column("room", String(32)),
    Column("dispatched_to", String(32)),
    Column("by_hand", Boolean, nullable=False, server_default=false()),
    Column("fruit", Text),
)

culls: Final = Table(
    "culls",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("nr", Integer, nullable=False, unique=True),
    Column("day", String(10), nullable=False),
    Column("load", String(32), nullable=False),
    Column("lot", String(6), nullable=False, index=True),
    Column("block", String(32), nullable=False),
    Column("cultivar", String(32), nullable=False),
    Column("defect", String(32), nullable=False),
    Column("count", Integer),
    Column("weight", String(24)),
    Column("where", String(8), nullable=False),
    Column("at", String(24), nullable=False),
    Column("by", String(32)),
    Column("corrected", Boolean, nullable=False),
    Index("culls_by_day", "day", "defect"),
)

label_jobs: Final = Table(
    "label_jobs",
    METADATA,
    Column("job", String(24), primary_key=True),
    Column("nr", Integer, nullable=False, unique=True),
    Column("serial", String(16), nullable=False, index=True),
    Column("revision", Integer, nullable=False),
    Column("copy_no", Integer, nullable=False),
    Column("reason", String(12), nullable=False),
    Column("template", String(64), nullable=False),
    Column("fields", Text, nullable=False),
    Column("state", String(8), nullable=False, index=True),
    Column("at", String(24), nullable=False),
    Column("why", Text),
)

refusals: Final = Table(
    "refusals",
    METADATA,
    Column("nr", Integer, primary_key=True),
    Column("day", String(10), index=True),
    Column("line", Integer),
    Column("at_s", String(24), nullable=False),
    Column("do", String(24), nullable=False),
    Column("code", String(32), nullable=False),
    Column("why", Text, nullable=False),
    Column("at", String(24), nullable=False),
    Column("bench", String(8), nullable=False),
)

reweighs: Final = Table(
    "reweighs",
    METADATA,
    Column("nr", Integer, primary_key=True),
    Column("serial", String(16), nullable=False, index=True),
    Column("packed_at", String(24), nullable=False),
    Column("at", String(24), nullable=False),
    Column("gross", String(24), nullable=False),
    Column("tare", String(24), nullable=False),
    Column("net_then", String(24), nullable=False),
    Column("net", String(24), nullable=False),
    Column("room", String(32)),
    Column("audit", String(64), index=True),
    Column("by_hand", Boolean, nullable=False),
)
"""Boxes weighed again; what fruit is in them stands in their own rows, where it may be corrected."""

audits: Final = Table(
    "audits",
    METADATA,
    Column("audit", String(64), primary_key=True),
    Column("nr", Integer, nullable=False, unique=True),
    Column("day", String(10)),
    Column("bench", String(8), nullable=False),
    Column("begun", Text, nullable=False),
    Column("result", Text),
    Index("audits_of_bench", "bench", "nr"),
)
"""Audits as they were begun, boxes replaced since then; `result` is empty while one goes on."""

benches: Final = Table(
    "benches",
    METADATA,
    Column("bench", String(8), primary_key=True),
    Column("last_number", Integer, nullable=False),
    Column("open_box", Text),
    Column("choice", Text),
    Column("person", String(32)),
    Column("last_check", Text),
    Column("cups", Text),
)
"""What must outlive a stop at each bench: its last box number, its open box, what it packs, who packs,
how its scale did when it was last checked, what stands in the cups beside it."""

QUERY_TABLES: Final = (
    setups,
    days,
    loads,
    lots,
    boxes,
    culls,
    label_jobs,
    refusals,
    reweighs,
    audits,
    benches,
)
"""All tables that are made of the facts and can be made again."""
