"""A packer with wet hands trims a box: the cups are told, corrected and emptied by single keys."""

from dataclasses import replace

import pytest
from hands import Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from shedstation.domain.bench_sequence import Step
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, Reading, State
from shedstation.station.actions import AbandonBox
from shedstation.ui.cup_keys import EMPTYING_S

Key = Qt.Key
TARE = 164


class Packer:
    """Hands at a bench with four cups; fruit in hundredths of a pound."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self.load, self.shown = 0, 0
        setup = hands.station.setup
        assert setup is not None
        with_cups = (replace(setup.benches[0], cups=4),)
        hands.station.set_up(replace(setup, benches=with_cups), at_s=hands.now_s)

    def rests(self, counts: int) -> None:
        between = (self.shown + counts) // 2
        self.shown = counts
        self.hears(between, State.MOVING)
        for _ in range(9):
            self.hears(counts, State.STEADY)

    def hears(self, counts: int, state: State) -> None:
        self.hands.now_s += 0.2
        mass = Mass(counts, 2, Unit.LB)
        self.hands.hears(Reading(self.hands.now_s, mass, state, Mode.GROSS))

    def tare(self) -> None:
        self.load = 0
        self.rests(0)
        self.rests(TARE)
        self.hands.step()

    def moves(self, *changes: int) -> None:
        for each in changes:
            self.load += each
            self.rests(TARE + self.load)

    @property
    def cups(self) -> dict[int, str]:
        kept = self.hands.station.ledger.cups("B1").cups
        return {each.cup: each.weight.number() for each in kept}


@pytest.fixture
def packer(hands: Hands) -> Packer:
    made = Packer(hands)
    made.tare()
    return made


def sentence(packer: Packer) -> str:
    return text_of(packer.hands, "sentence")


def test_that_it_says_which_fruit_goes_where_and_one_key_corrects_it(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    wanted = "Take out the last fruit (1.10 lb) and put it in cup 1, to swap later."
    assert sentence(packer) == wanted
    packer.moves(-110)
    assert packer.cups == {1: "1.10"}
    assert "is in cup 1" in text_of(packer.hands, "detail")
    packer.hands.letters("3")
    assert packer.cups == {3: "1.10"}
    packer.hands.letters("0")
    assert packer.cups == {}
    assert packer.hands.station.view("B1").person is None


def test_that_a_swap_is_said_with_the_weight_it_lands_on(packer: Packer) -> None:
    packer.moves(104, 98, 131)
    packer.moves(-131)
    packer.moves(*[100] * 20, 81, 88)
    assert sentence(packer) == "Put in the fruit of cup 1: 25.02 lb."
    packer.moves(95)
    assert sentence(packer) == (
        "Take out the last fruit (0.95 lb) and put it in cup 2, then put in the fruit of cup 1: "
        "25.02 lb."
    )
    packer.moves(-95)
    assert sentence(packer) == "Put in the fruit of cup 1: 25.02 lb."
    packer.moves(131)
    assert sentence(packer) == "On weight. Close the box."
    assert packer.cups == {2: "0.95"}
    packer.hands.step()
    assert packer.hands.station.view("B1").step is Step.CLOSED


def test_that_cups_are_emptied_by_one_key_pressed_twice(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    packer.moves(-110)
    packer.hands.letters("t")
    assert "T again" in packer.hands.said
    assert packer.cups == {1: "1.10"}
    packer.hands.letters("t")
    assert packer.cups == {}


def test_that_one_cup_is_emptied_by_its_number(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    packer.moves(-110)
    packer.moves(92)
    packer.moves(-92)
    packer.hands.letters("t2")
    assert packer.cups == {1: "1.10"}


def test_that_the_key_to_empty_cups_is_forgotten_soon(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    packer.moves(-110)
    packer.hands.letters("t")
    packer.hands.now_s += EMPTYING_S + 0.1
    packer.hands.letters("t")
    assert packer.cups == {1: "1.10"}


def test_that_numbers_choose_a_person_before_a_box_is_tared(packer: Packer) -> None:
    packer.hands.station.carry_out(
        AbandonBox(at_s=packer.hands.now_s, bench="B1", reason="wrong box")
    )
    packer.rests(0)
    packer.hands.letters("1")
    assert packer.hands.station.view("B1").person == "lead"


def test_that_a_bench_without_cups_says_so(hands: Hands) -> None:
    hands.letters("t")
    assert "has no cups" in hands.said


def test_that_another_grade_is_chosen_after_one_press_that_empties_the_cups(
    packer: Packer,
) -> None:
    hands = packer.hands
    packer.moves(104, 98, 110)
    packer.moves(-110)
    hands.station.carry_out(AbandonBox(at_s=hands.now_s, bench="B1", reason="wrong box"))
    packer.rests(0)
    hands.letters("l")
    hands.choose("choose_grade", "No. 2")
    hands.tab_to("choose")
    hands.press(Key.Key_Space)
    assert "Cup 1 holds fruit of another load or grade" in hands.said
    assert hands.focus().objectName() == "empty_cups"
    assert "1.10 lb in cups" in text_of(hands, "balance")
    hands.press(Key.Key_Return)
    assert packer.cups == {}
    choice = hands.station.view("B1").choice
    assert choice is not None
    assert choice.grade == "2"


def test_that_the_cups_are_read_out(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    packer.moves(-110)
    row = packer.hands.window.findChild(QWidget, "cups")
    assert row is not None
    assert row.accessibleName() == "Cups beside the scale"
    assert row.accessibleDescription().startswith("Cup 1: 1.10 lb just weighed. Cup 2:  ")
    assert row.isVisible()


def test_that_the_button_to_empty_cups_is_there_only_when_one_is_filled(hands: Hands) -> None:
    hands.letters("l")
    button = hands.window.findChild(QPushButton, "empty_cups")
    assert button is not None
    assert not button.isVisible()


def test_that_the_bench_names_a_number_only_for_what_it_means_now(packer: Packer) -> None:
    packer.moves(104)
    assert text_of(packer.hands, "cup_keys").startswith("Last fruit: 1 to 4 its cup, 0 tub.")
    assert "who" not in text_of(packer.hands, "keys")
    packer.hands.station.carry_out(
        AbandonBox(at_s=packer.hands.now_s, bench="B1", reason="wrong box")
    )
    packer.rests(0)
    assert text_of(packer.hands, "cup_keys") == "T empty cups"
    assert "who" in text_of(packer.hands, "keys")


def test_that_a_count_that_is_asked_has_the_numbers_for_itself(packer: Packer) -> None:
    packer.moves(*[100] * 10, 205, *[100] * 12, 105)
    packer.hands.step()
    assert packer.hands.station.view("B1").count_asked is not None
    assert text_of(packer.hands, "cup_keys") == "T empty cups"
    assert "who" not in text_of(packer.hands, "keys")
    assert text_of(packer.hands, "sign") == "?"
    assert sentence(packer).startswith("Not closed yet")


def test_that_a_box_tipped_out_is_filled_anew_and_closes_at_one_press(packer: Packer) -> None:
    packer.moves(*[100] * 6)
    packer.moves(-600)
    assert packer.hands.station.view("B1").fruit == ()
    packer.moves(*[100] * 24, 110)
    packer.hands.step()
    assert packer.hands.station.view("B1").step is Step.CLOSED
