"""State what the station needs from outside: a ledger, a spool and a clock."""

from collections.abc import Sequence
from datetime import date, time
from typing import Protocol

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.audit_result import AuditResult
from shedstation.domain.box import Box, JobState, LabelJob
from shedstation.domain.check_findings import LastCheck
from shedstation.domain.choice import Choice
from shedstation.domain.culls import Cull
from shedstation.domain.day import DayRecord
from shedstation.domain.facts import Draft, Fact, Payload
from shedstation.domain.farm import Setup
from shedstation.domain.fills import CullDay, Fill
from shedstation.domain.intake import Load
from shedstation.domain.kept_cups import KeptCup, KeptCups
from shedstation.domain.load_balance import HeldChange
from shedstation.domain.lot import Lot
from shedstation.domain.mass import Mass
from shedstation.domain.reweighing import BoxReweigh


class Ledger(Protocol):
    """Keeps the facts and answers from the tables made of them."""

    def record(self, drafts: Sequence[Draft]) -> tuple[Fact, ...]:
        """Record the drafts together or not at all; when this returns, they are on the disk.

        Raises:
            WorldFault: if the disk or the data folder is at fault; nothing was recorded.
        """

    def setup(self) -> Setup | None:
        """Give the farm's setup, or none on a new machine."""

    def open_day(self) -> date | None:
        """Give the date of the day that is open, if one is."""

    def day_exists(self, day: date) -> bool:
        """Tell whether the day was ever opened here."""

    def next_number(self, bench: str) -> int:
        """Give the number of the bench's next box; numbers never restart and are never reused."""

    def load(self, code: str) -> Load | None:
        """Find a load."""

    def loads(self) -> tuple[Load, ...]:
        """Give all loads, newest first."""

    def lots_on(self, day: date) -> tuple[Lot, ...]:
        """Give the lots of a pack date in the order of their codes."""

    def box(self, serial: str) -> Box | None:
        """Find a box by its serial."""

    def boxes_on(self, day: date) -> tuple[Box, ...]:
        """Give a day's boxes in order of closing."""

    def fills_between(self, first: date, last: date) -> tuple[Fill, ...]:
        """Give how the standing boxes of some days were filled, in order of closing."""

    def targets_between(self, pack: str, first: date, last: date) -> dict[date, Mass]:
        """Give a pack's target on each day of a span, as that day's setup has it."""

    def cull_days(self, first: date, last: date) -> tuple[CullDay, ...]:
        """Count culls and standing boxes for each day of a span that has any, in order."""

    def boxes_of_lot(self, lot: str) -> tuple[Box, ...]:
        """Give a lot's boxes in order of closing."""

    def boxes_of_load(self, load: str) -> tuple[Box, ...]:
        """Give a load's boxes in order of closing."""

    def cull(self, cull_id: str) -> Cull | None:
        """Find a cull entry."""

    def culls_on(self, day: date) -> tuple[Cull, ...]:
        """Give a day's culls in order of entry."""

    def day_of_cull(self, cull_id: str) -> date:
        """Give the day on which a cull was entered."""

    def culls_of_load(self, load: str) -> tuple[Cull, ...]:
        """Give a load's culls in order of entry."""

    def next_cull_number(self) -> int:
        """Give the number of the next cull entry that has no id of its own."""

    def label_jobs(self, *states: JobState) -> tuple[LabelJob, ...]:
        """Give label jobs in those states, oldest first."""

    def label_jobs_of(self, serial: str) -> tuple[LabelJob, ...]:
        """Give all label jobs of a box, oldest first."""

    def open_box(self, bench: str) -> Payload | None:
        """Give the payload of the bench's last tare if its box was neither closed nor abandoned."""

    def last_choice(self, bench: str) -> Choice | None:
        """Give what the bench chose last, on any day."""

    def last_person(self, bench: str) -> str | None:
        """Give who was said to pack at the bench last."""

    def last_check(self, bench: str) -> LastCheck | None:
        """Give the last check of the bench's scale with test weights that was finished or failed."""

    def cups(self, bench: str) -> KeptCups:
        """Give what stands in the cups beside a bench's scale."""

    def cups_of_load(self, load: str) -> tuple[KeptCup, ...]:
        """Give the fruit of a load that stand in cups, at all benches."""

    def held_of_load(self, load: Load) -> tuple[HeldChange, ...]:
        """Give what went into holding rooms of a load and came out again, in order."""

    def reweighs(self) -> tuple[BoxReweigh, ...]:
        """Give all boxes weighed again, in order, with the fruit their boxes hold after corrections."""

    def reweighs_so_far(self) -> int:
        """Give how many boxes were weighed again."""

    def audit_going(self, bench: str) -> AuditSoFar | None:
        """Give the audit that goes on at a bench, if one does."""

    def next_audit_number(self) -> int:
        """Give the number of the next audit."""

    def last_audit(self, bench: str) -> AuditResult | None:
        """Give what the last audit at a bench came to."""

    def day_record(self, day: date) -> DayRecord:
        """Give everything recorded for a day.

        Raises:
            WorldFault: if the day was never opened here.
        """


class Spool(Protocol):
    """Hands a label to whatever prints."""

    def hand_over(self, job: LabelJob) -> None:
        """Hand the label over; returning means handed over, not on paper.

        Raises:
            WorldFault: if the printer or the folder refused it.
        """


class Clock(Protocol):
    """Says what UTC time a moment on the readings' clock is."""

    def utc(self, at_s: float) -> str:
        """Give ISO 8601 UTC with milliseconds and Z."""

    def begin(self, day: date, starts_at: time) -> None:
        """Note when the day's zero is; a live clock has its own zero and ignores it."""
