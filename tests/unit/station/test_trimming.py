"""The trim tray at the bench: which fruit goes to which cup, who corrects it, what it outlives."""

from dataclasses import replace

import pytest
from cup_packer import Packer, fill_tray, near_full, with_cups
from driving import Spool

from shedstation.domain.farm import Setup
from shedstation.domain.reading import State
from shedstation.domain.size_codes import SizeStandard
from shedstation.domain.trim import Way
from shedstation.station.actions import (
    AbandonBox,
    CloseBox,
    EmptyCups,
    TareBox,
    TellCup,
)
from shedstation.store.ledger import SqlLedger


def test_that_cups_are_filled_by_themselves_while_the_box_is_far_from_full(packer: Packer) -> None:
    packer.moves(104, 98)
    assert packer.told == []
    packer.moves(110)
    assert packer.told == [(Way.OUT, 1, 1)]
    packer.moves(-110)
    assert packer.cups == packer.kept == {1: "1.10"}
    assert packer.happened("cup_filled")[0]["weight"] == "1.10 lb"
    assert packer.told == [(Way.OUT, 1, 2)]


def test_that_a_box_lands_with_the_fruit_of_a_cup(packer: Packer) -> None:
    fill_tray(packer)
    packer.moves(*[102] * 5, 100)
    assert packer.load == 2410
    assert packer.told == [(Way.IN, None, 2)]
    packer.moves(92)
    assert packer.cups == packer.kept == {1: "1.10"}
    assert packer.happened("cup_emptied") == [
        {"cup": 2, "weight": "0.92 lb", "load": "L1", "grade": "1", "to": "box"}
    ]
    assert packer.told == []
    assert packer.ask(CloseBox).done


def test_that_what_weighs_otherwise_came_from_no_cup(packer: Packer) -> None:
    fill_tray(packer)
    packer.moves(*[102] * 5, 100)
    packer.moves(96)
    assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}


def test_that_within_three_divisions_it_is_the_same_fruit(packer: Packer) -> None:
    fill_tray(packer)
    packer.moves(*[102] * 5, 100)
    packer.moves(95)
    assert packer.cups == packer.kept == {1: "1.10"}


def test_that_one_word_says_in_which_cup_a_fruit_really_is(packer: Packer) -> None:
    packer.moves(104, 98, 110)
    packer.moves(-110)
    packer.ask(TellCup, cup=3)
    assert packer.cups == packer.kept == {3: "1.10"}
    packer.ask(TellCup, cup=0)
    assert packer.cups == packer.kept == {}
    packer.ask(TellCup, cup=2)
    assert packer.cups == packer.kept == {2: "1.10"}
    corrected, emptied = packer.happened("cup_corrected"), packer.happened("cup_emptied")
    assert [(each["cup"], each["real"]) for each in corrected] == [(1, 3)]
    assert [(each["cup"], each["to"]) for each in emptied] == [(3, "tub")]


def test_that_two_fruit_mistaken_for_each_other_change_places(packer: Packer) -> None:
    fill_tray(packer)
    packer.moves(-98)
    packer.ask(TellCup, cup=3)
    assert packer.cups == {1: "1.10", 2: "0.92", 3: "0.98"}
    packer.ask(TellCup, cup=1)
    assert packer.cups == packer.kept == {1: "0.98", 2: "0.92", 3: "1.10"}


def test_that_a_fruit_believed_from_one_cup_may_be_from_another(packer: Packer) -> None:
    fill_tray(packer)
    packer.moves(*[102] * 5, 100)
    packer.moves(92)
    packer.ask(TellCup, cup=1)
    assert packer.cups == packer.kept == {2: "0.92"}
    packer.ask(TellCup, cup=0)
    assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}


@pytest.mark.parametrize(
    ("cup", "code"), [(5, "no_such_cup"), (99, "no_such_cup"), (1, "cup_full"), (2, "cup_full")]
)
def test_that_no_word_puts_a_fruit_where_one_is(packer: Packer, cup: int, code: str) -> None:
    fill_tray(packer)
    packer.moves(-98)
    packer.ask(TellCup, cup=0)
    assert packer.code(TellCup, cup=cup) == code
    assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}


def test_that_no_word_takes_a_fruit_from_an_empty_cup(packer: Packer) -> None:
    fill_tray(packer)
    assert packer.code(TellCup, cup=3) == "cup_empty"
    packer.ask(AbandonBox, reason="wrong box")
    packer.tare()
    assert packer.code(TellCup, cup=3) == "no_last_fruit"


