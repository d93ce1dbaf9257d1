"""A careless packer at a practice scale: a box closed on weight holds it, or is asked for again."""

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import IS_LONG
from driving import DAY, Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.bootstrap.practice import practice_setup
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.rows import language
from shedstation.devices.practice.scale import PracticeScale
from shedstation.domain.bench_sequence import Step
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import LineBack, LineLost
from shedstation.station.actions import (
    AbandonBox,
    Action,
    Choose,
    CloseBox,
    OpenDay,
    ReceiveLoad,
    TareBox,
)
from shedstation.station.replay import DayClock
from shedstation.station.station import Station
from shedstation.store.ledger import SqlLedger
from shedstation.words import Words

STEPS = 150
NEAR = 4
"""Two divisions once after the tare and once after a break are taken for the same box."""

SEEDS = [random.randrange(10**9) for _ in range(300)] if IS_LONG else list(range(20))
CARELESS = [
    "fruit_in", "fruit_out", "tare_key", "zero_key", "tare", "close", "lift", "bounce", "unplug",
    "unplug_and_change", "shake", "wait", "abandon",
]  # fmt: skip


class Chaos:
    """Knows what is really on the pan, in hundredths of a pound."""

    def __init__(self, ledger: SqlLedger, setup: Setup, seed: int, *, has_mode: bool) -> None:
        self.dice = random.Random(seed)
        clock = DayClock("UTC", DAY)
        self.station = Station(ledger=ledger, spool=Spool(), clock=clock, say=Words("en").say)
        self.station.set_up(setup, at_s=0.0)
        made = replace(practice_setup("status-comma"), has_mode=has_mode)
        self.scale = PracticeScale(made, random.Random(seed))
        self.decoder = Decoder(language("status-comma"))
        self.is_plugged = True
        self.now = 0.0
        self.box: int | None = None
        self.fruit = 0
        self.really: dict[str, int] = {}
        self.asked_again: set[str] = set()
        self.ask(OpenDay, date=DAY)
        self.ask(ReceiveLoad, load="L1", block="WR", cultivar="KENT", picked_on=DAY)
        self.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")
        self.wait()

    def ask(self, kind: type[Action], **fields: Any) -> None:
        self.station.carry_out(kind(at_s=self.now, bench="B1", **fields))

    def wait(self, seconds: float | None = None) -> None:
        self.now = round(self.now + (seconds or self.dice.choice([0.3, 1.0, 1.5, 2.0])), 3)
        for at_s, data in self.scale.frames_until(self.now):
            if self.is_plugged:
                for event in self.decoder.feed(at_s, data):
                    self.station.hear("B1", event)
                    self.note()

    def note(self) -> None:
        """Note what was really in a box at the moment it closed."""
        view = self.station.view("B1")
        last = view.last_box
        if view.say.name == "bench.weigh_again":
            self.asked_again.add(str(view.say.values["serial"]))
        if last is not None:
            self.really.setdefault(last.serial, self.fruit)

    def sensibly(self) -> None:
        """Do what the screen would have a packer do."""
        step = self.station.view("B1").step
        if self.box is None:
            self.put_box()
        elif step is Step.BOX_ON and self.fruit == 0:
            self.dice.choice([self.tare, self.tare, self.tare_key, self.zero_key])()
        elif step is Step.FILLING and self.fruit < 2500:
            self.change(self.dice.randint(2500, 2530) - self.fruit)
        elif step is Step.FILLING:
            self.close()
        else:
            self.lift()

    def put_box(self) -> None:
        self.box = self.dice.randint(140, 200)
        self.scale.put(Mass(self.box, 2, Unit.LB))

    def change(self, fruit: int) -> None:
        if self.box is not None and self.fruit + fruit >= 0:
            self.fruit += fruit
            self.scale.put(Mass(fruit, 2, Unit.LB))

    def fruit_in(self) -> None:
        self.change(self.dice.randint(60, 180))

    def fruit_out(self) -> None:
        self.change(-self.dice.randint(60, 180))

    def tare_key(self) -> None:
        self.scale.press_tare()

    def zero_key(self) -> None:
        self.scale.press_zero()

    def tare(self) -> None:
        self.ask(TareBox)

    def close(self) -> None:
        self.ask(CloseBox)
        self.note()

    def lift(self) -> None:
        self.scale.clear()
        self.box, self.fruit = None, 0
        self.wait(1.0)  # no hand changes boxes faster than the scale can show it

    def bounce(self) -> None:
        if self.box is not None:
            self.scale.clear()
            self.wait()
            self.scale.put(Mass(self.box + self.fruit, 2, Unit.LB))

    def unplug(self) -> None:
        self.is_plugged = False
        self.station.hear("B1", LineLost(self.now))
        self.decoder.restart()
        self.wait()
        self.is_plugged = True
        self.station.hear("B1", LineBack(self.now))

    def unplug_and_change(self) -> None:
        self.dice.choice([self.fruit_in, self.lift, self.zero_key])()
        self.unplug()

    def shake(self) -> None:
        self.scale.shake()

    def abandon(self) -> None:
        self.ask(AbandonBox, reason="careless")


@pytest.mark.parametrize("has_mode", [True, False])
def test_that_a_box_closed_on_weight_holds_that_weight(
    sample_setup: Setup, tmp_path: Path, *, has_mode: bool
) -> None:
    closed = 0
    for seed in SEEDS:
        with open_ledger(tmp_path / str(seed)) as ledger:
            chaos = Chaos(ledger, sample_setup, seed, has_mode=has_mode)
            for _ in range(STEPS):
                if chaos.dice.random() < 0.8:
                    chaos.sensibly()
                else:
                    getattr(chaos, chaos.dice.choice(CARELESS), chaos.wait)()
                chaos.wait()
            chaos.lift()
            for box in ledger.boxes_on(DAY):
                closed += 1
                off = abs(box.net.count - chaos.really[box.serial])
                assert off <= NEAR or box.serial in chaos.asked_again, (seed, box.serial)
    assert closed > 5 * len(SEEDS)
