"""Which cup a fruit is believed to have gone to or come from, and whose word corrects it."""

from collections.abc import Sequence

import pytest

from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.trim import Move, Way
from shedstation.domain.trim_follow import (
    CupChange,
    Did,
    Followed,
    LastFruit,
    Unclear,
    emptied,
    follow,
    take_back,
    tell,
)
from shedstation.domain.trim_tray import CupFruit, TrimTray, empty_tray

DIVISION = Mass(1, 2, Unit.LB)


def lb(count: int) -> Mass:
    return Mass(count, 2, Unit.LB)


def held(count: int, since_s: float = 5.0) -> CupFruit:
    return CupFruit(weight=lb(count), since_s=since_s, load="L1", grade="1")


def step(change: int, *, sure: bool = True, seen: bool = True) -> FruitStep:
    kind = StepKind.PLACED if change > 0 else StepKind.TAKEN
    return FruitStep(
        at_s=9.0,
        change=lb(change),
        fruit=1 if sure else None,
        sure=sure,
        kind=kind if seen else StepKind.UNSEEN,
    )


def out(cup: int | None, weight: int = 100, from_top: int = 1) -> Move:
    return Move(way=Way.OUT, weight=lb(weight), cup=cup, from_top=from_top)


def into(cup: int, weight: int) -> Move:
    return Move(way=Way.IN, weight=lb(weight), cup=cup)


def tray(**cups: int) -> TrimTray:
    """Give a tray of four cups: `c2=95` for 0.95 lb in cup 2."""
    made = empty_tray(4)
    for name, count in cups.items():
        made = made.put(int(name[1:]), held(count))
    return made


def done(
    moved: FruitStep, before: TrimTray, plan: Sequence[Move], last: LastFruit | None = None
) -> Followed:
    return follow(
        moved,
        before,
        before=last,
        plan=plan,
        learned=lambda weight: CupFruit(weight=weight, since_s=9.0, load="L1", grade="1"),
        division=DIVISION,
    )


def cups(followed: Followed) -> dict[int, int]:
    every = enumerate(followed.tray.cups, 1)
    return {number: fruit.weight.count for number, fruit in every if fruit is not None}


def asked(followed: Followed) -> int | None:
    assert followed.last is not None
    return followed.last.asked


def test_that_one_sure_fruit_goes_to_the_cup_that_was_told_whatever_it_weighs() -> None:
    for weight in (100, 131):
        followed = done(step(-weight), tray(c1=90), [out(3), into(1, 90)])
        assert cups(followed) == {1: 90, 3: weight}
        filled = CupChange(did=Did.FILLED, cup=3, fruit=held(weight, 9.0))
        assert followed.changes == (filled,)
        assert asked(followed) is None


def test_that_of_two_told_out_each_goes_to_the_cup_told_for_its_weight() -> None:
    plan = [out(2, 95), out(4, 102, from_top=2)]
    assert cups(done(step(-101), tray(), plan)) == {4: 101}


@pytest.mark.parametrize(("sure", "seen"), [(False, True), (True, False)])
def test_that_what_is_not_surely_one_fruit_is_asked_about(*, sure: bool, seen: bool) -> None:
    followed = done(step(-100, sure=sure, seen=seen), tray(), [out(3)])
    assert (cups(followed), followed.changes, asked(followed)) == ({}, (), 3)


def test_that_nothing_goes_to_a_cup_that_was_not_told() -> None:
    for plan in ([], [out(None)], [into(1, 90)]):
        followed = done(step(-100), tray(c1=90), plan)
        assert (cups(followed), asked(followed)) == ({1: 90}, None)


@pytest.mark.parametrize(("weight", "is_it"), [(92, True), (93, True), (98, True), (99, False)])
def test_that_a_fruit_weighs_what_it_did_within_three_divisions(weight: int, is_it: bool) -> None:
    followed = done(step(weight), tray(c2=95), [into(2, 95)])
    assert cups(followed) == ({} if is_it else {2: 95})
    if is_it:
        assert followed.changes == (CupChange(did=Did.TO_BOX, cup=2, fruit=held(95)),)


def test_that_what_weighs_as_another_cup_is_asked_about_only_if_a_cup_was_told() -> None:
    before = tray(c1=110, c2=95)
    assert asked(done(step(110), before, [into(2, 95)])) == 1
    assert asked(done(step(110), before, [])) is None
    assert asked(done(step(120), before, [into(2, 95)])) is None


def test_that_two_fruit_at_once_empty_both_cups_that_were_told() -> None:
    followed = done(step(206, sure=False), tray(c1=110, c2=95), [into(1, 110), into(2, 95)])
    assert cups(followed) == {}
    assert [each.cup for each in followed.changes] == [1, 2]


