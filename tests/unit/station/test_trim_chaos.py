"""A careless packer and a careful one: facts and tray agree, and no advice lands below the floor."""

import tempfile
from pathlib import Path
from random import Random

import pytest
from conftest import IS_LONG
from cup_packer import Packer, with_cups
from driving import DAY, Spool
from hypothesis import given, settings
from hypothesis import strategies as st

from shedstation.bootstrap.headless import check_data, open_ledger
from shedstation.domain.bench_sequence import Step
from shedstation.domain.chain import derived_uid
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import State
from shedstation.domain.trim import TrimAdvice, Way
from shedstation.station.actions import (
    AbandonBox,
    Choose,
    CloseBox,
    CloseDay,
    EmptyCups,
    TareBox,
    TellCup,
)

FLOOR, HIGHEST = 2500, 2530

CARELESS = st.one_of(
    st.tuples(st.just("in"), st.integers(70, 150)),
    st.tuples(st.just("in"), st.integers(160, 260)),
    st.tuples(st.just("in"), st.integers(400, 900)),
    st.tuples(st.just("midway"), st.integers(0, 4)),
    st.tuples(st.just("out"), st.integers(1, 3)),
    st.tuples(st.just("full"), st.integers(-120, 60)),
    st.tuples(st.just("advised"), st.integers(0, 3)),
    st.tuples(st.just("tell"), st.integers(0, 5)),
    st.tuples(st.just("empty"), st.integers(0, 5)),
    st.tuples(st.just("lift"), st.just(0)),
    st.tuples(st.just("break"), st.just(0)),
    st.tuples(st.just("wait"), st.sampled_from([5, 400, 1900])),
    st.tuples(st.just("grade"), st.sampled_from([1, 2])),
    st.tuples(st.just("off"), st.sampled_from([0, 3])),
)


class Careless(Packer):
    """Puts fruit in and out as it likes, and says anything of the cups."""

    fruit: list[int]

    def does(self, what: str, number: int) -> None:
        getattr(self, f"_{what}")(number)

    def _is_filling(self) -> bool:
        return self.view.step is Step.FILLING

    def _in(self, weight: int) -> None:
        if self._is_filling():
            self.fruit.append(weight)
            self.moves(weight)

    def _out(self, from_top: int) -> None:
        if self._is_filling() and len(self.fruit) >= from_top:
            self.moves(-self.fruit.pop(-from_top))

    def _full(self, more: int) -> None:
        while self._is_filling() and self.load < FLOOR - 150:
            self._in(96 + len(self.fruit) % 9)
        if self._is_filling() and self.load < FLOOR:
            self._in(max(FLOOR - self.load + more, 75))

    def _advised(self, off: int) -> None:
        trim = self.view.trim
        moves = () if trim is None or trim.advice is None else trim.advice.moves
        for move in moves[:1]:
            if move.way is Way.IN:
                self._in(move.weight.count + off)
            elif move.from_top is not None:
                self._out(move.from_top)

    def _tell(self, cup: int) -> None:
        self.ask(TellCup, cup=cup)

    def _empty(self, cup: int) -> None:
        self.ask(EmptyCups, cups=(cup,) if cup else ())

    def _midway(self, cup: int) -> None:
        """Empty a cup while its fruit is on the way into the box."""
        if self._is_filling():
            self.hear(f"{(self.load + 200) / 100:.2f} lb", State.MOVING)
            self._empty(cup)
            self._advised(0)

    def _lift(self, number: int) -> None:
        del number
        self.ask(CloseBox)
        if self._is_filling():
            self.ask(AbandonBox, reason="again")
        self.shows("0.00", times=4)
        self.fruit = []
        self.tare_again()

    def tare_again(self) -> None:
        self.load = 0
        self.shows("1.64", times=4)
        self.ask(TareBox)
        self.shows("1.64", times=4)

    def _break(self, number: int) -> None:
        del number
        self.lose_line()
        self.rests(self.load)

    def _wait(self, seconds: int) -> None:
        self.now += seconds
        self.rests(self.load)

    def _grade(self, grade: int) -> None:
        self.ask(Choose, load="L1", pack="Flat 25 lb", grade=str(grade))

    def _off(self, off: int) -> None:
        if self.view.step in (Step.EMPTY, Step.BOX_ON):
            self.shows(f"0.0{off}", times=4)

    def agrees(self) -> None:
        """Check that facts, tray and screen say the same, and that the advice is legal."""
        assert self.cups == self.kept
        trim = self.view.trim
        assert trim is not None
        if trim.advice is not None:
            is_legal(trim.advice)


