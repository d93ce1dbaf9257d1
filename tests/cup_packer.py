"""A packer with a trim tray, in tests: fruit in hundredths of a pound, in and out of a tared box."""

from dataclasses import replace
from typing import Any

from driving import DAY, Driver, Spool

from shedstation.domain.farm import Setup
from shedstation.domain.trim import Way
from shedstation.station.actions import CloseBox, TareBox, TellCup
from shedstation.station.trim_view import CupUse
from shedstation.store.ledger import SqlLedger

TARE = 164


class Packer(Driver):
    """A packer whose scale shows what lies in a tared box, in hundredths of a pound."""

    load = 0

    def moves(self, *changes: int) -> None:
        """Put fruit in, or take them out, one after the other."""
        for change in changes:
            self.load += change
            self.rests(self.load)

    def rests(self, net: int) -> None:
        shown = TARE + net
        self.shows(f"{shown // 100}.{shown % 100:02d}", times=9)

    def tare(self) -> None:
        self.load = 0
        self.shows("0.00")
        self.shows("1.64", times=4)
        assert self.ask(TareBox).done
        self.shows("1.64", times=4)

    def lift(self) -> None:
        self.shows("0.00", times=4)

    @property
    def cups(self) -> dict[int, str]:
        trim = self.view.trim
        assert trim is not None
        return {each.number: each.weight.number() for each in trim.cups if each.weight is not None}

    @property
    def uses(self) -> dict[int, CupUse]:
        trim = self.view.trim
        assert trim is not None
        return {each.number: each.use for each in trim.cups if each.use is not CupUse.EMPTY}

    @property
    def told(self) -> list[tuple[Way, int | None, int | None]]:
        trim = self.view.trim
        assert trim is not None
        moves = () if trim.advice is None else trim.advice.moves
        return [(move.way, move.from_top, move.cup) for move in moves]

    @property
    def kept(self) -> dict[int, str]:
        return {each.cup: each.weight.number() for each in self.ledger.cups("B1").cups}

    def happened(self, kind: str) -> list[dict[str, Any]]:
        record = self.ledger.day_record(DAY)
        return [dict(each.values) for each in record.happenings if each.kind == kind]


def with_cups(setup: Setup, cups: int = 4) -> Setup:
    return replace(setup, benches=(replace(setup.benches[0], cups=cups), *setup.benches[1:]))


def packer_with_cups(ledger: SqlLedger, setup: Setup) -> Packer:
    """Give a packer with a tray of four cups, the day open and a box tared."""
    packer = Packer(ledger, with_cups(setup), Spool(), tells_fruit=True)
    packer.open_day()
    packer.tare()
    return packer


def fill_tray(packer: Packer) -> None:
    """Fill cups 1 and 2 as advised, and stop at 18.00 lb."""
    packer.moves(104, 98, 110)
    packer.moves(-110)
    packer.ask(TellCup, cup=1)
    packer.moves(92)
    packer.moves(-92)
    packer.ask(TellCup, cup=2)
    assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}
    packer.moves(*[100] * 15, 98)


def near_full(packer: Packer) -> None:
    """Fill cups 1 and 2 and leave a box of 24.10 lb, which the fruit of cup 2 would fill."""
    fill_tray(packer)
    packer.moves(*[102] * 5, 100)
    assert packer.told == [(Way.IN, None, 2)]


def close(packer: Packer) -> None:
    packer.moves(92)
    assert packer.ask(CloseBox).done
    packer.lift()
