"""Hold what is known of one closed box and of the labels made for it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from shedstation.domain.fruit.told import FruitTold
from shedstation.domain.limits import Verdict
from shedstation.domain.mass import Mass
from shedstation.domain.payload import ADDED_LATER


class TareBy(Enum):
    """Who took the empty box off the weight: the station, the scale's tare key or its zero key."""

    STATION = "station"
    SCALE = "scale"
    ZERO = "zero"


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One closed box as its label and the day's record say it, after all corrections."""

    serial: str
    lot: str
    load: str
    block: str
    cultivar: str
    picked_on: date
    packed_on: date
    pack: str
    grade: str
    gross: Mass
    tare: Mass
    tare_by: TareBy
    net: Mass
    """Always gross minus tare, digit for digit."""

    net_on_label: Mass
    """The mass the label prints: the declared one, or this box's own net."""

    verdict: Verdict
    override_reason: str | None
    count: int | None
    """Fruit in the box, if someone counted; it wins over what the scale told."""

    voided: bool = False
    void_reason: str | None = None
    at: str = ""
    """UTC time of closing, ISO 8601 with Z."""

    bench: str = ""
    by: str | None = None
    revision: int = 1
    """Which label is the right one: 2 and more once a correction replaced the first."""

    room: str | None = None
    dispatched_to: str | None = None
    by_hand: bool = field(default=False, metadata=ADDED_LATER)
    """Whether its tare or its weight was typed by a person, not sent by the scale."""

    fruit: FruitTold | None = field(default=None, metadata=ADDED_LATER)
    """What the scale told of its fruit; none where they were not told."""

    @property
    def fruit_count(self) -> int | None:
        """Get how many fruit are in the box: as counted, else as told if that is sure."""
        if self.count is not None or self.fruit is None:
            return self.count
        return self.fruit.count


class JobState(Enum):
    """How far a label has come; what was sending when the station stopped is asked about."""

    QUEUED = "queued"
    SENDING = "sending"
    SENT = "sent"
    FAILED = "failed"
    LOST = "lost"
    """It did not come out: someone said so, or its box was voided or corrected before its turn."""


class JobReason(Enum):
    """Why a label is printed; bench labels go before batches."""

    CLOSED = "closed"
    CORRECTED = "corrected"
    REPRINT = "reprint"
    BATCH = "batch"


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelJob:
    """One label to be printed, with its text frozen when it was asked for."""

    job: str
    """Unique name: the serial, a dot and the number of the job for that box: `B1-000123.1`."""

    serial: str
    revision: int
    copy_no: int
    """0 for an original; 1, 2 ... for reprints, which are marked as copies."""

    reason: JobReason
    template: str
    fields: Mapping[str, str]
    """Printable text by field name, see `label_fields`."""

    state: JobState
    at: str
    """UTC time at which it was queued."""

    why: str | None = None
    """What went wrong, if it failed."""