def test_that_what_may_be_two_fruit_goes_to_no_cup_unasked(packer: Packer) -> None:
    packer.moves(100, 100, 100, 100)
    assert packer.told == [(Way.OUT, 1, 1)]
    packer.moves(-200)
    assert packer.cups == packer.kept == {}
    assert packer.view.say.name == "trim.ask_one"
    packer.moves(100)
    packer.moves(-100)
    assert packer.cups == {1: "1.00"}


def test_that_a_person_says_that_it_was_one(packer: Packer) -> None:
    packer.moves(100, 100, 100, 100, 100)
    packer.moves(-200)
    packer.ask(TellCup, cup=0)
    assert (packer.cups, packer.view.say.name) == ({}, "bench.add")
    packer.ask(TellCup, cup=4)
    assert packer.cups == packer.kept == {4: "2.00"}


def test_that_a_hand_that_rested_on_the_box_filled_no_cup(packer: Packer) -> None:
    fill_tray(packer)
    packer.load -= 98
    packer.shows("18.66", times=4)
    packer.load += 98
    packer.shows("19.64", times=9)
    assert packer.cups == packer.kept == {1: "1.10", 2: "0.92"}


def test_that_a_full_tray_swaps_by_way_of_a_hand(packer: Packer) -> None:
    packer.ask(EmptyCups)
    for weight, cup in ((105, 1), (91, 2), (70, 3), (60, 4)):
        packer.moves(100, 100, 100, weight)
        packer.moves(-weight)
        packer.ask(TellCup, cup=cup)
    packer.moves(*[100] * 12, 110)
    assert packer.load == 2510
    assert packer.told == [(Way.IN, None, 2), (Way.OUT, 2, 2)]
    packer.moves(-100)
    assert packer.view.say.name == "trim.ask_to"
    packer.moves(91)
    assert packer.cups == packer.kept == {1: "1.05", 2: "1.00", 3: "0.70", 4: "0.60"}


def claiming(ledger: SqlLedger, setup: Setup) -> Packer:
    """Pack a flat that claims Codex size B: 351 to 550 g, at most 100 g between its fruit."""
    flat = replace(setup.packs[0], size_standard=SizeStandard.CODEX, size_code="B")
    claims = replace(with_cups(setup), packs=(flat, *setup.packs[1:]))
    packer = Packer(ledger, claims, Spool(), tells_fruit=True)
    packer.open_day()
    packer.tare()
    return packer


def test_that_a_claimed_size_keeps_a_fruit_of_another_out(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    packer = claiming(ledger, sample_setup)
    packer.moves(100, 100, 100, 145)
    packer.moves(-145)
    packer.ask(TellCup, cup=1)
    packer.moves(*[100] * 20, 57)
    assert packer.load == 2357
    assert packer.told != [(Way.IN, None, 1)]
    assert packer.cups == {1: "1.45"}


def test_that_without_a_claim_the_same_fruit_is_put_in(packer: Packer) -> None:
    packer.moves(100, 100, 100, 145)
    packer.moves(-145)
    packer.ask(TellCup, cup=1)
    packer.moves(*[100] * 20, 57)
    assert packer.told == [(Way.IN, None, 1)]


def test_that_with_a_claim_and_a_lump_nothing_is_moved(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    packer = claiming(ledger, sample_setup)
    packer.moves(100, 100, 100, 96)
    packer.moves(-96)
    packer.ask(TellCup, cup=1)
    packer.moves(*[100] * 18, 200, 104)
    assert packer.load == 2404
    assert packer.told == []
    assert packer.view.say.name == "trim.add"


def test_that_a_cup_emptied_while_the_box_moves_is_advised_no_more(packer: Packer) -> None:
    near_full(packer)
    packer.hear("26.00 lb", State.MOVING)
    packer.ask(EmptyCups, cups=(3,))
    assert packer.told == [(Way.IN, None, 2)]
    packer.ask(EmptyCups, cups=(2,))
    assert packer.told == []
    packer.moves(92)
    assert packer.cups == packer.kept == {1: "1.10"}


def test_that_two_fruit_between_two_rests_come_from_one_cup_and_from_the_tub(
    packer: Packer,
) -> None:
    near_full(packer)
    for _ in range(2):
        packer.load += 92
        shown = 164 + packer.load
        for _ in range(6):
            packer.hear(f"{shown // 100}.{shown % 100:02d} lb", State.MOVING)
    packer.rests(packer.load)
    assert packer.cups == packer.kept == {1: "1.10"}


def test_that_a_tare_right_after_a_box_was_given_up_leaves_the_cups(packer: Packer) -> None:
    packer.moves(100, 100, 110)
    packer.moves(-110)
    packer.ask(AbandonBox, reason="wrong box")
    assert packer.ask(TareBox, confirmed=True).done
    packer.shows("3.64", times=6)
    assert packer.cups == packer.kept == {1: "1.10"}
