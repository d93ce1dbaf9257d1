"""Drive a station by hand in tests: readings and actions on a clock that only tests move."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from shedstation.domain.box import Box, LabelJob
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.message import Message
from shedstation.domain.reading import LineBack, LineLost, Mode, Reading, State
from shedstation.station.actions import Action, Choose, OpenDay, ReceiveLoad
from shedstation.station.bench_view import BenchView
from shedstation.station.replay import DayClock
from shedstation.station.station import Outcome, Station
from shedstation.store.ledger import SqlLedger
from shedstation.words import Words

DAY = date(2026, 6, 18)


@dataclass
class Spool:
    """Takes every label, or refuses as often as told."""

    refuses: int = 0
    taken: list[LabelJob] = field(default_factory=list)

    def hand_over(self, job: LabelJob) -> None:
        if self.refuses:
            self.refuses -= 1
            raise WorldFault(Message("labels.no_printer", {"printer": "P1"}))
        self.taken.append(job)


class Driver:
    """One bench and the hands at it."""

    def __init__(
        self, ledger: SqlLedger, setup: Setup, spool: Spool, *, tells_fruit: bool = False
    ) -> None:
        self.ledger = ledger
        self.spool = spool
        self.now = 100.0
        self.unit = Unit.LB
        self.mode = Mode.GROSS
        clock = DayClock(setup.farm.time_zone, DAY)
        self.station = Station(
            ledger=ledger,
            spool=spool,
            clock=clock,
            say=Words("en").say,
            tells_fruit=tells_fruit,
        )
        if ledger.setup() is None:
            self.station.set_up(setup, at_s=0.0)

    def open_day(self) -> None:
        self.ask(OpenDay, date=DAY)
        self.receive("L1", "WR", "KENT")
        self.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")

    def receive(self, load: str, block: str, cultivar: str, picked_on: date = DAY) -> Outcome:
        return self.ask(ReceiveLoad, load=load, block=block, cultivar=cultivar, picked_on=picked_on)

    def ask(self, kind: type[Action], **fields: Any) -> Outcome:
        return self.station.carry_out(kind(at_s=self.now, bench="B1", **fields))

    def code(self, kind: type[Action], **fields: Any) -> str | None:
        """Ask, and give the code of the refusal."""
        refusal = self.ask(kind, **fields).refusal
        return None if refusal is None else refusal.code

    def hear(
        self, text: str | None, state: State = State.STEADY, *, after: float = 0.2, **rest: Any
    ) -> None:
        self.now += after
        mass = None if text is None else parse_mass(text)
        self.station.hear("B1", Reading(self.now, mass, state, self.mode, **rest))

    def shows(self, number: str, *, times: int = 2, through: bool = True) -> None:
        """Let the scale move to a number of its unit and settle there."""
        mass = parse_mass(f"{number} {self.unit.value}")
        if through:
            reading = self.view.reading
            before = mass if reading is None or reading.mass is None else reading.mass
            half = Mass((mass.count + before.count) // 2, mass.decimals, mass.unit)
            self.hear(str(half), State.MOVING)
        for _ in range(times):
            self.hear(str(mass))

    def jumps(self, number: str) -> None:
        """Let the display jump, as it does at a press of the scale's own key."""
        self.shows(number, through=False)

    def lose_line(self, *, seconds: float = 5.0) -> None:
        self.station.hear("B1", LineLost(self.now, "unplugged"))
        self.now += seconds
        self.station.hear("B1", LineBack(self.now))

    def wait(self, seconds: float) -> None:
        self.now += seconds
        self.station.tick(self.now)

    @property
    def view(self) -> BenchView:
        return self.station.view("B1")

    @property
    def boxes(self) -> tuple[Box, ...]:
        return self.ledger.boxes_on(DAY)

    @property
    def refusals(self) -> list[str]:
        return [each.code for each in self.ledger.day_record(DAY).refused]
