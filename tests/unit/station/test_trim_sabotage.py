"""Words between two rests, a full disk, a clock set back: nothing weighed before a doubt is used."""

from pathlib import Path

import pytest
from cup_packer import Packer, near_full, packer_with_cups, with_cups
from driving import Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.domain.reading import State
from shedstation.domain.trim import Way
from shedstation.station.actions import ContinueBox, EmptyCups, TellCup
from shedstation.station.trim_view import CupUse
from shedstation.store.ledger import SqlLedger


def test_that_a_cup_may_be_emptied_while_its_fruit_is_on_its_way(packer: Packer) -> None:
    near_full(packer)
    assert packer.told == [(Way.IN, None, 2)]
    packer.hear("25.80 lb", State.MOVING)
    assert packer.ask(EmptyCups, cups=(2,)).done
    packer.moves(92)
    assert packer.cups == packer.kept == {1: "1.10"}


def full_disk(*_: object) -> None:
    raise WorldFault(Message("store.disk_full", {"folder": "data"}))


def test_that_a_doubt_outlives_a_full_disk(
    packer: Packer, ledger: SqlLedger, monkeypatch: pytest.MonkeyPatch
) -> None:
    near_full(packer)
    with monkeypatch.context() as full:
        full.setattr(ledger, "record", full_disk)
        with pytest.raises(WorldFault, match="disk_full"):
            packer.hear("11.70 kg")
        assert set(packer.uses.values()) == {CupUse.DOUBTED}
    packer.rests(packer.load)
    assert packer.happened("cups_doubted") == [{"why": "unit"}]
    assert set(packer.uses.values()) == {CupUse.DOUBTED}


def test_that_a_clock_set_back_makes_no_doubted_fruit_usable(
    tmp_path: Path, sample_setup: Setup
) -> None:
    setup = with_cups(sample_setup)
    with open_ledger(tmp_path / "data") as ledger:
        packer = packer_with_cups(ledger, sample_setup)
        near_full(packer)
        load = packer.load
    with open_ledger(tmp_path / "data") as ledger:
        packer = Packer(ledger, setup, Spool(), tells_fruit=True)
        packer.now, packer.load = 1.0, load
        packer.rests(load)
        for _ in range(3):
            packer.hear("11.70 kg")
        assert set(packer.uses.values()) == {CupUse.DOUBTED}
        assert packer.happened("cups_doubted") == [{"why": "unit"}]
    with open_ledger(tmp_path / "data") as ledger:
        packer = Packer(ledger, setup, Spool(), tells_fruit=True)
        assert set(packer.uses.values()) == {CupUse.DOUBTED}


def test_that_a_restart_keeps_which_fruit_are_doubted(tmp_path: Path, sample_setup: Setup) -> None:
    setup = with_cups(sample_setup)
    with open_ledger(tmp_path / "data") as ledger:
        packer = packer_with_cups(ledger, sample_setup)
        near_full(packer)
        packer.lose_line()
        packer.rests(packer.load)
        packer.ask(ContinueBox)
        packer.rests(packer.load)
        packer.moves(-100)
        assert packer.ask(TellCup, cup=4).done
        uses = packer.uses
        assert uses == {1: CupUse.DOUBTED, 2: CupUse.DOUBTED, 4: CupUse.READY}
        now = packer.now
    with open_ledger(tmp_path / "data") as ledger:
        packer = Packer(ledger, setup, Spool(), tells_fruit=True)
        packer.station.tick(now)
        assert packer.uses == uses
