"""From bytes to box in every language, with every way to an empty-box zero."""

import random
from dataclasses import replace
from pathlib import Path

import pytest
from driving import DAY, Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.bootstrap.practice import practice_setup
from shedstation.devices.languages.decode import Decoder, FindingDecoder
from shedstation.devices.languages.rows import language
from shedstation.devices.practice.scale import PracticeScale, PracticeSetup
from shedstation.devices.practice.voices.table import VOICES, voice
from shedstation.domain.box import TareBy
from shedstation.domain.farm import Bench, Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.steadiness import SteadinessJudge
from shedstation.station.actions import Choose, CloseBox, OpenDay, ReceiveLoad, TareBox
from shedstation.station.replay import DayClock
from shedstation.station.station import Station
from shedstation.words import Words


class Bytes:
    """A practice scale whose bytes go to a station."""

    def __init__(self, spoken: str, setup: Setup, folder_station: Station, *, finds: bool) -> None:
        self.scale = PracticeScale(practice_setup(spoken), random.Random(4))
        self.station = folder_station
        known = language(voice(spoken).language)
        self.decoder = FindingDecoder() if finds else Decoder(known)
        self.judge = SteadinessJudge(self.scale.setup.division)
        self.bench = setup.benches[0].name
        self.now = 0.0

    def wait(self, seconds: float) -> None:
        self.now = round(self.now + seconds, 3)
        for at_s, data in self.scale.frames_until(self.now):
            for event in self.decoder.feed(at_s, data):
                self.station.hear(self.bench, self.judge.judged(event))

    def put(self, mass: Mass) -> None:
        self.scale.put(mass)
        self.wait(2.5)

    def ask(self, kind: type, **fields: object) -> None:
        outcome = self.station.carry_out(kind(at_s=self.now, bench=self.bench, **fields))
        assert outcome.refusal is None, outcome.refusal
        self.wait(1.0)


def speaking(spoken: str, sample: Setup) -> Setup:
    made = practice_setup(spoken)
    bench = Bench(
        name="B1", scale=spoken, unit=made.unit, division=made.division, capacity=made.capacity
    )
    return replace(sample, benches=(bench,))


def mass(pounds_hundredths: int, made: PracticeSetup) -> Mass:
    """Give a mass near some hundredths of a pound in whole divisions of a scale."""
    wanted = Mass(pounds_hundredths, 2, Unit.LB).nanograms
    return made.division * round(wanted / made.division.nanograms)


@pytest.mark.parametrize("way", ["station", "tare key", "zero key"])
@pytest.mark.parametrize("spoken", [each.name for each in VOICES if not each.prints_only])
def test_that_a_box_is_tared_filled_and_closed_exactly(
    spoken: str, way: str, sample_setup: Setup, tmp_path: Path
) -> None:
    setup = speaking(spoken, sample_setup)
    with open_ledger(tmp_path) as ledger:
        clock = DayClock("UTC", DAY)
        station = Station(ledger=ledger, spool=Spool(), clock=clock, say=Words("en").say)
        station.set_up(setup, at_s=0.0)
        bench = Bytes(spoken, setup, station, finds=way == "tare key")
        bench.ask(OpenDay, date=DAY)
        bench.ask(ReceiveLoad, load="L1", block="WR", cultivar="KENT", picked_on=DAY)
        bench.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")
        bench.wait(2.0)
        made = bench.scale.setup
        empty, fruit = mass(164, made), mass(2510, made)
        for number in range(2):
            bench.put(empty)
            if way == "station":
                bench.ask(TareBox)
            else:
                press = bench.scale.press_tare if way == "tare key" else bench.scale.press_zero
                press()
                bench.wait(1.5)
            bench.put(fruit)
            bench.ask(CloseBox)
            bench.scale.clear()
            bench.wait(2.5)
            if way != "station" and number == 0:
                bench.wait(1.0)
        boxes = ledger.boxes_on(DAY)
    assert [box.net for box in boxes] == [fruit.with_decimals(boxes[0].net.decimals)] * 2
    assert [box.tare for box in boxes] == [empty.with_decimals(boxes[0].tare.decimals)] * 2
    assert all(box.gross - box.tare == box.net for box in boxes)
    by = {"station": TareBy.STATION, "zero key": TareBy.ZERO}.get(
        way, TareBy.SCALE if voice(spoken).tells_mode else TareBy.ZERO
    )
    assert boxes[0].tare_by is by
