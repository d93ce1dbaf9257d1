"""A careless weigher at a practice scale: what is recorded of a box is what stood on the pan."""

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from conftest import IS_LONG
from driving import DAY, Driver, Spool
from reweighing_hands import pack

from shedstation.bootstrap.headless import open_ledger
from shedstation.bootstrap.practice import practice_setup
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.rows import language
from shedstation.devices.practice.scale import PracticeScale
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import LineBack, LineLost
from shedstation.station.actions import Reweigh
from shedstation.store.ledger import SqlLedger

SEEDS = [random.randrange(10**9) for _ in range(300)] if IS_LONG else list(range(8))
STEPS = 150
NEAR = 2
"""Divisions; the practice scale's display trembles."""

CARELESS = ["tare_key", "zero_key", "lift", "swap", "unplug", "shake", "change", "press"]


class Weigher:
    """Knows what is really on the pan, in hundredths of a pound."""

    def __init__(self, ledger: SqlLedger, setup: Setup, seed: int, *, has_mode: bool) -> None:
        self.dice = random.Random(seed)
        self.bench = Driver(ledger, setup, Spool())
        self.bench.open_day()
        pack(self.bench, "25.05")
        self.now = self.bench.now + 10.0
        made = replace(practice_setup("status-comma"), has_mode=has_mode)
        self.scale = PracticeScale(made, random.Random(seed))
        self.decoder = Decoder(language("status-comma"))
        self.scale.frames_until(self.now)
        self.load = 0
        self.is_plugged = True
        self.really: list[int] = []
        self.armed_until = 0.0

    def wait(self) -> None:
        self.now = round(self.now + self.dice.choice([0.3, 1.0, 1.5, 2.0]), 3)
        for at_s, data in self.scale.frames_until(self.now):
            if self.is_plugged:
                for event in self.decoder.feed(at_s, data):
                    self.bench.station.hear("B1", event)
                    if at_s <= self.armed_until:
                        self.note()

    def note(self) -> None:
        """Note what was really on the pan when a reweigh was recorded."""
        recorded = len(self.bench.ledger.reweighs())
        self.really.extend([self.load] * (recorded - len(self.really)))

    def put(self, load: int) -> None:
        self.scale.put(Mass(load, 2, Unit.LB))
        self.load += load

    def sensibly(self) -> None:
        if self.load == 0 and not self.bench.station.shows_whole("B1"):
            self.dice.choice([self.zero_key, self.tare_key, self.wait])()
        elif self.load == 0:
            self.put(164 + self.dice.randint(2470, 2525))
        elif self.dice.random() < 0.6:
            self.press()
        else:
            self.lift()

    def press(self) -> None:
        fields: dict[str, Any] = {"at_s": self.now, "bench": "B1", "serial": "B1-000001"}
        self.bench.station.carry_out(Reweigh(**fields))
        self.armed_until = self.now + 3.5
        self.note()

    def lift(self) -> None:
        self.scale.clear()
        self.load = 0

    def swap(self) -> None:
        """Lift the box off and put another one on at once."""
        self.lift()
        self.wait()
        self.put(164 + self.dice.randint(2470, 2525))

    def change(self) -> None:
        """Put fruit in or take some out."""
        if self.load:
            self.put(self.dice.randint(-180, 180))

    def tare_key(self) -> None:
        self.scale.press_tare()

    def zero_key(self) -> None:
        self.scale.press_zero()

    def shake(self) -> None:
        self.scale.shake()

    def unplug(self) -> None:
        self.is_plugged = False
        self.bench.station.hear("B1", LineLost(self.now))
        self.decoder.restart()
        self.dice.choice([self.lift, self.zero_key, self.change])()
        self.wait()
        self.is_plugged = True
        self.bench.station.hear("B1", LineBack(self.now))


@pytest.mark.parametrize("has_mode", [True, False])
def test_that_what_is_recorded_stood_on_the_pan(
    sample_setup: Setup, tmp_path: Path, *, has_mode: bool
) -> None:
    recorded = 0
    for seed in SEEDS:
        with open_ledger(tmp_path / str(seed)) as ledger:
            weigher = Weigher(ledger, sample_setup, seed, has_mode=has_mode)
            for _ in range(STEPS):
                if weigher.dice.random() < 0.75:
                    weigher.sensibly()
                else:
                    getattr(weigher, weigher.dice.choice(CARELESS))()
                weigher.wait()
            assert ledger.boxes_on(DAY)[0].net.count == 2505
            for reweigh, really in zip(ledger.reweighs(), weigher.really, strict=True):
                recorded += 1
                assert abs(reweigh.gross.count - really) <= NEAR, (seed, reweigh.at)
    assert recorded > 5 * len(SEEDS)