def is_legal(advice: TrimAdvice) -> None:
    """Check that a plan which needs nothing more ends in the window, or takes from what is too heavy."""
    if advice.wanted is not None:
        assert advice.wanted.least.count > 0
        return
    only_out = all(move.way is Way.OUT for move in advice.moves)
    assert advice.net.count >= FLOOR
    assert advice.net.count <= HIGHEST or only_out


@settings(max_examples=200 if IS_LONG else 12)
@given(doings=st.lists(CARELESS, min_size=5, max_size=25))
def test_that_a_careless_packer_never_parts_the_facts_from_the_tray(
    sample_setup: Setup, doings: list[tuple[str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        with open_ledger(Path(folder)) as ledger:
            packer = Careless(ledger, with_cups(sample_setup), Spool(), tells_fruit=True)
            packer.fruit = []
            packer.open_day()
            packer.shows("0.00")
            packer.tare_again()
            for what, number in doings:
                packer.does(what, number)
                packer.agrees()
            again = Packer(ledger, with_cups(sample_setup), Spool(), tells_fruit=True)
            assert again.cups == packer.cups
        assert check_data(Path(folder)).damage == ()


class Careful(Packer):
    """Does what is said and nothing else; knows what really lies where."""

    def begins(self, dice: Random) -> None:
        self.dice = dice
        self.box: list[int] = []
        self.lying: dict[int, int] = {}

    def packs(self) -> int:
        """Pack one box, give its net in hundredths of a pound."""
        self.box = []
        self.tare()
        for _ in range(80):
            trim = self.view.trim
            assert trim is not None
            advice = trim.advice
            if advice is not None and advice.moves:
                is_legal(advice)
                self._move(advice)
            elif self.load < FLOOR:
                self._add(advice)
            else:
                assert self.ask(CloseBox).done
                self.lift()
                return self.load
        raise AssertionError(self.load)

    def _move(self, advice: TrimAdvice) -> None:
        move = advice.moves[0]
        if move.way is Way.IN:
            assert move.cup is not None
            fruit = self.lying.pop(move.cup)
            self.box.append(fruit)
            self.moves(fruit)
            return
        assert move.from_top is not None
        fruit = self.box.pop(-move.from_top)
        if move.cup is not None:
            self.lying[move.cup] = fruit
        self.moves(-fruit)

    def _add(self, advice: TrimAdvice | None) -> None:
        """Put a fruit in; near the end one that by eye is about what is wanted."""
        fruit = round(self.dice.gauss(105, 16))
        if advice is not None and advice.wanted is not None:
            each = advice.wanted.least.count / advice.wanted.fruit
            fruit = round(each * self.dice.uniform(0.94, 1.08)) + 2
        fruit = max(fruit, 70)
        self.box.append(fruit)
        self.moves(fruit)


@pytest.mark.parametrize("seed", range(40) if IS_LONG else range(3))
def test_that_a_packer_who_does_what_is_said_needs_no_correction(
    tmp_path: Path, sample_setup: Setup, seed: int
) -> None:
    with open_ledger(tmp_path / "data") as ledger:
        packer = Careful(ledger, with_cups(sample_setup, 6), Spool(), tells_fruit=True)
        packer.open_day()
        packer.begins(Random(seed))
        nets = [packer.packs() for _ in range(4)]
        assert {cup: f"{each / 100:.2f}" for cup, each in packer.lying.items()} == packer.kept
        assert [box.net for box in packer.boxes] == [Mass(net, 2, Unit.LB) for net in nets]
        assert min(nets) >= FLOOR
        assert sum(nets) / len(nets) <= FLOOR + 8
        assert packer.refusals == []
        packer.ask(EmptyCups)
        assert packer.ask(CloseDay).done


def test_that_the_same_readings_give_the_same_facts(tmp_path: Path, sample_setup: Setup) -> None:
    heads = []
    for name in ("once", "again"):
        with open_ledger(tmp_path / name, make_uid=derived_uid) as ledger:
            packer = Careful(ledger, with_cups(sample_setup, 3), Spool(), tells_fruit=True)
            packer.open_day()
            packer.begins(Random(11))
            packer.packs()
            packer.ask(TellCup, cup=3)
            assert packer.happened("cup_filled")
            heads.append(ledger.day_record(DAY).heads)
    assert heads[0] == heads[1]
