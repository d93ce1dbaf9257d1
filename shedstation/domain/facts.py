"""Name everything that can happen in a shed, in the past tense; facts are never changed."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum


class Kind(Enum):
    """What happened; the payload of each kind is written down beside its maker in `station`."""

    STATION_SET_UP = "station_set_up"
    DAY_OPENED = "day_opened"
    DAY_CLOSED = "day_closed"
    PERSON_CHOSEN = "person_chosen"
    LOAD_RECEIVED = "load_received"
    LOAD_CHOSEN = "load_chosen"
    CUP_FILLED = "cup_filled"
    CUP_EMPTIED = "cup_emptied"
    CUP_CORRECTED = "cup_corrected"
    CUPS_DOUBTED = "cups_doubted"
    BOX_TARED = "box_tared"
    BOX_CLOSED = "box_closed"
    BOX_ABANDONED = "box_abandoned"
    BOX_VOIDED = "box_voided"
    CULL_ENTERED = "cull_entered"
    FRUIT_HELD = "fruit_held"
    HELD_LOOKED_AT = "held_looked_at"
    WASH_CHECKED = "wash_checked"
    ROOM_READ = "room_read"
    SCALE_CHECKED = "scale_checked"
    SCALE_TESTED = "scale_tested"
    AUDIT_STARTED = "audit_started"
    AUDIT_BOX_REPLACED = "audit_box_replaced"
    BOX_REWEIGHED = "box_reweighed"
    AUDIT_JUDGED = "audit_judged"
    BOXES_MOVED = "boxes_moved"
    BOXES_DISPATCHED = "boxes_dispatched"
    BOXES_RETURNED = "boxes_returned"
    BOX_CORRECTED = "box_corrected"
    CULL_CORRECTED = "cull_corrected"
    LOAD_CORRECTED = "load_corrected"
    LABEL_QUEUED = "label_queued"
    LABEL_SENDING = "label_sending"
    LABEL_SENT = "label_sent"
    LABEL_FAILED = "label_failed"
    LABEL_ANSWERED = "label_answered"
    SCALE_LOST = "scale_lost"
    SCALE_BACK = "scale_back"
    ACTION_REFUSED = "action_refused"
    BACKUP_MADE = "backup_made"


Json = str | int | bool | None | list["Json"] | dict[str, "Json"]
"""What a payload may hold: no floats, masses and times as text."""

Payload = Mapping[str, Json]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A fact about to be recorded."""

    kind: Kind
    bench: str
    at: str
    """UTC time, ISO 8601 with milliseconds and Z: `2026-06-18T10:00:00.000Z`."""

    by: str | None
    """Code of the person who did it, where known."""

    payload: Payload
    version: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Draft):
    """A recorded fact: numbered per bench, hashed and chained to the bench's fact before it."""

    uid: str
    seq: int
    hash: str