def test_that_a_fruit_waits_in_a_hand_for_the_cup_that_is_emptied_first() -> None:
    plan = [into(1, 95), out(1, 120)]
    first = done(step(-120), tray(c1=95), plan)
    assert (cups(first), asked(first)) == ({1: 95}, 1)
    second = done(step(94), first.tray, plan, first.last)
    assert cups(second) == {1: 120}
    assert [each.did for each in second.changes] == [Did.TO_BOX, Did.FILLED]
    assert cups(tell(second.last, second.tray, 2)) == {2: 120}


def test_that_a_word_moves_the_last_fruit_to_another_cup_and_back() -> None:
    first = done(step(-100), tray(c1=90), [out(3)])
    second = tell(first.last, first.tray, 2)
    assert cups(second) == {1: 90, 2: 100}
    assert second.changes == (CupChange(did=Did.CORRECTED, cup=3, fruit=held(100, 9.0), real=2),)
    third = tell(second.last, second.tray, None)
    assert (cups(third), [each.did for each in third.changes]) == ({1: 90}, [Did.TO_TUB])
    assert cups(tell(third.last, third.tray, 4)) == {1: 90, 4: 100}


def test_that_a_word_for_a_full_cup_changes_the_two() -> None:
    first = done(step(-100), tray(c1=90), [out(3)])
    assert cups(tell(first.last, first.tray, 1)) == {1: 100, 3: 90}


def test_that_the_same_word_again_changes_nothing_but_ends_a_question() -> None:
    first = done(step(-100, sure=False), tray(), [out(3)])
    second = tell(first.last, first.tray, None)
    assert (second.changes, asked(second), cups(second)) == ((), None, {})
    third = tell(second.last, second.tray, 3)
    fourth = tell(third.last, third.tray, 3)
    assert (fourth.changes, cups(fourth)) == ((), {3: 100})


def test_that_a_word_says_from_which_cup_a_fruit_came() -> None:
    first = done(step(95), tray(c1=110, c2=95), [into(2, 95)])
    second = tell(first.last, first.tray, 1)
    assert cups(second) == {2: 95}
    assert [(each.did, each.cup) for each in second.changes] == [(Did.FILLED, 2), (Did.TO_BOX, 1)]
    assert second.changes[0].fruit.since_s == 5.0
    assert cups(tell(second.last, second.tray, None)) == {1: 110, 2: 95}


def test_that_two_fruit_told_at_once_do_not_both_come_from_one_cup() -> None:
    plan = [into(2, 95)]
    first = done(step(95), tray(c2=95), plan)
    second = done(step(96), first.tray, plan, first.last)
    assert (cups(second), second.changes, asked(second)) == ({}, (), None)


def test_that_a_cup_that_was_emptied_since_the_advice_gives_nothing() -> None:
    plan = [into(2, 95), into(3, 100)]
    assert done(step(95), emptied(tray(c2=95, c3=100), (2,)).tray, plan).changes == ()
    both = done(step(195), emptied(tray(c2=95, c3=100), (2,)).tray, plan)
    assert (both.changes, cups(both)) == ((), {3: 100})


def test_that_a_cup_that_was_filled_anew_since_the_advice_is_not_taken_for_the_one_before() -> None:
    refilled = tray(c2=120)
    assert done(step(95), refilled, [into(2, 95)]).tray == refilled


def test_that_a_word_that_cannot_be_is_not_taken() -> None:
    first = done(step(-100), tray(c1=90), [])
    with pytest.raises(Unclear) as full:
        tell(first.last, first.tray, 1)
    assert (full.value.code, full.value.cup) == ("cup_full", 1)
    came = done(step(100), tray(c1=90), [])
    with pytest.raises(Unclear) as empty:
        tell(came.last, came.tray, 2)
    assert (empty.value.code, empty.value.cup) == ("cup_empty", 2)
    with pytest.raises(Unclear, match="no_last_fruit"):
        tell(None, tray(), 1)
    with pytest.raises(ValueError, match="no cup 5"):
        tell(first.last, first.tray, 5)


def test_that_what_was_believed_is_taken_back() -> None:
    before = tray(c1=90)
    filled = done(step(-100), before, [out(3)])
    assert filled.last is not None
    assert take_back(filled.last, filled.tray).tray == before
    used = done(step(90), before, [into(1, 90)])
    assert used.last is not None
    assert take_back(used.last, used.tray).tray == before
    free = done(step(120), before, [])
    assert free.last is not None
    assert take_back(free.last, free.tray).changes == ()


def test_that_only_filled_cups_are_emptied() -> None:
    followed = emptied(tray(c1=90, c3=80), (1, 2))
    assert cups(followed) == {3: 80}
    assert [(each.did, each.cup) for each in followed.changes] == [(Did.TO_TUB, 1)]
    assert followed.last is None
