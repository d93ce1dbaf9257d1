"""Turn rows of the query tables into the domain's values."""

import json
from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from shedstation.domain.box import Box, LabelJob
from shedstation.domain.check_findings import LastCheck
from shedstation.domain.culls import Cull
from shedstation.domain.day import Refusal
from shedstation.domain.errors import WorldFault
from shedstation.domain.facts import Fact, Kind
from shedstation.domain.fills import CullDay, Fill
from shedstation.domain.intake import Load, Share
from shedstation.domain.load_balance import HeldChange
from shedstation.domain.lot import Lot
from shedstation.domain.mass import Mass, parse_mass
from shedstation.domain.message import Message
from shedstation.domain.payload import from_payload
from shedstation.domain.scale_check import ScaleCheck

Row = Mapping[str, Any]


def box(row: Row) -> Box:
    """Give a box; what its scale told of the fruit is kept as text."""
    told = row["fruit"]
    return from_payload(Box, {**row, "fruit": None if told is None else json.loads(told)})


@lru_cache(maxsize=4096)
def _mass(text: str) -> Mass:
    """Read a mass; over weeks of boxes the same few weights come again and again."""
    return parse_mass(text)


def fill(row: Row) -> Fill:
    """Give what a box was filled with; written out, since weeks of boxes are asked for at once."""
    return Fill(
        pack=row["pack"],
        packed_on=date.fromisoformat(row["packed_on"]),
        bench=row["bench"],
        by=row["by"],
        net=_mass(row["net"]),
        net_on_label=_mass(row["net_on_label"]),
    )


def cull_day(day: str, culled: Row | None, packed: Row | None) -> CullDay:
    """Give a day's culls and boxes from their counts; none stand where there were none."""
    return CullDay(
        day=date.fromisoformat(day),
        culled=culled["fruit"] if culled else 0,
        uncounted_entries=culled["uncounted"] if culled else 0,
        boxes=packed["rows"] if packed else 0,
        fruit=packed["fruit"] if packed else 0,
        uncounted_boxes=packed["uncounted"] if packed else 0,
    )


def cull(row: Row) -> Cull:
    """Give a cull entry."""
    return from_payload(Cull, row)


def lot(row: Row) -> Lot:
    """Give a lot."""
    return from_payload(Lot, row)


def refusal(row: Row) -> Refusal:
    """Give a refusal."""
    return from_payload(Refusal, row)


def load(row: Row) -> Load:
    """Give a load from its stored payload."""
    return from_payload(Load, json.loads(row["payload"]))


def held_change(fact: Fact) -> HeldChange:
    """Give what a fact about a holding room says: fruit put in, or what became of them."""
    payload = fact.payload
    if fact.kind is Kind.FRUIT_HELD:
        return HeldChange(put_in=from_payload(Share, payload))
    parts = {name: payload[name] for name in ("ready", "cull") if payload[name] is not None}
    return from_payload(HeldChange, parts)


def last_check(text: str | None) -> LastCheck | None:
    """Give a scale's last check from its stored text."""
    if text is None:
        return None
    kept = json.loads(text)
    day = date.fromisoformat(kept["day"])
    return LastCheck(day, from_payload(ScaleCheck, kept["check"]))


def label_job(row: Row) -> LabelJob:
    """Give a label job."""
    return from_payload(LabelJob, {**row, "fields": json.loads(row["fields"])})


def fact(row: Row) -> Fact:
    """Give a fact with its payload opened.

    Raises:
        WorldFault: if something else than a fact stands there.
    """
    try:
        kind, payload = Kind(row["kind"]), json.loads(row["payload"])
    except ValueError as wrong:
        values = {"bench": row["bench"], "seq": row["seq"]}
        raise WorldFault(Message("store.fact_unreadable", values)) from wrong
    return Fact(
        kind=kind,
        bench=row["bench"],
        at=row["at"],
        by=row["by"],
        payload=payload,
        version=row["version"],
        uid=row["uid"],
        seq=row["seq"],
        hash=row["hash"],
    )
