"""What stands in the cups outlives a restart, and is not used when it is not to be trusted."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from cup_packer import Packer, close, near_full, packer_with_cups, with_cups
from driving import Spool

from shedstation.bootstrap.headless import check_data, open_ledger
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.facts import Draft, Fact
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.domain.trim import Way
from shedstation.station.actions import (
    Choose,
    CloseDay,
    EmptyCups,
    TellCup,
)
from shedstation.station.trim_view import CupUse
from shedstation.store.ledger import SqlLedger


def test_that_a_restart_keeps_the_tray(tmp_path: Path, sample_setup: Setup) -> None:
    setup = with_cups(sample_setup)
    with open_ledger(tmp_path / "again") as ledger:
        packer = packer_with_cups(ledger, sample_setup)
        near_full(packer)
        now, load = packer.now, packer.load
    with open_ledger(tmp_path / "again") as ledger:
        packer = Packer(ledger, setup, Spool(), tells_fruit=True)
        packer.now, packer.load = now + 10.0, load
        assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}
        packer.rests(load)
        assert set(packer.uses.values()) == {CupUse.READY}
        packer.now = now + 1900.0
        packer.rests(load)
        assert set(packer.uses.values()) == {CupUse.OLD}
    assert check_data(tmp_path / "again").damage == ()


def test_that_a_fruit_of_half_an_hour_ago_is_not_used(packer: Packer) -> None:
    near_full(packer)
    packer.now += 1700.0
    packer.rests(packer.load)
    assert packer.told == [(Way.IN, None, 2)]
    packer.now += 120.0
    packer.rests(packer.load)
    assert packer.uses == {1: CupUse.OLD, 2: CupUse.OLD}
    assert packer.told == []
    assert packer.cups == {1: "1.10", 2: "0.92"}


def test_that_a_zero_fault_ends_the_trust_in_what_was_weighed(packer: Packer) -> None:
    near_full(packer)
    close(packer)
    packer.shows("0.03", times=4)
    assert packer.uses == {1: CupUse.DOUBTED}
    assert packer.happened("cups_doubted") == [{"why": "zero"}]
    packer.shows("0.00", times=4)
    packer.tare()
    packer.moves(100, 100, 100)
    packer.moves(-100)
    packer.ask(TellCup, cup=2)
    assert packer.uses == {1: CupUse.DOUBTED, 2: CupUse.READY}
    assert len(packer.happened("cups_doubted")) == 1
    assert packer.ledger.cups("B1").doubted is not None


def test_that_another_unit_ends_it(packer: Packer) -> None:
    near_full(packer)
    packer.hear("11.000 kg")
    assert packer.happened("cups_doubted") == [{"why": "unit"}]


def test_that_a_break_ends_it(packer: Packer) -> None:
    near_full(packer)
    packer.lose_line()
    packer.shows("25.74", times=9, through=False)
    assert packer.happened("cups_doubted") == [{"why": "break"}]
    assert set(packer.uses.values()) == {CupUse.DOUBTED}


def test_that_another_load_or_grade_waits_until_the_cups_are_empty(packer: Packer) -> None:
    near_full(packer)
    close(packer)
    packer.receive("L2", "WR", "KENT")
    for other in ({"load": "L2", "grade": "1"}, {"load": "L1", "grade": "2"}):
        assert packer.code(Choose, pack="Flat 25 lb", **other) == "cups_of_other"
    assert packer.ask(Choose, load="L1", pack="Flat 25 lb", grade="1").done
    assert packer.code(CloseDay) == "cups_filled"
    assert packer.code(EmptyCups, cups=(7,)) == "no_such_cup"
    assert packer.ask(EmptyCups).done
    assert packer.cups == packer.kept == {}
    assert packer.happened("cup_emptied")[-1]["to"] == "tub"
    assert packer.ask(Choose, load="L2", pack="Flat 25 lb", grade="1").done
    assert packer.ask(CloseDay).done


def test_that_a_cup_with_a_fruit_is_not_set_up_away(packer: Packer, sample_setup: Setup) -> None:
    near_full(packer)
    close(packer)
    with pytest.raises(Refused, match="cups_filled"):
        packer.station.set_up(with_cups(sample_setup, 3), at_s=packer.now)
    bench = replace(
        sample_setup.benches[0],
        cups=4,
        unit=Unit.KG,
        division=Mass(5, 3, Unit.KG),
        capacity=Mass(30, 0, Unit.KG),
    )
    with pytest.raises(Refused, match="cups_filled"):
        packer.station.set_up(replace(sample_setup, benches=(bench,)), at_s=packer.now)
    packer.ask(EmptyCups, cups=(1,))
    packer.station.set_up(with_cups(sample_setup, 3), at_s=packer.now)
    trim = packer.view.trim
    assert trim is not None
    assert len(trim.cups) == 3


def test_that_without_a_tray_it_says_what_to_do_all_the_same(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    packer = Packer(ledger, sample_setup, Spool(), tells_fruit=True)
    packer.open_day()
    packer.tare()
    packer.moves(*[100] * 24, 142)
    assert packer.told == [(Way.OUT, 1, None)]
    assert packer.view.say.name == "trim.exchange"
    packer.moves(-142)
    assert packer.view.say.name == "trim.add"
    assert packer.code(TellCup, cup=1) == "no_cups"


def test_that_where_fruit_are_not_told_there_is_no_tray(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    packer = Packer(ledger, with_cups(sample_setup), Spool())
    packer.open_day()
    packer.tare()
    packer.moves(*[100] * 24)
    assert packer.view.trim is None
    assert packer.code(EmptyCups) == "no_cups"


def test_that_nothing_is_advised_with_what_is_not_surely_one(packer: Packer) -> None:
    packer.moves(*[100] * 23, 245)
    assert packer.told == []
    assert packer.view.say.name == "bench.take_out"
    packer.moves(-245)
    packer.moves(130)
    assert packer.view.say.name == "trim.add"


def test_that_the_declared_weight_is_the_floor(ledger: SqlLedger, sample_setup: Setup) -> None:
    setup = with_cups(sample_setup)
    light = replace(setup.packs[0], under=Mass(20, 2, Unit.LB))
    setup = replace(setup, packs=(light, *setup.packs[1:]))
    packer = Packer(ledger, setup, Spool(), tells_fruit=True)
    packer.open_day()
    packer.tare()
    assert packer.view.limits is not None
    assert str(packer.view.limits.lowest) == "24.80 lb"
    near_full(packer)
    packer.moves(-110)
    packer.moves(105)
    trim = packer.view.trim
    assert trim is not None
    assert trim.advice is not None
    put_in = trim.advice.wanted.least if trim.advice.wanted else Mass(0, 2, Unit.LB)
    assert trim.advice.net + put_in >= Mass(2500, 2, Unit.LB)


def test_that_a_disk_that_refuses_a_fact_loses_no_fruit(
    packer: Packer, monkeypatch: pytest.MonkeyPatch
) -> None:
    packer.moves(104, 98, 110)
    record = packer.ledger.record
    full = [True] * 3

    def refuses(drafts: Sequence[Draft]) -> tuple[Fact, ...]:
        if full:
            full.pop()
            raise WorldFault(Message("store.disk_full", {"folder": "data"}))
        return record(drafts)

    monkeypatch.setattr(packer.ledger, "record", refuses)
    packer.load -= 110
    for _ in range(12):
        with suppress(WorldFault):
            packer.rests(packer.load)
    assert not full
    assert packer.cups == packer.kept == {1: "1.10"}
    assert len(packer.happened("cup_filled")) == 1
