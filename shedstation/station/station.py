"""Carry out what people ask and hear what scales say, one thing at a time."""

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.box import JobState, LabelJob
from shedstation.domain.day import Refusal
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Json, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.domain.payload import to_payload
from shedstation.domain.reading import LineBack, LineLost, Reading, ScaleEvent
from shedstation.domain.scale_check import ScaleCheck
from shedstation.station import auditing, cups, labelling, packing
from shedstation.station.actions import (
    DO_NAME,
    Action,
    ChoosePerson,
    LabelCameOut,
    OpenDay,
    Press,
    PrintBatch,
    Reprint,
)
from shedstation.station.advice import advice_after
from shedstation.station.bench_view import BenchView
from shedstation.station.benches import build_benches
from shedstation.station.handlers import HANDLERS, press
from shedstation.station.ports import Clock, Ledger, Spool
from shedstation.station.shed import Shed
from shedstation.station.viewing import view_of

_WITHOUT_DAY: Final = (OpenDay, ChoosePerson, LabelCameOut, Reprint, PrintBatch)


def random_seed(content: str) -> str:
    """Draw the seed of a live sample: nobody can know it before."""
    del content
    return secrets.token_hex(16)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of an action."""

    done: bool = False
    waiting: bool = False
    """Whether the press waits for a steady reading."""

    refusal: Refused | None = None
    advice: Message | None = None
    """What to think of, though it was done."""


class Station:
    """The station: all use cases behind one door."""

    def __init__(
        self,
        *,
        ledger: Ledger,
        spool: Spool,
        clock: Clock,
        say: Callable[[Message], str],
        tells_fruit: bool = False,
        draw_seed: Callable[[str], str] = random_seed,
    ) -> None:
        """Take up where the ledger stands: the setup, the open day, waiting labels, open boxes.

        Args:
            ledger: Keeps the facts.
            spool: Takes labels.
            clock: Says the UTC time of a moment.
            say: Says a message in words, for what is recorded as text.
            tells_fruit: Whether every fruit is told as it goes into the box; it costs time.
            draw_seed: Draws the seed of a random sample; a replay derives it from the content.
        """
        self._tells_fruit = tells_fruit
        self._shed = Shed(ledger=ledger, clock=clock, say=say, draw_seed=draw_seed)
        self._spool = spool
        self.default_day: date | None = None
        """The day that refusals belong to while none is open."""

        self.last_failure: LabelJob | None = None
        """The label that the spool refused last, until another is handed over."""

        self.last_refusal: Refused | None = None
        """Why the last thing asked was refused, also if it had waited for a steady weight."""

        self._shed.queued.extend(ledger.label_jobs(JobState.QUEUED))
        setup = ledger.setup()
        if setup is not None:
            self._build_benches(setup)

    @property
    def ledger(self) -> Ledger:
        """Get the ledger, for questions."""
        return self._shed.ledger

    @property
    def setup(self) -> Setup | None:
        """Get the farm's setup, none on a new machine."""
        return self._shed.ledger.setup()

    @property
    def day(self) -> date | None:
        """Get the date of the open day, if one is open."""
        return self._shed.day

    def set_up(self, setup: Setup, *, at_s: float, by: str | None = None) -> None:
        """Record a setup and go on with it.

        Raises:
            Refused: if a box is open, a scale is being checked or an audit goes on at a bench, or if cups
                that hold fruit would be there no more.
        """
        if any(bench.step.has_open_box for bench in self._shed.benches.values()):
            raise Refused("box_open")
        self._shed.refuse_if_busy()
        cups.refuse_filled(self._shed, setup)
        moment = Action(at_s=at_s, bench=setup.benches[0].name, by=by)
        self._shed.record(Kind.STATION_SET_UP, moment, to_payload(setup))
        self._shed.take_setup(setup)
        self._build_benches(setup)

    def _build_benches(self, setup: Setup) -> None:
        build_benches(self._shed, setup, self._refuse, tells_fruit=self._tells_fruit)

    def carry_out(self, action: Action) -> Outcome:
        """Carry out an action, or record why it is refused.

        Raises:
            WorldFault: if the disk is at fault; nothing was recorded then.
        """
        self.tick(action.at_s)
        bench = self._shed.benches.get(action.bench)
        if bench is not None:
            bench.disarm()
            # This action is the answer to what was asked, or something else is done instead.
            self.forget_count(action.bench)
        try:
            return self._carry_out(action)
        except Refused as refused:
            self._refuse(action, refused)
            return Outcome(refusal=refused)

    def forget_count(self, bench: str) -> None:
        """Ask no more how many fruit there are; the box stays open."""
        if bench in self._shed.fruit:
            self._shed.fruit[bench].asked = None

    def _carry_out(self, action: Action) -> Outcome:
        self._shed.bench(action.bench)
        self._shed.forget_drafts()
        if self._shed.day is None and not isinstance(action, _WITHOUT_DAY):
            raise Refused("day_not_open")
        if isinstance(action, Press):
            done = press(self._shed, action)
            return Outcome(done=done, waiting=not done)
        HANDLERS[type(action)](self._shed, action)
        return Outcome(done=True, advice=advice_after(self._shed, action))

    def _refuse(self, action: Action, refused: Refused) -> None:
        refusal = Refusal(
            line=action.line,
            at_s=f"{action.at_s:.6f}".rstrip("0").rstrip("."),
            do=DO_NAME[type(action)],
            code=refused.code,
            why=self._shed.say(refused.message),
            at=self._shed.clock.utc(action.at_s),
            bench=action.bench,
        )
        day = self._shed.day or self.default_day
        payload = {**to_payload(refusal), "day": None if day is None else day.isoformat()}
        self.last_refusal = refused
        self._shed.record(Kind.ACTION_REFUSED, action, payload)

    def hear(self, bench: str, event: ScaleEvent) -> None:
        """Take in what came from a bench's scale.

        Raises:
            WorldFault: if something had to be recorded and the disk is at fault.
        """
        check = self._shed.checks.get(bench)
        if check is not None and isinstance(event, Reading):
            check.hear(event)
        self._shed.empty_pan(bench).hear(event)
        if isinstance(event, Reading):
            packing.close_at_lift(self._shed, self._shed.benches[bench], event)
        self._shed.benches[bench].hear(event)
        if bench in self._shed.fruit and isinstance(event, Reading):
            self._shed.fruit[bench].see(self._shed.benches[bench])
            self._shed.trimming[bench].see(self._shed.benches[bench], self._shed.fruit[bench])
        if isinstance(event, Reading) or self._shed.day is None:
            return
        moment = Action(at_s=event.at_s, bench=bench)
        if isinstance(event, LineLost) and bench in self._shed.trimming:
            self._shed.trimming[bench].doubt("break", event.at_s)
        if isinstance(event, LineLost):
            self._shed.record(Kind.SCALE_LOST, moment, {"why": event.why})
        elif isinstance(event, LineBack):
            self._shed.record(Kind.SCALE_BACK, moment, {})

    def tick(self, at_s: float) -> None:
        """Let time pass at every bench."""
        for bench in self._shed.benches.values():
            bench.tick(at_s)

    def view(self, bench: str) -> BenchView:
        """Show what a bench is doing."""
        return view_of(self._shed.benches[bench], self._shed)

    def check_at(self, bench: str) -> ScaleCheck | None:
        """Give the check with test weights that is going on at a bench, if one is."""
        going = self._shed.checks.get(bench)
        return None if going is None else going.check

    def audit_at(self, bench: str) -> AuditSoFar | None:
        """Give the audit that is going on at a bench, if one is."""
        return self._shed.audits.get(bench)

    def shows_whole(self, bench: str) -> bool:
        """Tell whether a bench's pan was seen empty at zero, so that the scale shows a whole load."""
        return auditing.shows_whole(self._shed, self._shed.benches[bench])

    def print_next(self, at_s: float) -> bool:
        """Hand the next waiting label to the spool; tell whether there was one."""
        bench = next(iter(self._shed.benches), "")
        job = labelling.print_next(self._shed, self._spool, at_s, bench)
        self.last_failure = job if job is not None and job.state is JobState.FAILED else None
        return job is not None

    def note_backup(self, *, at_s: float, file: str, facts: int, heads: Mapping[str, str]) -> None:
        """Record that a verified backup was made."""
        moment = Action(at_s=at_s, bench=next(iter(self._shed.benches), ""))
        payload: dict[str, Json] = {"file": file, "facts": facts, "heads": dict(heads)}
        self._shed.record(Kind.BACKUP_MADE, moment, payload)
